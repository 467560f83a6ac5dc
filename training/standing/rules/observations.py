"""Has the person been seen doing it right, often enough and by enough people?"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from training.standing.evidence import LevelRules, Observation, Shop
from training.standing.known import Known
from training.standing.naming import name_entries, supports
from training.standing.results import SENIORS_EYE, Asks, Reason, Step
from training.standing.rules.rule import Case, Finding, Rule, fails, holds


def is_seen_right(row: Observation) -> bool:
    """Say whether somebody else saw it done right."""
    # Folders can hold one by oneself; here the door refuses it already.
    return row.right and row.observer != row.person


def counts_for(row: Observation, level: str) -> bool:
    """Say whether an observation counts before a sign-off for a level: its write-up names the
    level, or none was named.
    """
    # Paper often names the level only: one without a write-up counts for all of them.
    return not row.writeup or row.named_level == level


def observations_done_right(
    known: Known, person: str, rules: LevelRules, day: date
) -> tuple[Observation, ...]:
    """Return the observations done right by the day that count before a sign-off."""
    return tuple(
        row
        for row in known.observations(person, rules.level)
        if row.on <= day and is_seen_right(row) and counts_for(row, rules.level)
    )


def observations_asked(rules: LevelRules) -> int:
    """Return how many observations a level asks: one for each different observer at least."""
    return max(rules.observations, rules.observers)


def observers_of(rows: tuple[Observation, ...]) -> frozenset[str]:
    """Return who saw it done right."""
    return frozenset(row.observer for row in rows)


class Observations(Rule):
    """`not-observed`: enough observations were done right, by enough different observers."""

    name = "observations"
    steps = {"not-observed": Step("observe", "senior", SENIORS_EYE, of_level=False)}
    yardstick = "AMC1 145.A.30(e): assessed at work before working unsupervised"

    def look(self, case: Case) -> Finding:
        rules = case.rules
        rows = observations_done_right(case.known, case.person, rules, case.day)
        # Two counts: three observations by one senior are no three pairs of eyes.
        if len(rows) < observations_asked(rules) or len(observers_of(rows)) < rules.observers:
            return fails(lambda: _why(case, rows))
        return holds(lambda: supports(case.known, rows))

    def asks(self, case: Case) -> Asks | None:
        number, observers = observations_asked(case.rules), case.rules.observers
        if not number:
            return None
        return Asks("observations", (("number", number), ("observers", observers)))

    def tell_terms(self, rules: LevelRules, shop: Shop) -> tuple[Asks, ...]:
        number = observations_asked(rules)
        if not number:
            return ()
        args = (("number", number), ("observers", rules.observers))
        return (Asks("observed-first", args),)

    def days(self, case: Case, until: date) -> Iterator[date]:
        # Observations never run out, so that only their coming can change what is found.
        return (row.on for row in case.known.observations(case.person, case.rules.level))


def _why(case: Case, rows: tuple[Observation, ...]) -> Reason:
    rules = case.rules
    counts = (("done", len(rows)), ("asked", observations_asked(rules)))
    observers = (("observers", len(observers_of(rows))), ("observers_asked", rules.observers))
    return Reason("not-observed", (*counts, *observers), name_entries(case.known, rows))
