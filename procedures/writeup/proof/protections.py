"""Is what a caution asks for beforehand (eye protection, the air out) a step of the write-up?"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from procedures.writeup.proof.findings import ProofFinding, finding
from procedures.writeup.proof.messages import each_message
from procedures.writeup.proof.reading import Part, Reading
from procedures.writeup.remarks import remark


@dataclass(frozen=True, slots=True)
class Protection:
    """Something that protects: `named` finds it in a fact or a sentence, `done` finds the command
    that brings it about.
    """

    name: str
    named: re.Pattern[str]
    done: re.Pattern[str]


def _protection(name: str, named: str, done: str) -> Protection:
    return Protection(name, re.compile(named, re.IGNORECASE), re.compile(done, re.IGNORECASE))


_WEAR = r"\b(?:wear|put on)\b"
PROTECTIONS = (
    _protection(
        "eye protection", r"\beye protection|\bgoggles|\bsafety glasses|\bface shield", _WEAR
    ),
    _protection("gloves", r"\bgloves?\b", _WEAR),
    _protection("a mask", r"\b(?:mask|respirator)\b", _WEAR),
    _protection(
        "the air let out",
        r"\bair\b.{0,20}\b(?:let "
        r"out|released|out)\b|\b(?:release|vent|let)\b.{0,20}\bair\b|\bdepressuris|\bno more "
        r"air\b",
        r"^\W*(?:release|vent|let)\b|\b(?:push|press)\b.{0,80}\buntil\b.{0,40}\bair\b",
    ),
    _protection("the part disconnected", r"\bdisconnect", r"^\W*disconnect\b"),
    _protection("the part blocked", r"\bblock(?:ed)?\b", r"^\W*block\b"),
)


def protections_are_steps(reading: Reading) -> Iterator[ProofFinding]:
    """SM-09: what a caution asks for is done in a step before, or holds from the start; for a
    phase, also in one of its steps.
    """
    given = {
        each.name
        for each in PROTECTIONS
        if any(each.named.search(fact) for fact in reading.writeup.given)
    }
    by_step = [(part, _brought_about(part)) for part in reading.parts]
    anywhere = given.union(*(found for _, found in by_step))
    before: dict[int, set[str]] = {}
    done = set(given)
    for part, found in by_step:
        done |= found
        before[part.line] = set(done)
    for part, message in each_message(reading):
        # The caution of a phase speaks for all of its steps, wherever one of them sees to it.
        known = before[part.line] if part.step else anywhere
        for sentence in message.avoid:
            for each in PROTECTIONS:
                if (
                    each.name not in known
                    and each.done.search(sentence.text)
                    and each.named.search(sentence.text)
                ):
                    told = remark(
                        "protection-without-step", sentence=sentence.text, protection=each.name
                    )
                    yield finding(
                        "SM-09", part.id, sentence.line, f"{each.name}: {sentence.text}", told
                    )


def _brought_about(part: Part) -> set[str]:
    """What a step needs, makes or tells to do; what it needs is proved by the rehearsal."""
    if part.step is None:
        return set()
    facts = (*part.step.needs, *part.step.makes)
    told = [sentence.text for sentence in part.sentences]
    return {
        each.name
        for each in PROTECTIONS
        if any(each.named.search(fact) for fact in facts)
        or any(each.named.search(text) and each.done.search(text) for text in told)
    }
