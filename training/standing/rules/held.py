"""By which sign-off is a person judged at a level on a day?

One and the same sign-off must be by an entitled signer, cover the question, be valid still, and
have nothing overdue since. Where several do, the latest is taken; where none does, the latest that
counts is the one whose faults are told.
"""

from __future__ import annotations

from datetime import date

from training.standing.calendar import months
from training.standing.evidence import SignOff
from training.standing.question import covers
from training.standing.rules.proof import Proof, changes_overdue
from training.standing.rules.rule import Case


class Held:
    """A sign-off, looked at for one case. Each rule that rests on it reads its own part here, once
    worked out.
    """

    __slots__ = ("_case", "_overdue", "row")

    def __init__(self, case: Case, row: SignOff) -> None:
        self._case, self.row = case, row
        self._overdue: tuple[Proof, ...] | None = None

    @property
    def covers(self) -> bool:
        """Say whether it covers the question."""
        return covers(self.row.limits, self._case.asked.question)

    @property
    def is_valid(self) -> bool:
        """Say whether it has not ended by the day."""
        return self._case.day <= months(self.row.on, self._case.rules.valid_months)

    @property
    def overdue(self) -> tuple[Proof, ...]:
        """Return the changes since, with something missing, whose days of grace are over."""
        if self._overdue is None:
            case = self._case
            self._overdue = tuple(changes_overdue(case.known, self.row, case.rules, case.day))
        return self._overdue

    @property
    def is_entitled(self) -> bool:
        """Say whether its signer was entitled to give it."""
        return self._case.asking.entitled(self.row)

    def rests(self) -> bool:
        """Say whether a standing can rest on it. What is quickly seen comes first."""
        return self.covers and self.is_valid and not self.overdue and self.is_entitled

    def faults(self) -> int:
        """Count what is wrong with it, the changes since left aside."""
        return (not self.covers) + (not self.is_valid) + (not self.is_entitled)


def held_by(case: Case) -> Held | None:
    """Return the latest sign-off on which a standing can rest, else the latest that counts.

    Of several of the latest day it is then the one with the fewest faults, and rather one by an
    entitled signer.
    """
    latest: date | None = None
    same_day: list[Held] = []
    for row in case.asking.signoffs(case.asked):
        held = Held(case, row)
        if held.rests():
            return held
        latest = latest or row.on
        if row.on == latest:
            same_day.append(held)
    if len(same_day) < 2:
        return same_day[0] if same_day else None
    return min(same_day, key=lambda held: (held.faults(), not held.is_entitled))
