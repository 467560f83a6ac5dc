"""Does each caution carry the right signal word, in the right place and order?"""

import re
from collections import Counter
from collections.abc import Iterator

from procedures.writeup.proof import words
from procedures.writeup.proof.findings import ProofFinding, finding
from procedures.writeup.proof.messages import each_message, label
from procedures.writeup.proof.reading import EMBEDDED, GROUPED, Message, Part, Reading
from procedures.writeup.proof.signal_words import (
    CAUTION,
    COULD,
    DAMAGE,
    DANGER,
    MINOR,
    NOTICE,
    RANKS,
    SEVERE,
    derive,
)
from procedures.writeup.remarks import remark

_STRAY_CAPITALS = re.compile(r"\W*(?:ATTENTION|IMPORTANT|BEWARE|HAZARD|ALERT)\b")
_STRAY_LABEL = re.compile(
    r"\W*(?:attention|important|beware|hazard|alert|warning|danger|caution|notice)\s*[:!]",
    re.IGNORECASE,
)
_COULD = re.compile(r"\b(?:can|could|may|might)\b", re.IGNORECASE)
_WORD_IN_TEXT = re.compile(
    r"\b(?:danger|warning|notice)\b|(?<!use )(?<!with )\bcaution\b", re.IGNORECASE
)
MOST_DANGERS, MOST_BEFORE_A_STEP, MOST_IN_A_PHASE = 1, 3, 3


def words_are_the_four(reading: Reading) -> Iterator[ProofFinding]:
    """SW-01: no other safety word, and none of the four outside a caution."""
    for part in reading.parts:
        for paragraph in part.paragraphs:
            text = paragraph.sentences[0].text
            if text.startswith(("“", '"')):
                continue  # a quoted label
            # With another word behind it, !!! makes no caution, and would be read as plain text.
            if text.startswith("!!!") or _STRAY_CAPITALS.match(text) or _STRAY_LABEL.match(text):
                told = remark("no-signal-word", text=text[:60])
                yield finding("SW-01", part.id, paragraph.line, text, told)


def words_fit_their_harm(reading: Reading) -> Iterator[ProofFinding]:
    """SW-02, SW-04 and SW-05: as far as the words of the harm say how bad it is and how likely."""
    for part, message in each_message(reading):
        harm = message.caution.harm or message.caution.text
        line = (
            (message.harm or message.free)[0].line
            if message.harm or message.free
            else message.caution.line
        )
        if harm:
            yield from _of_one(part, message, harm, line)


def _of_one(part: Part, message: Message, harm: str, line: int) -> Iterator[ProofFinding]:
    word, injury = message.caution.word, injury_in(harm)
    if word == NOTICE and injury:
        told = remark("notice-of-injury", harm=harm, injury=injury)
        yield finding("SW-04", part.id, line, harm, told)
    # Only where damage is named: a harm in words that the list does not know proves nothing.
    if word != NOTICE and not injury and words.DAMAGE.search(harm):
        told = remark("no-injury", harm=harm, word=word.upper())
        yield finding("SW-05", part.id, line, harm, told)
    wanted = _wanted(word, harm, bool(injury))
    if wanted != word:
        told = remark("other-signal-word", harm=harm, wanted=wanted.upper(), word=word.upper())
        yield finding("SW-02", part.id, line, harm, told)


def _wanted(word: str, harm: str, injury: bool) -> str:
    """The word that the harm's own words ask for; the same word where they do not say enough."""
    if words.SEVERE.search(harm):
        # ANSI Z535.4: DANGER is what will happen; “can” and “may” say that it need not.
        if word == DANGER and _COULD.search(harm):
            return derive(SEVERE, COULD, COULD)
        return derive(SEVERE, COULD, COULD) if word == CAUTION else word
    if not injury and words.DAMAGE.search(harm) and word != NOTICE:
        return derive(DAMAGE, COULD, COULD)
    return derive(MINOR, COULD, COULD) if injury and word == DANGER else word


def injury_in(text: str) -> str:
    """The first word of injury in a text, "" without one; “hand-tight” and “a cut seal” are
    none.
    """
    found = words.INJURY.search(words.NOT_INJURY.sub(" ", text))
    return found.group().lower() if found else ""


def dangers_are_rare(reading: Reading) -> Iterator[ProofFinding]:
    """SW-03: more than one DANGER in a write-up."""
    dangers = [
        (part, message) for part, message in each_message(reading) if message.caution.word == DANGER
    ]
    for number, (part, message) in enumerate(dangers[MOST_DANGERS:], MOST_DANGERS + 1):
        told = remark("several-dangers", label=label(message), number=number)
        yield finding(
            "SW-03",
            part.id,
            message.caution.line,
            message.caution.title or message.caution.hazard,
            told,
        )


def one_hazard_has_one_word(reading: Reading) -> Iterator[ProofFinding]:
    """SW-07: cautions of one title, or of one hazard in the same words, carry one word."""
    first: dict[str, Message] = {}
    for part, message in each_message(reading):
        for name in {message.caution.title.lower(), message.caution.hazard.lower()} - {""}:
            before = first.setdefault(name, message)
            if before.caution.word != message.caution.word:
                told = remark(
                    "two-words-for-a-hazard",
                    label=label(message),
                    other=before.caution.word.upper(),
                    line=before.caution.line,
                )
                yield finding("SW-07", part.id, message.caution.line, name, told)


def words_stand_alone(reading: Reading) -> Iterator[ProofFinding]:
    """SW-08: no signal word inside the sentences of a caution; grouped messages may speak of
    danger.
    """
    for part, message in each_message(reading):
        for sentence in message.sentences if message.place != GROUPED else ():
            found = _WORD_IN_TEXT.search(sentence.text)
            if found:
                told = remark("signal-word-in-text", found=found.group())
                yield finding("SW-08", part.id, sentence.line, sentence.text, told)


def cautions_stand_before(reading: Reading) -> Iterator[ProofFinding]:
    """PL-01: before the first running text of the step; a NOTICE at the end of the last step may
    speak of what comes next.
    """
    last = max((part.line for part in reading.steps), default=0)
    for part, message in each_message(reading):
        if message.late and not (message.caution.word == NOTICE and part.line == last):
            told = remark("caution-comes-late", label=label(message))
            yield finding(
                "PL-01",
                part.id,
                message.caution.line,
                message.caution.title or message.caution.word,
                told,
            )


def worst_stands_first(reading: Reading) -> Iterator[ProofFinding]:
    """PL-02: DANGER, WARNING, CAUTION, NOTICE, in this order."""
    for part in reading.parts:
        for before, message in zip(part.messages, part.messages[1:], strict=False):
            # Against one that comes late (PL-01 tells it) the order says nothing.
            if (
                RANKS.index(message.caution.word) < RANKS.index(before.caution.word)
                and before.late == message.late
            ):
                told = remark(
                    "worst-not-first", label=label(message), other=before.caution.word.upper()
                )
                yield finding(
                    "PL-02",
                    part.id,
                    message.caution.line,
                    message.caution.title or message.caution.word,
                    told,
                )


def few_before_a_step(reading: Reading) -> Iterator[ProofFinding]:
    """PL-04 and PL-05: at most three before a step (but the first), and at most three times the
    same in a phase.
    """
    first = next(iter(reading.steps), None)
    for part in reading.steps:
        if len(part.messages) > MOST_BEFORE_A_STEP and part is not first:
            told = remark("too-many-cautions", count=len(part.messages))
            yield finding(
                "PL-04", part.id, part.messages[MOST_BEFORE_A_STEP].caution.line, part.title, told
            )
    for phase in {part.phase for part in reading.parts}:
        here = [
            (part, message)
            for part in reading.phase_parts(phase)
            for message in part.messages
            if message.place == EMBEDDED
        ]
        times = Counter(
            message.caution.title.lower() for _, message in here if message.caution.title
        )
        for part, message in here:
            if times.get(message.caution.title.lower(), 0) > MOST_IN_A_PHASE:
                told = remark(
                    "caution-too-often",
                    title=message.caution.title,
                    count=times[message.caution.title.lower()],
                )
                yield finding("PL-05", part.id, message.caution.line, message.caution.title, told)
