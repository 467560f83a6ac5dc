"""Is the language short, active and plain?"""

import re
from collections.abc import Iterator

from procedures.writeup.proof import words
from procedures.writeup.proof.catalogue import ASK, HINT
from procedures.writeup.proof.clauses import commands
from procedures.writeup.proof.counting import count_words, find_bracketed
from procedures.writeup.proof.findings import ProofFinding, finding
from procedures.writeup.proof.reading import NOTE, Part, Reading
from procedures.writeup.proof.sentences import Sentence
from procedures.writeup.remarks import Remark, remark

_BE = r"\b(?:is|are|was|were|be|been|being)\b"
_PASSIVE = re.compile(
    rf"{_BE}\s+(?:\w+ly\s+|not\s+)?(?!(?:then|often|even|open|when|ten|seven|eleven|golden|wooden|red|need|indeed|hidden|between)\b)"
    r"(?:\w{2,}(?:ed|en)|done|made|held|put|kept|cut|left)\b",
    re.IGNORECASE,
)
_STATES = re.compile(
    rf"{_BE}\s+(?:\w+ly\s+|not\s+)?(?:closed|seated|worn|broken|damaged|cracked|twisted|folded|locked|loosened|fitted|covered|aligned|marked|released|engaged|rounded|hardened|left|cut)\b",
    re.IGNORECASE,
)
_ENSURED = re.compile(r"\b(?:make sure|ensure|until|if|when|while)\b", re.IGNORECASE)
_SEMICOLON = re.compile(r";(?!\))")
_SHORT_FORMS = re.compile(
    r"\b\w+n[’']t\b|\b(?:it|that|there|let|you|they|we|he|she)[’'](?:s|re|ll|ve|d)\b|\be\.g\.|\bi\.e\.|\betc\b\.?",
    re.IGNORECASE,
)
_TWO_WORD_VERBS = re.compile(
    r"\b(?:set up|find out|carry out|carried out|put up|top off)\b", re.IGNORECASE
)
_INSTEAD = (
    (re.compile(r"\b(?:ensure|verify|check that)\b", re.IGNORECASE), "make sure that", HINT),
    (re.compile(r"\b(?:perform|carry out|conduct)\b", re.IGNORECASE), "do", HINT),
    (re.compile(r"\b(?:utili[sz]e)\b", re.IGNORECASE), "use", HINT),
    (re.compile(r"\b(?:commence|initiate)\b", re.IGNORECASE), "start", HINT),
    (re.compile(r"\b(?:terminate|cease)\b", re.IGNORECASE), "stop", HINT),
    (re.compile(r"\bprior to\b", re.IGNORECASE), "before", HINT),
    (re.compile(r"\bsubsequent to\b", re.IGNORECASE), "after", HINT),
    (re.compile(r"\byou may\b|\bmay be used\b", re.IGNORECASE), "can", HINT),
    (re.compile(r"\b(?:should|shall)\b", re.IGNORECASE), "must, or a command", ASK),
)
# one look before nine
_ANY_INSTEAD = re.compile("|".join(pattern.pattern for pattern, _, _ in _INSTEAD), re.IGNORECASE)
_TERMS = re.compile(rf"\b(?:{'|'.join(words.TERMS)})s?\b")
_OUGHT_BE = re.compile(r"\bshould be\b", re.IGNORECASE)
_PRONOUN = re.compile(r"(?:it|they|this|these)\b", re.IGNORECASE)
_WORD = re.compile(r"[\w-]+")
_AMOUNT = re.compile(r"\d")
MOST_TOLD, DOUBT, MOST_DESCRIBED, MOST_IN_PARAGRAPH, LONGEST_ROW_OF_NOUNS = 20, 22, 25, 6, 3


def sentences(reading: Reading) -> Iterator[tuple[Part, Sentence]]:
    """Every sentence of running text and of cautions, with the part that it stands in."""
    for part in reading.parts:
        yield from ((part, sentence) for sentence in part.sentences)
        yield from ((part, sentence) for message in part.messages for sentence in message.sentences)


def sentences_are_short(reading: Reading) -> Iterator[ProofFinding]:
    """LG-01, LG-02 and LG-03: 20 words a command (W at 21 and 22), 25 words any other sentence, six
    sentences a paragraph.
    """
    for part in reading.parts:
        for paragraph in part.paragraphs:
            for sentence in paragraph.sentences:
                is_command = (
                    bool(part.step)
                    and paragraph.kind != NOTE
                    and bool(commands(sentence.text).verbs)
                )
                yield from _length(part, sentence, is_command)
            if len(paragraph.sentences) > MOST_IN_PARAGRAPH:
                told = remark("paragraph-too-long", count=len(paragraph.sentences))
                yield finding("LG-03", part.id, paragraph.line, paragraph.sentences[0].text, told)


def _length(part: Part, sentence: Sentence, is_command: bool) -> Iterator[ProofFinding]:
    inner = [count_words(text) for text in find_bracketed(sentence.text)]
    count = max([count_words(sentence.text), *inner])
    if is_command and count > MOST_TOLD:
        told = remark("command-too-long", count=count, most=MOST_TOLD)
        yield finding(
            "LG-01", part.id, sentence.line, sentence.text, told, ASK if count <= DOUBT else ""
        )
    elif not is_command and count > MOST_DESCRIBED:
        yield finding(
            "LG-02",
            part.id,
            sentence.line,
            sentence.text,
            remark("sentence-too-long", count=count, most=MOST_DESCRIBED),
        )


def language_is_plain(reading: Reading) -> Iterator[ProofFinding]:
    """LG-04, LG-05, LG-07 to LG-11: marks and words with a plainer one beside them."""
    for part, sentence in sentences(reading):
        text = _unquoted(sentence.text)
        for rule, message in _marks_and_words(text):
            yield finding(rule, part.id, sentence.line, sentence.text, message)
        for name, found in _other_names(text):
            quoted = f"{name}: {sentence.text}"
            message = remark("other-name", found=found, name=name)
            yield finding("LG-10", part.id, sentence.line, quoted, message)
        yield from _plainer(part, sentence, text)


def _marks_and_words(text: str) -> Iterator[tuple[str, Remark]]:
    """(rule, what to do) for each mark and word of a sentence that has a plainer one."""
    if _SEMICOLON.search(text):
        yield "LG-04", remark("semicolon")
    row = longest_row_of_nouns(text)
    if len(row) > LONGEST_ROW_OF_NOUNS:
        yield ("LG-05", remark("row-of-nouns", row=" ".join(row), count=len(row)))
    short = _SHORT_FORMS.search(text)
    if short:
        yield "LG-08", remark("short-form", found=short.group())
    pair = _TWO_WORD_VERBS.search(text)
    if pair:
        yield ("LG-09", remark("two-word-verb", found=pair.group()))


def _other_names(text: str) -> Iterator[tuple[str, str]]:
    """(the one name, the other one that stands here) of things with more than one name."""
    if words.ANY_BANNED_NAME.search(text):
        for name, banned in words.BANNED_NAMES.items():
            found = banned.search(text)
            if found:
                yield name, found.group()


def _plainer(part: Part, sentence: Sentence, text: str) -> Iterator[ProofFinding]:
    for pattern, plainer, level in _INSTEAD if _ANY_INSTEAD.search(text) else ():
        found = pattern.search(text)
        # In a step, ST-02 tells that one.
        if found and not (part.step and _OUGHT_BE.search(text) and level == ASK):
            yield finding(
                "LG-07",
                part.id,
                sentence.line,
                f"{found.group().lower()}: {sentence.text}",
                remark("plainer-word", found=found.group(), plainer=plainer),
                level,
            )


def quantities_are_numbers(reading: Reading) -> Iterator[ProofFinding]:
    """LG-11: vague quantities in commands and avoidances; “fully” only where there is a number to
    say instead.
    """
    for part in reading.parts:
        given = [
            sentence for sentence in part.sentences if part.step and commands(sentence.text).verbs
        ]
        for sentence in (*given, *(each for message in part.messages for each in message.avoid)):
            text = _unquoted(sentence.text)
            vague = [found.strip().lower() for found in words.VAGUE_QUANTITY.findall(text)]
            vague += ["fully"] if words.FULLY.search(text) and _AMOUNT.search(text) else []
            if vague:
                yield finding(
                    "LG-11",
                    part.id,
                    sentence.line,
                    sentence.text,
                    remark("vague-quantity", words=tuple(dict.fromkeys(vague))),
                )


def somebody_does_it(reading: Reading) -> Iterator[ProofFinding]:
    """LG-06: no passive in a step; elsewhere it is asked about. After “make sure that” a participle
    is a state.
    """
    for part, sentence in sentences(reading):
        text = sentence.text
        found = _PASSIVE.search(text)
        # “Is closed” tells how a thing is, not that nobody closed it.
        if not found or _STATES.match(text, found.start()):
            continue
        ensured = _ENSURED.search(text)
        if (
            ensured
            and ensured.start() < found.start()
            and text[ensured.start() :].lower().startswith("make sure")
        ):
            continue
        told = remark("nobody-does-it", found=found.group())
        yield finding("LG-06", part.id, sentence.line, text, told, "" if part.step else ASK)


def notes_only_tell(reading: Reading) -> Iterator[ProofFinding]:
    """LG-12: no command in a note."""
    for part in reading.parts:
        for paragraph in part.paragraphs:
            for sentence in paragraph.sentences if paragraph.kind == NOTE else ():
                if commands(sentence.text).verbs or sentence.text.lower().startswith("remember"):
                    told = remark("note-commands", sentence=sentence.text)
                    yield finding("LG-12", part.id, sentence.line, sentence.text, told)


def articles_are_kept(reading: Reading) -> Iterator[ProofFinding]:
    """LG-13: a command with a counted thing right behind its verb."""
    for part in reading.steps:
        for paragraph in part.paragraphs:
            for sentence in paragraph.sentences if paragraph.kind != NOTE else ():
                thing = _bare_thing(sentence.text)
                if thing:
                    yield finding(
                        "LG-13",
                        part.id,
                        sentence.line,
                        sentence.text,
                        remark("article-missing", thing=thing),
                    )


def _bare_thing(text: str) -> str:
    pieces = [word.lower() for word in _WORD.findall(text)[:4]]
    if len(pieces) < 2 or not commands(text).verbs or pieces[0] not in words.VERBS:
        return ""
    pair = " ".join(pieces[1:3])
    if pair in words.TERMS:
        return pair
    return (
        pieces[1] if pieces[1] in words.THINGS and not {"up", "a", "the"} & set(pieces[2:3]) else ""
    )


def pronouns_are_clear(reading: Reading) -> Iterator[ProofFinding]:
    """LG-14: a sentence that begins with “it” after one that names two things."""
    for part in reading.parts:
        for paragraph in part.paragraphs:
            for before, sentence in zip(paragraph.sentences, paragraph.sentences[1:], strict=False):
                found = _PRONOUN.match(sentence.text)
                named = {word for word in _nouns(before.text) if word}
                if found and len(named) > 1:
                    told = remark(
                        "unclear-pronoun", found=found.group(), things=tuple(sorted(named)[:3])
                    )
                    yield finding("LG-14", part.id, sentence.line, sentence.text, told)


def _nouns(text: str) -> list[str]:
    """The things that a sentence names, each word in turn; "" for a word that is none."""
    lower = text.lower()
    lower = _TERMS.sub(lambda found: found.group().replace(" ", "_"), lower)
    named = []
    for word in _WORD.findall(lower):
        bare = word.removesuffix("s")
        named.append(
            word.replace("_", " ")
            if "_" in word
            or (bare in words.THINGS and (bare not in words.VERBS or bare == word))
            or word in words.THINGS
            else ""
        )
    return named


def longest_row_of_nouns(text: str) -> tuple[str, ...]:
    """The longest row of names of things without another word between them; names of two words are
    one.
    """
    best: list[str] = []
    row: list[str] = []
    for word in _nouns(text):
        row = [*row, word] if word else []
        best = max(best, row, key=len)
    return tuple(best)


def _unquoted(text: str) -> str:
    """A sentence without what it quotes: a label says what it says."""
    return re.sub(r"“[^“”]*”|\"[^\"]*\"", "“…”", text)
