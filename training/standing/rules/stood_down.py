"""Has somebody stopped the person from this work, or from all of it?"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from training.standing.evidence import StandDown
from training.standing.known import Known
from training.standing.naming import name_entries
from training.standing.results import BARS_ALL, Asks, Reason, Step
from training.standing.rules.rule import HOLDS, Case, Finding, Rule, fails


def standdowns_in_force(known: Known, person: str, level: str, day: date) -> tuple[StandDown, ...]:
    """Return the stand-downs for a level or for all that began by the day and are not lifted by
    it.
    """
    rows = known.standdowns(person)
    return (
        tuple(row for row in rows if row.level in (None, level) and _in_force(known, row, day))
        if rows
        else ()
    )


def _in_force(known: Known, row: StandDown, day: date) -> bool:
    lifted = known.lifted_on(row)
    # On the day of lifting one is free already.
    return row.first <= day and (lifted is None or lifted > day)


class StoodDown(Rule):
    """`stood-down`: no stand-down for the level or for all is in force."""

    name = "stood-down"
    steps = {"stood-down": Step("clear-stand-down", "senior", BARS_ALL, of_level=False)}
    yardstick = "29 CFR 1910.178(l)(4)(ii): after a near miss, refresher and evaluation at once"
    # A signature must not undo what somebody stopped: only a lifting does.
    bars_signing = True

    def look(self, case: Case) -> Finding:
        # Nearly nobody has one, and this is asked of everybody.
        if case.person not in case.known.files.standdowns:
            return HOLDS
        rows = standdowns_in_force(case.known, case.person, case.asked.level, case.day)
        return fails(lambda: _why(case, rows)) if rows else HOLDS

    def asks(self, case: Case) -> Asks:
        return Asks("stood-down")

    def days(self, case: Case, until: date) -> Iterator[date]:
        for row in case.known.standdowns(case.person):
            yield row.first
            lifted = case.known.lifted_on(row)
            if lifted is not None:
                yield lifted


def _why(case: Case, rows: tuple[StandDown, ...]) -> Reason:
    # No title for all work: the sentence for it is another one, and never glued.
    told = tuple(
        (case.rules.title if row.level else "", row.first, case.known.name(row.by)) for row in rows
    )
    return Reason("stood-down", (("rows", told),), name_entries(case.known, rows))
