"""By which sign-off is a person judged at a level on a day?

One and the same sign-off must be by an entitled signer, cover the question, be valid still, and
have nothing overdue since. Where several do, the latest is taken; where none does, the latest that
counts is the one whose faults are told.
"""

from __future__ import annotations

from datetime import date

from training.standing.calendar import add_months
from training.standing.evidence import SignOff
from training.standing.question import covers
from training.standing.rules.proof import Proof, changes_overdue
from training.standing.rules.rule import Case


class Held:
    """A sign-off, looked at for one case. Each rule that rests on it asks its own part here.

    It keeps no case, since a circle of the two would be left to the collector for every question.
    """

    __slots__ = ("_overdue", "is_sound", "row")

    def __init__(self, row: SignOff) -> None:
        self.row = row
        self._overdue: tuple[Proof, ...] | None = None
        self.is_sound = False
        """Whether a standing can rest on it, as far as that was asked."""

    def covers(self, case: Case) -> bool:
        """Say whether it covers the question."""
        # Most sign-offs are unlimited, and this is asked of every sign-off in every case.
        return not self.row.limits or covers(self.row.limits, case.asked.question)

    def is_valid(self, case: Case) -> bool:
        """Say whether it has not ended by the day."""
        # By the rules of the day asked about, not of the day of signing: new rules hold for old
        # sign-offs.
        return case.day <= add_months(self.row.on, case.rules.valid_months)

    def overdue(self, case: Case) -> tuple[Proof, ...]:
        """Return the changes since, with something missing, whose days of grace are over."""
        if self._overdue is None:
            # Most levels have no revision that asks for something,
            # and then no sign-off need be looked at for it.
            asking = case.known.asking_revisions(case.rules)
            found = changes_overdue(case.known, self.row, case.rules, case.day) if asking else ()
            # Kept, since the rule of changes tells what this found.
            self._overdue = tuple(found)
        return self._overdue

    def is_entitled(self, case: Case) -> bool:
        """Say whether its signer was entitled to give it."""
        return case.asking.entitled(self.row)

    def rests(self, case: Case) -> bool:
        """Say whether a standing can rest on it. What is quickly seen comes first."""
        self.is_sound = (
            self.is_valid(case)
            and self.covers(case)
            and not self.overdue(case)
            and self.is_entitled(case)
        )
        return self.is_sound

    def faults(self, case: Case) -> int:
        """Count what is wrong with it, the changes since left aside."""
        return (not self.covers(case)) + (not self.is_valid(case)) + (not self.is_entitled(case))


def signoff_held(case: Case) -> Held | None:
    """Return the latest sign-off on which a standing can rest, else the latest that counts.

    Of several of the latest day it is then the one with the fewest faults, and rather one by an
    entitled signer.
    """
    latest: date | None = None
    same_day: list[Held] = []
    for row in case.asking.signoffs(case.asked):
        held = Held(row)
        # One sign-off for rules 3, 4 and 6 (README.md): two halves of two sign-offs make none.
        if held.rests(case):
            return held
        latest = latest or row.on
        # Of one day nobody can say which came last: the one nearest to holding is told.
        if row.on == latest:
            same_day.append(held)
    if len(same_day) < 2:
        return same_day[0] if same_day else None
    return min(same_day, key=lambda held: (held.faults(case), not held.is_entitled(case)))
