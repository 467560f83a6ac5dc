"""Has the person done enough jobs lately, or been signed off lately?"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from datetime import date, timedelta

from training.standing.calendar import add_days, add_months, first_day_out_of_window
from training.standing.evidence import Job, LevelRules, Shop, SignOff
from training.standing.naming import name_entries, name_entry, supports
from training.standing.results import OWN_DOING, Asks, NextStep, Reason, Step, Support
from training.standing.rules.rule import HOLDS, Case, Finding, Rule, fails, holds

SLACK = timedelta(days=4)
"""More than a month's end can move a day, there and back."""


def asks_practice(rules: LevelRules) -> bool:
    """Say whether a level asks for practice at all, on this day or on later ones."""
    # Either alone is half a rule: jobs without a span, or a span without jobs.
    return rules.practice_jobs > 0 and rules.practice_months > 0


def last_day_unasked(rules: LevelRules, practice_from: date) -> date:
    """Return the last day on which practice is not asked yet."""
    return add_months(practice_from, rules.practice_months)


def is_practice_asked(rules: LevelRules, day: date) -> bool:
    """Say whether a level asks for practice on a day: not in the first months after the shop began
    to write jobs down.
    """
    if not asks_practice(rules):
        return False
    # A shop that begins to log jobs has none to show yet: a full window must have passed first.
    return rules.practice_from is None or day > last_day_unasked(rules, rules.practice_from)


def start_of_window(rules: LevelRules, day: date) -> date:
    """Return the first day of the window in which a level asks for practice."""
    return add_months(day, -rules.practice_months)


class Practice(Rule):
    """`out-of-practice`: enough jobs of the level, or of levels that it comes before, lie in the
    window, or an entitled sign-off for it, whatever that covers.
    """

    name = "practice"
    steps = {
        # Before a first sign-off nobody can be out of practice.
        "out-of-practice": Step(
            "get-into-practice", "person", OWN_DOING, needless_with="no-sign-off"
        )
    }
    yardstick = (
        "ISO 9606-1, 9.2 and ASME IX, QW-322.1 (secondary accounts): lapses when not used for six "
        "months"
    )
    # It may read every job, of which a shop has more than of all else; only other levels cost more.
    cost = 3

    def look(self, case: Case) -> Finding:
        rules = case.rules
        if not is_practice_asked(rules, case.day):
            return HOLDS
        first = start_of_window(rules, case.day)
        # The sign-off is looked for first: for whoever has one, no job needs to be read.
        fresh = _fresh_signoff(case, first)
        if fresh is None and _is_short(case, first):
            return fails(lambda: _why(case, first))
        return holds(lambda: _support(case, first, fresh))

    def asks(self, case: Case) -> Asks | None:
        rules = case.rules
        if not asks_practice(rules):
            return None
        after = last_day_unasked(rules, rules.practice_from) if rules.practice_from else None
        numbers = (("jobs", rules.practice_jobs), ("months", rules.practice_months))
        return Asks("practice", (*numbers, ("after", after)))

    def tell_terms(self, rules: LevelRules, shop: Shop) -> tuple[Asks, ...]:
        if not asks_practice(rules):
            return ()
        numbers = (("jobs", rules.practice_jobs), ("months", rules.practice_months))
        asked = Asks("in-practice", numbers)
        if rules.practice_from is None:
            return (asked,)
        since = (("first", rules.practice_from), ("months", rules.practice_months))
        return (asked, Asks("practice-from", since))

    def days(self, case: Case, until: date) -> Iterator[date]:
        rules = case.rules
        if not asks_practice(rules):
            return
        if rules.practice_from is not None:
            yield add_days(last_day_unasked(rules, rules.practice_from), 1)
        # Entitled or not: that belongs to the day of signing, and a day too many only costs a look.
        for row in case.known.signoffs(case.person, rules.level):
            yield row.on
            yield first_day_out_of_window(row.on, rules.practice_months)
        yield from _days_of_jobs(case, until)

    # They still work alone then, so that no supervised job is needed, as after the lapse.
    def keep(self, case: Case, reason: Reason, by: date) -> NextStep:
        short = case.rules.practice_jobs - _count(case, start_of_window(case.rules, case.day))
        args = (("jobs", short), ("title", case.rules.title))
        return NextStep("stay-in-practice", "person", args, by)


def _fresh_signoff(case: Case, first: date) -> SignOff | None:
    """Return the latest entitled sign-off for the level signed on or after a day."""
    for row in case.asking.signoffs(case.asked):
        # The latest come first, so that whatever follows is older still.
        if row.on < first:
            break
        if case.asking.entitled(row):
            return row
    return None


def _count(case: Case, first: date) -> int:
    days = case.asking.job_days(case.person, case.rules.level, case.book)
    return bisect_right(days, case.day) - bisect_left(days, first)


def _is_short(case: Case, first: date) -> bool:
    asked, levels = case.rules.practice_jobs, case.book.fed_by[case.rules.level]
    # The days are had without reading a job: most who are short are found by them alone.
    if case.known.is_short_of_jobs(case.person, levels, asked, first):
        return True
    return _count(case, first) < asked


def _jobs_in_window(case: Case, first: date) -> list[Job]:
    """Return the jobs that count, the oldest first."""
    jobs = case.asking.jobs(case.person, case.rules.level, case.book)
    inside = [job for job in jobs if first <= job.on <= case.day]
    return sorted(inside, key=lambda job: (job.on, job.recorded_at))


def _why(case: Case, first: date) -> Reason:
    jobs = _jobs_in_window(case, first)
    numbers = (("done", len(jobs)), ("asked", case.rules.practice_jobs), ("since", first))
    return Reason("out-of-practice", numbers, name_entries(case.known, jobs))


def _support(case: Case, first: date, fresh: SignOff | None) -> tuple[Support, ...]:
    """Return the latest jobs that are enough, else the sign-off in the window."""
    lasting, jobs = case.rules.practice_months, _jobs_in_window(case, first)
    if len(jobs) >= case.rules.practice_jobs:
        # The latest ones, since these last longest; the oldest of them is the first to leave the
        # window.
        needed = jobs[-case.rules.practice_jobs :]
        last = add_days(first_day_out_of_window(needed[0].on, lasting), -1)
        return (*supports(case.known, needed), Support(None, None, "enough-until", last))
    if fresh is None:
        return ()
    last = add_days(first_day_out_of_window(fresh.on, lasting), -1)
    return (Support(name_entry(case.known, fresh), fresh.on, "counts-until", last),)


def _days_of_jobs(case: Case, until: date) -> Iterator[date]:
    """Give the days on which a job comes, or leaves the window with fewer than are asked left in
    it.
    """
    rules, first = case.rules, case.day
    days, lasting = case.asking.job_days(case.person, rules.level, case.book), rules.practice_months
    yield from days[bisect_left(days, first) : bisect_right(days, until)]
    # Jobs from before the case: they are in its window still, and leave it later.
    start = bisect_left(days, max(add_months(first, -lasting), date.min + SLACK) - SLACK)
    for place in range(
        start, bisect_right(days, add_days(add_months(until, -lasting), SLACK.days))
    ):
        needed = place + rules.practice_jobs
        # Where enough later jobs come well within the window, its calendar need not be asked: a
        # month has 28 days at least.
        if needed >= len(days) or (days[needed] - days[place]).days > 28 * lasting:
            yield first_day_out_of_window(days[place], lasting)
