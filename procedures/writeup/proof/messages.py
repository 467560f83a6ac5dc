"""Does each caution carry the right word, and say hazard, harm and avoidance so that somebody can
act on it?
"""

from collections.abc import Iterator

from procedures.writeup.proof import words
from procedures.writeup.proof.catalogue import HINT
from procedures.writeup.proof.clauses import BRANCH, commands
from procedures.writeup.proof.counting import count_words
from procedures.writeup.proof.findings import ProofFinding, finding
from procedures.writeup.proof.reading import EMBEDDED, GROUPED, Message, Part, Reading
from procedures.writeup.remarks import Remark, remark

_WORK = words.list_words(
    "unscrew remove install press pull drain fill tighten torque inject disassemble"
)
_UNLESS = frozenset({"before", "after", "until"})
_OPENERS = frozenset({"do", "don't", "don’t", "never", "before", "if", "when", "until", *BRANCH})
_LINES = ("hazard", "harm", "avoid")
LONGEST_SENTENCE, LONGEST_FULL, LONGEST_SHORT, LONGEST_GROUPED = 20, 60, 35, 40


def label(message: Message) -> Remark:
    """How a finding speaks of a caution."""
    word, title = message.caution.word.upper(), message.caution.title
    if title:
        return remark("caution-titled", word=word, title=title)
    return remark("caution-untitled", word=word)


def each_message(reading: Reading) -> Iterator[tuple[Part, Message]]:
    """Every caution with the part that it stands in."""
    return ((part, message) for part in reading.parts for message in part.messages)


def messages_are_complete(reading: Reading) -> Iterator[ProofFinding]:
    """SM-01 and SM-02: hazard, harm and avoidance, or a full caution of the same title before."""
    full: set[str] = set()
    for part, message in each_message(reading):
        title = message.caution.title.lower()
        if message.place != EMBEDDED and message.full:
            full.add(title)
        if not (
            message.full or (message.place == EMBEDDED and title in full) or _says_all(message)
        ):
            yield _incomplete(part, message)


def _says_all(message: Message) -> bool:
    """Free text with a hazard, a harm that can come of it, and a command; a harm that everybody
    sees may go unsaid.
    """
    text = message.caution.text
    if not text or message.hazard or message.harm or message.avoid:
        return False
    named = any(pattern.search(text) for pattern in words.HAZARD.values())
    harm = bool(words.INJURY.search(text) or words.DAMAGE.search(text)) or bool(
        words.SELF_EVIDENT.search(text)
    )
    return named and harm and any(commands(sentence.text).verbs for sentence in message.free)


def _incomplete(part: Part, message: Message) -> ProofFinding:
    caution = message.caution
    missing = [f"{name}:" for name in _LINES if not getattr(caution, name)]
    only_harm = missing == ["harm:"] and message.place == EMBEDDED
    rule = "SM-02" if only_harm else "SM-01"
    ask = remark("message-incomplete", label=label(message), missing=tuple(missing))
    if only_harm:
        ask = remark("message-without-harm", label=label(message))
    return finding(rule, part.id, caution.line, f"{caution.title}: {', '.join(missing)}", ask)


def harms_are_harms(reading: Reading) -> Iterator[ProofFinding]:
    """SM-03: the harm names a harm."""
    for part, message in each_message(reading):
        for sentence in message.harm:
            if not _is_harm(sentence.text):
                told = remark("harm-not-named", sentence=sentence.text)
                yield finding("SM-03", part.id, sentence.line, sentence.text, told)


def _is_harm(text: str) -> bool:
    felt = words.FEELINGS.search(text)
    if felt:
        # “Dangerous” is no harm by itself, but may go on to say which.
        reason = text[felt.end() :].lower()
        return any(mark in reason for mark in (":", " because ", " since ", " as ", " so that "))
    return any(
        pattern.search(text) for pattern in (words.INJURY, words.DAMAGE, words.HARM, words.SEVERE)
    )


def hazards_are_named(reading: Reading) -> Iterator[ProofFinding]:
    """SM-04 and SW-06: the hazard names one energy or agent. For a NOTICE, which is about things,
    it is a hint.
    """
    for part, message in each_message(reading):
        hazard = message.caution.hazard
        kinds = [kind for kind, pattern in words.HAZARD.items() if pattern.search(hazard)]
        line = message.hazard[0].line if message.hazard else message.caution.line
        if hazard and not kinds:
            level = HINT if message.caution.word == "notice" else ""
            told = remark("hazard-not-named", hazard=hazard)
            yield finding("SM-04", part.id, line, hazard, told, level)
        if len(kinds) > 2:
            told = remark("several-hazards", label=label(message), kinds=tuple(kinds))
            yield finding("SW-06", part.id, line, hazard, told)


def avoidances_are_commands(reading: Reading) -> Iterator[ProofFinding]:
    """SM-05, SM-06 and SM-08: what to do is a command, says how, and is no work of its own."""
    for part, message in each_message(reading):
        for sentence in message.avoid:
            given = commands(sentence.text)
            first = sentence.text.split()[0].lower().strip(".,;:") if sentence.text.split() else ""
            if not given.verbs and first not in _OPENERS:
                told = remark("avoidance-no-command", sentence=sentence.text)
                yield finding("SM-05", part.id, sentence.line, sentence.text, told)
            # “Before you remove the cap …” names the work of the step, and asks for none here.
            work = [verb for verb in given.verbs if verb in _WORK]
            if work and not given.forbids and not _UNLESS & set(sentence.text.lower().split()):
                told = remark("avoidance-is-work", sentence=sentence.text, verbs=tuple(work))
                yield finding("SM-08", part.id, sentence.line, sentence.text, told)


def manners_are_said(reading: Reading) -> Iterator[ProofFinding]:
    """SM-06: no “carefully” or “as needed” in a caution or a step."""
    for part in reading.parts:
        told = list(part.sentences) if part.step else []
        for sentence in (*told, *(each for message in part.messages for each in message.sentences)):
            vague = dict.fromkeys(
                found.lower() for found in words.VAGUE_MANNER.findall(sentence.text)
            )
            if vague:
                yield finding(
                    "SM-06",
                    part.id,
                    sentence.line,
                    sentence.text,
                    remark("vague-manner", words=tuple(vague)),
                )


def messages_are_short(reading: Reading) -> Iterator[ProofFinding]:
    """SM-07: 20 words a sentence; 60 words a full caution, 35 words and two sentences a short one,
    40 in the introduction.
    """
    for part, message in each_message(reading):
        caution = message.caution
        for sentence in message.sentences:
            if (count := count_words(sentence.text)) > LONGEST_SENTENCE:
                told = remark("message-sentence-too-long", count=count, most=LONGEST_SENTENCE)
                yield finding("SM-07", part.id, sentence.line, sentence.text, told)
        total = sum(count_words(sentence.text) for sentence in message.sentences)
        most = (
            LONGEST_GROUPED
            if message.place == GROUPED
            else LONGEST_FULL
            if message.full or message.place != EMBEDDED
            else LONGEST_SHORT
        )
        if total > most:
            yield finding(
                "SM-07",
                part.id,
                caution.line,
                f"{caution.title}: length",
                remark("message-too-long", label=label(message), count=total, most=most),
            )
        elif most == LONGEST_SHORT and len(message.sentences) > 2:
            told = remark(
                "message-of-too-many-sentences", label=label(message), count=len(message.sentences)
            )
            yield finding("SM-07", part.id, caution.line, f"{caution.title}: length", told)
