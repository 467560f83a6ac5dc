"""What does a page show of the proofing: findings by step, each with its rule, its source and its
answer?
"""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from procedures.models import ProofAnswer, WriteUp
from procedures.records import texts
from procedures.records.wording.proof_rules import LEVELS, RULES
from procedures.records.wording.say import say
from procedures.writeup.proof import signal_words
from procedures.writeup.proof.findings import ProofFinding


@dataclass(frozen=True, slots=True)
class Answered:
    """Why a finding may stand, who said so and when."""

    reason: str
    by: str
    at: datetime


@dataclass(frozen=True, slots=True)
class ProofFound:
    """One finding, told for the page. `key` names it on the page and in the form that answers
    it.
    """

    key: str
    rule: str
    name: str
    source: str
    level: str
    asks: bool
    line: str
    about: str
    message: str
    answer: Answered | None

    @property
    def is_open(self) -> bool:
        """Whether it stands against a review and a release."""
        return self.asks and self.answer is None


@dataclass(frozen=True, slots=True)
class ProofGroup:
    """The findings in one step; those in the header, the introduction and the phases stand under an
    empty step.
    """

    step: str
    number: str
    title: str
    found: tuple[ProofFound, ...]


@dataclass(frozen=True, slots=True)
class ProofPage:
    """The findings in a text by step, in the order of the text, with how many wait, are answered
    and are hints.
    """

    groups: tuple[ProofGroup, ...]
    open: int
    answered: int
    hints: int

    @property
    def blocks(self) -> bool:
        """Whether something here stands against a review and a release."""
        return self.open > 0

    @property
    def which_word(self) -> tuple[tuple[str, str, str, str], ...]:
        """From harm and chances to the signal word, in capitals, for somebody who writes a
        caution.
        """
        return tuple((*row[:3], row[3].upper()) for row in signal_words.table())


def proof_page(writeup: WriteUp, text: str) -> ProofPage:
    """What the proofing finds in this text of a write-up, with the answers that hold; one query."""
    answers = ProofAnswer.objects.standing(writeup)
    found = texts.proof_once(text)
    told = [_told(each, answers) for each in found]
    return ProofPage(
        groups=_groups(found, told, text),
        open=sum(each.is_open for each in told),
        answered=sum(each.asks and each.answer is not None for each in told),
        hints=sum(not each.asks for each in told),
    )


def key_of(found: ProofFinding) -> str:
    """A short name of a finding: the same for as long as its rule, its step and its words are."""
    return hashlib.sha256("\0".join(found.key).encode()).hexdigest()[:16]


def find_by_key(text: str, key: str) -> ProofFinding | None:
    """The finding of this short name in a text, None when the text does not have it (any more)."""
    return next((found for found in texts.proof_once(text) if key_of(found) == key), None)


def _told(found: ProofFinding, answers: Mapping[tuple[str, str, str], ProofAnswer]) -> ProofFound:
    answer = answers.get(found.key)
    return ProofFound(
        key=key_of(found),
        rule=found.rule,
        name=str(RULES[found.rule]),
        source=found.source,
        level=str(LEVELS[found.level]),
        asks=found.asks,
        line=str(found.line),
        about=found.about,
        message=say(found.remark),
        answer=Answered(answer.reason, str(answer.by), answer.at) if answer else None,
    )


def _groups(
    found: Sequence[ProofFinding], told: Sequence[ProofFound], text: str
) -> tuple[ProofGroup, ...]:
    """The findings of each step together; what stands outside steps comes first."""
    steps = {step.id: (step.number, step.title) for step in texts.parse_once(text).steps}
    by_step: dict[str, list[ProofFound]] = {}
    for each, shown in zip(found, told, strict=True):
        by_step.setdefault(each.step or "", []).append(shown)
    order = sorted(by_step, key=lambda step: steps[step][0] if step in steps else 0)
    heads = {step: (str(number), title) for step, (number, title) in steps.items()}
    return tuple(
        ProofGroup(step, *heads.get(step, ("", "The write-up as a whole")), tuple(by_step[step]))
        for step in order
    )
