"""Do the safety messages say what they must, with the right word, and before the action?"""

import re
from collections import Counter
from collections.abc import Callable, Iterator, Sequence

from procedures.writeup.model import Caution, Step, WriteUp
from procedures.writeup.proof import lexicon
from procedures.writeup.proof.catalogue import Advice
from procedures.writeup.proof.reader import Paragraph
from procedures.writeup.proof.words import count, sentences

SEVERITIES = ("death_serious", "minor_moderate", "property")
WORDS = ("danger", "warning", "caution", "notice")
_COMMAND = re.compile(r"^(?:do not|never|before|if|when|until|after|while|with|keep|always)\b", re.IGNORECASE)
_PROTECT = (
    (re.compile(r"\b(?:wear|put on)\b[^.]*\beye protection\b", re.IGNORECASE), "eye protection", ("eye protection",)),
    (re.compile(r"\b(?:wear|put on)\b[^.]*\bgloves\b", re.IGNORECASE), "gloves", ("gloves",)),
    (re.compile(r"\b(?:release|vent|let out)\b[^.]*\bair\b", re.IGNORECASE), "letting the air out", ("air let out", "release the air", "let the air out", "let out all", "air released", "depressurised")),
)  # fmt: skip
Say = Callable[[str, str, str], Advice]


def derive(severity: str, p_accident: str, p_severe: str) -> str:
    """The signal word for the worst credible harm (death_serious, minor_moderate, property), whether the accident "will" or
    "could" happen if the message is not heeded, and whether it then "will" or "could" be that grave.

    ANSI Z535.4, definitions of the four words; the rows for CAUTION and NOTICE hold for all chances (Z535.6, annex C).
    """
    if severity == "property":
        return "notice"
    if severity == "minor_moderate":
        return "caution"
    return "danger" if (p_accident, p_severe) == ("will", "will") else "warning"


def check_cautions(writeup: WriteUp, running: Sequence[Paragraph]) -> Iterator[Advice]:
    """Every finding about the cautions of a write-up."""
    everywhere: list[tuple[str | None, Caution]] = [(None, caution) for caution in writeup.cautions]
    everywhere += [(None, caution) for phase in writeup.phases for caution in phase.cautions]
    everywhere += [(step.id, caution) for step in writeup.steps for caution in step.cautions]
    whole = {caution.title.casefold() for _, caution in everywhere if caution.hazard and caution.harm and caution.avoid}
    for step, caution in everywhere:
        yield from _one(step, caution, whole)
    dangers = [caution for _, caution in everywhere if caution.word == "danger"]
    yield from (
        Advice("SW-03", None, caution.line, caution.title, "Keep DANGER for the one most extreme case. Is this a WARNING?")
        for caution in dangers[1:]
    )
    yield from _same_word(everywhere)
    yield from _protected(writeup, everywhere, running)
    for one in writeup.steps:
        yield from _order(one, running)
    yield from _repeated(writeup)


def _one(step: str | None, caution: Caution, whole: set[str]) -> Iterator[Advice]:
    def say(rule: str, about: str, message: str) -> Advice:
        return Advice(rule, step, caution.line, about, message)

    missing = [name for name in ("hazard", "harm", "avoid") if not getattr(caution, name)]
    free = sum(1 for pattern in (lexicon.HAZARD, lexicon.INJURY) if pattern.search(caution.text)) if caution.text else 0
    if missing and caution.title.casefold() not in whole and not (len(missing) == 3 and free == 2):
        yield say("SM-01", caution.title, f"Write the line {' and '.join(f'“{name}:”' for name in missing)} of this message.")
    told = " ".join([caution.hazard, caution.harm, caution.avoid, caution.text])
    yield from _word(caution, say)
    if found := re.search(r"\b(DANGER|WARNING|CAUTION|NOTICE|(?i:there is a danger))\b", told):
        yield say("SW-08", found[0], "The signal word stands in its panel. Leave it out of the sentence.")
    if caution.harm and (found := lexicon.FEELINGS.search(caution.harm)) and not re.search(r"because|leak|loosen", caution.harm):
        yield say("SM-03", found[0], "Say what happens to a person or a part.")
    if caution.hazard and not lexicon.HAZARD.search(caution.hazard):
        yield say("SM-04", caution.hazard, "Name the energy or the thing that does the harm.")
    if found := lexicon.EMPTY.search(f"{caution.harm} {caution.avoid} {caution.text}"):
        yield say("SM-06", found[0], "Say what to do instead of how well.")
    yield from _avoid(caution, say)
    long = [sentence for sentence in sentences(told) if count(sentence)[0] > 20]
    if long or count(told)[0] > 60:
        about = long[0] if long else caution.title
        yield say("SM-07", about, "Keep each sentence to 20 words and the whole message to 60.")


def _word(caution: Caution, say: Say) -> Iterator[Advice]:
    harm = lexicon.NO_INJURY.sub(" ", caution.harm or caution.text)
    injury, damage = lexicon.INJURY.search(harm), lexicon.DAMAGE.search(harm)
    if caution.word == "notice" and injury and not re.search(r"\b(brak\w*)\b", harm):
        yield say("SW-04", injury[0], "A NOTICE is for damage only. Choose a word for injury, or say what is damaged.")
    if caution.word != "notice" and harm and not injury:
        yield say("SW-05", caution.title, f"Say which injury this {caution.word.upper()} prevents.")
        if damage:
            word = derive("property", "could", "could").upper()
            yield say("SW-02", caution.word.upper(), f"Damage without injury takes the word {word}.")
    if caution.word == "danger" and re.search(r"\b(can|could|may|might)\b", caution.harm):
        word = derive("death_serious", "could", "could").upper()
        yield say("SW-02", "DANGER", f"What can happen, but need not, takes the word {word}.")


def _avoid(caution: Caution, say: Say) -> Iterator[Advice]:
    for sentence in sentences(caution.avoid):
        first = re.split(r"[\s,]", sentence.lower(), maxsplit=1)[0]
        if first not in lexicon.VERBS and not _COMMAND.match(sentence):
            yield say("SM-05", sentence, "Begin with what to do, such as “Wear …”, “Keep …” or “Do not …”.")
        if first in lexicon.WORK and not re.search(r"\b(before|after|until|do not|again|once more)\b", sentence, re.IGNORECASE):
            yield say("SM-08", sentence, "This is a step of the work. Make it a numbered step, and say here how to stay safe.")


def _same_word(everywhere: Sequence[tuple[str | None, Caution]]) -> Iterator[Advice]:
    first: dict[str, str] = {}
    for step, caution in everywhere:
        word = first.setdefault(caution.title.casefold(), caution.word)
        if word != caution.word:
            yield Advice("SW-07", step, caution.line, caution.title, f"Further up this danger has the word {word.upper()}.")


def _protected(writeup: WriteUp, everywhere: Sequence[tuple[str | None, Caution]], running: Sequence[Paragraph]) -> Iterator[Advice]:
    said = [(part.step.line if part.step else 0, sentence.text.lower()) for part in running for sentence in part.sentences]
    facts = [(0, fact.lower()) for fact in writeup.given]
    facts += [(step.line, fact.lower()) for step in writeup.steps for fact in (*step.makes, *step.needs)]
    follows = writeup.follows.replace("-", " ").lower()
    for step, caution in everywhere:
        for pattern, about, words in _PROTECT:
            before = [text for line, text in (*facts, *said) if line <= caution.line]
            if pattern.search(caution.avoid) and not any(word in text for text in (*before, follows) for word in words):
                yield Advice("SM-09", step, caution.line, about, "Make it a step before this one, or name it under “given:”.")


def _order(step: Step, running: Sequence[Paragraph]) -> Iterator[Advice]:
    first = min((sentence.line for part in running if part.step is step for sentence in part.sentences), default=10**9)
    for caution in step.cautions:
        if caution.line > first:
            yield Advice("PL-01", step.id, caution.line, caution.title, "Put the message before the action that it is about.")
    for above, below in zip(step.cautions, step.cautions[1:], strict=False):
        if WORDS.index(below.word) < WORDS.index(above.word):
            yield Advice("PL-02", step.id, below.line, below.title, f"{below.word.upper()} stands before {above.word.upper()}.")
    if len(step.cautions) > 3:
        yield Advice("PL-04", step.id, step.line, step.title, "Split the step, or tell what its phase has in common at the phase.")


def _repeated(writeup: WriteUp) -> Iterator[Advice]:
    times = Counter((step.phase, caution.title.casefold()) for step in writeup.steps for caution in step.cautions)
    for (phase, title), number in times.items():
        if number > 3:
            line = next(c.line for s in writeup.steps if s.phase == phase for c in s.cautions if c.title.casefold() == title)
            yield Advice("PL-05", None, line, title, f"It stands {number} times in this phase. Say it once at the phase, and at the critical step.")


def covers(step: Step, writeup: WriteUp, words: str) -> bool:
    """Does a message at the step, its phase or the whole write-up speak of one of these words?"""
    phase = [caution for phase in writeup.phases if phase.title == step.phase for caution in phase.cautions]
    told = " ".join(f"{c.title} {c.hazard} {c.harm} {c.avoid} {c.text}" for c in (*step.cautions, *phase, *writeup.cautions))
    return bool(re.search(words, told, re.IGNORECASE))
