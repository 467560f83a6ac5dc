"""Has the person caught up with what releases since the sign-off ask for?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from training.standing.calendar import add_days
from training.standing.evidence import LevelRules, Shop
from training.standing.naming import name_entry, supports
from training.standing.results import OWN_DOING, SENIORS_EYE, Asks, Reason, Step, Support
from training.standing.rules.proof import Proof, changes_since
from training.standing.rules.rule import HOLDS, Case, Finding, Rule, holds

CODES = ("change-not-read", "change-not-answered", "change-not-shown")


class Changes(Rule):
    """`change-not-read`, `change-not-answered`, `change-not-shown`: what each revision released
    since the sign-off asks is there when its days of grace are over.
    """

    name = "changes"
    steps = {
        "change-not-read": Step("read-change", "person", OWN_DOING, of_level=False),
        "change-not-answered": Step("answer-again", "person", OWN_DOING),
        "change-not-shown": Step("show-again", "senior", SENIORS_EYE),
    }
    yardstick = "29 CFR 1910.119(l)(3): trained on a change before it takes effect"
    # Behind the sign-off, for which `held` has looked at the changes already.
    cost = 1

    def look(self, case: Case) -> Finding:
        held = case.held
        # Without a sign-off there is no "after the sign-off"; `no-sign-off` says what is missing.
        if held is None:
            return HOLDS
        overdue = held.overdue(case)
        if overdue:
            return Finding(lambda: tuple(_told(case, overdue)))
        return holds(lambda: _support(case)) if case.rules.writeups else HOLDS

    def asks(self, case: Case) -> Asks | None:
        if case.held is None or not case.rules.writeups:
            return None
        return Asks("changes", (("days", case.rules.grace_days),))

    def tell_terms(self, rules: LevelRules, shop: Shop) -> tuple[Asks, ...]:
        return (Asks("grace-days", (("days", rules.grace_days),)),) if rules.grace_days else ()

    def days(self, case: Case, until: date) -> Iterator[date]:
        known, person, level = case.known, case.person, case.rules.level
        if not case.rules.writeups:
            return
        for writeup in case.rules.writeups:
            for revision in known.revisions(writeup):
                yield revision.released
                # The last day of grace is still a good one: overdue begins on the day after it.
                yield add_days(revision.released, case.rules.grace_days + 1)
            yield from (row.on for row in known.readings(person, writeup))
        yield from (row.on for row in known.passings(person, level))
        # Readings, passes and observations that are recorded with a later day: each may mend a gap.
        yield from (row.on for row in known.observations(person, level))

    def owed(self, case: Case) -> tuple[Reason, ...]:
        """Return what releases since the last sign-off ask for and is not there, days of grace or
        not, but for readings.

        A fresh sign-off puts earlier releases behind it, so whoever gives one must have had them
        answered and shown.
        """
        told = _told(case, _since(case))
        # `not-read` asks for every current revision before a signature, and so says the same of
        # readings.
        return tuple(reason for reason in told if reason.code != "change-not-read")

    def owed_showings(self, case: Case) -> frozenset[str]:
        """Return the write-ups whose change somebody signed off has still to show, days of grace or
        not.
        """
        owed = (proof for proof in _since(case) if "change-not-shown" in proof.missing())
        return frozenset(proof.revision.writeup for proof in owed)


def _since(case: Case) -> tuple[Proof, ...]:
    held = case.held
    if held is None:
        return ()
    # All since, not the overdue ones: also what is within its days of grace is proof to be named,
    # or owed.
    return tuple(changes_since(case.known, held.row, case.rules, case.day))


def _told(case: Case, changes: Iterable[Proof]) -> Iterator[Reason]:
    """Give one reason for each code, naming every revision that lacks it."""
    changes = tuple(changes)
    # By code and not by revision: three revisions unread are one sentence, and one thing to do.
    for code in CODES:
        lacking = [proof.revision for proof in changes if code in proof.missing()]
        if lacking:
            told = tuple(
                (case.known.title(row.writeup), row.number, row.released) for row in lacking
            )
            named = tuple(name_entry(case.known, row) for row in lacking)
            yield Reason(code, (("revisions", told),), named)


def _support(case: Case) -> tuple[Support, ...]:
    shown = (
        row
        for proof in _since(case)
        for row in (proof.reading, proof.passing, proof.observation)
        if row is not None
    )
    return supports(case.known, shown)
