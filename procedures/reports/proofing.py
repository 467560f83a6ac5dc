"""What does proofing say of a text, told for people, and what has been answered?"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime

from procedures import texts
from procedures.models import ProofAnswer, WriteUp
from procedures.writeup.proof.catalogue import RULES
from procedures.writeup.proof.proofread import proofread


@dataclass(frozen=True, slots=True)
class Proofed:
    """One finding: where, what, by which rule from which source; and its answer, if it has one."""

    line: str
    rule: str
    level: str
    name: str
    source: str
    step: str
    about: str
    message: str
    reason: str
    by: str
    at: datetime | None


@dataclass(frozen=True, slots=True)
class ProofPage:
    """What is still open (not answered, hints apart), the hints, and what has been answered."""

    open: tuple[Proofed, ...]
    hints: tuple[Proofed, ...]
    answered: tuple[Proofed, ...]


def proof_page(writeup: WriteUp, text: str) -> ProofPage:
    """Everything that proofing finds in this text of a write-up, with the answers given so far; one query."""
    rows = ProofAnswer.objects.filter(writeup=writeup).select_related("by").order_by("pk")
    answers = {(row.rule, row.step, row.about): row for row in rows}
    found = [_told(advice.rule, advice.step or "", advice.line, advice.about, advice.message, answers) for advice in proofread(texts.parsed(text), text)]
    return ProofPage(
        open=_those(found, lambda one: not one.reason and one.level != "hint"),
        hints=_those(found, lambda one: not one.reason and one.level == "hint"),
        answered=_those(found, lambda one: bool(one.reason)),
    )


def _those(found: Iterable[Proofed], wanted: Callable[[Proofed], bool]) -> tuple[Proofed, ...]:
    return tuple(one for one in found if wanted(one))


def _told(rule: str, step: str, line: int, about: str, message: str, answers: dict[tuple[str, str, str], ProofAnswer]) -> Proofed:
    known, answer = RULES[rule], answers.get((rule, step, about))
    given = answer if answer is not None and answer.reason else None
    return Proofed(
        line=str(line), rule=rule, level=known.level, name=known.name, source=known.source, step=step, about=about, message=message,
        reason=given.reason if given else "", by=str(given.by) if given else "", at=given.at if given else None,
    )  # fmt: skip
