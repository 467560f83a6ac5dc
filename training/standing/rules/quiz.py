"""Has the person passed the quiz of the level, and is the pass valid still?"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import date

from training.standing.calendar import add_days, add_months
from training.standing.evidence import Files, LevelRules, Passing, Shop
from training.standing.known import Known
from training.standing.naming import name_entries, supports
from training.standing.results import OWN_DOING, Args, Asks, Reason, Step
from training.standing.rules.rule import HOLDS, Case, Finding, Rule, fails, holds


def is_pass(row: Passing, rules: LevelRules) -> bool:
    """Say whether a sitting reached the percentage with every critical question right."""
    # By the pass mark of the day asked about: a raised mark asks for more of old sittings as well.
    return row.critical_right and row.percent >= rules.pass_percent


def valid_pass(known: Known, person: str, rules: LevelRules, day: date) -> Passing | None:
    """Return the latest pass of the level's quiz that is still valid on the day."""
    passes = (
        row for row in known.passings(person, rules.level) if row.on <= day and is_pass(row, rules)
    )
    # Not whether any is valid: the latest lasts longest, and is the one to be named.
    latest = max(passes, key=lambda row: (row.on, row.recorded_at), default=None)
    return (
        latest if latest is not None and day <= add_months(latest.on, rules.valid_months) else None
    )


def latest_sitting(known: Known, person: str, rules: LevelRules, day: date) -> Passing | None:
    """Return the latest sitting by a day, here or on paper: by its day, then by its instant.

    Of two with one instant (a folder that says none) it is the one that is no pass: the order that
    is safe.
    """
    rows = (row for row in known.passings(person, rules.level) if row.on <= day)
    return max(
        rows, key=lambda row: (row.on, row.recorded_at, not is_pass(row, rules)), default=None
    )


def has_latest_passed(known: Known, person: str, rules: LevelRules, day: date) -> bool:
    """Say whether the latest sitting is a pass that is still valid, or no quiz is asked. This is
    what a sign-off asks.
    """
    if rules.pass_percent == 0:
        return True
    return _is_valid_pass(latest_sitting(known, person, rules, day), rules, day)


def _is_valid_pass(row: Passing | None, rules: LevelRules, day: date) -> bool:
    return row is not None and is_pass(row, rules) and day <= add_months(row.on, rules.valid_months)


class Quiz(Rule):
    """`quiz-not-passed`, `critical-wrong`: before a sign-off the latest sitting is a pass that is
    valid still; for being watched any such pass will do.
    """

    name = "quiz"
    steps = {
        "quiz-not-passed": Step("sit-quiz", "person", OWN_DOING),
        "critical-wrong": Step("go-through-critical", "person", OWN_DOING, of_level=False),
    }
    yardstick = "49 CFR 172.702(d): each person is tested on what the training was about"

    # Before a signature "the *latest* sitting must be one"; to work watched an older valid pass
    # will do.
    def __init__(self, *, latest: bool) -> None:
        self._latest = latest

    def look(self, case: Case) -> Finding:
        rules, day = case.rules, case.day
        if rules.pass_percent == 0:
            return HOLDS
        # `valid_pass` skips sittings that failed since; `latest_sitting` is meant to stumble over
        # them.
        find = latest_sitting if self._latest else valid_pass
        row = find(case.known, case.person, rules, day)
        if row is None or not _is_valid_pass(row, rules, day):
            return fails(lambda: _why(case))
        return holds(lambda: supports(case.known, [row]))

    def asks(self, case: Case) -> Asks | None:
        percent = case.rules.pass_percent
        return Asks("quiz", (("percent", percent),)) if percent else None

    def tell_terms(self, rules: LevelRules, shop: Shop) -> tuple[Asks, ...]:
        percent = rules.pass_percent
        return (Asks("pass-percent", (("percent", percent),)),) if percent else ()

    def days(self, case: Case, until: date) -> Iterator[date]:
        if case.rules.pass_percent:
            for row in case.known.passings(case.person, case.rules.level):
                yield row.on
                # The last day counts still: it has run out on the day after.
                yield add_days(add_months(row.on, case.rules.valid_months), 1)

    def candidates(self, files: Files, rules: LevelRules, day: date) -> Collection[str] | None:
        if rules.pass_percent == 0:
            return None
        first = add_months(day, -rules.valid_months)
        return files.passings.people_between(rules.level, first, day)


def _why(case: Case) -> Reason:
    """Return what is wrong with the latest sitting, for somebody whom the quiz holds up."""
    rules = case.rules
    latest = latest_sitting(case.known, case.person, rules, case.day)
    title: Args = (("title", rules.title),)
    if latest is None:
        return Reason("quiz-not-passed", title)
    reached: Args = (*title, ("percent", latest.percent), ("day", latest.on))
    named = name_entries(case.known, [latest])
    # The percentage first: `critical-wrong` is told only to whoever reached it.
    if latest.percent < rules.pass_percent:
        return Reason("quiz-not-passed", (*reached, ("asked", rules.pass_percent)), named)
    if not latest.critical_right:
        return Reason("critical-wrong", reached, named)
    # Nothing is wrong with the sitting itself, so it can only have run out.
    last = add_months(latest.on, rules.valid_months)
    return Reason("quiz-not-passed", (*title, ("day", latest.on), ("last", last)), named)
