"""On which day does a standing fall without anybody doing anything?

A standing can only fall on a day that some rule reaches by the calendar. Those days are collected,
for the level and for all that come before it, and asked in order. In between nothing can fall.
Whether a signer was entitled belongs to the day of signing and does not move any more.
"""

from collections.abc import Iterator
from datetime import date

from training.standing.calendar import days_on, first_day_out_of_window, months
from training.standing.entitlement import Asked, Asking, asks_practice, days_first_asked
from training.standing.evidence import LevelRules
from training.standing.levels import RuleBook

HORIZON_MONTHS = 50 * 12


def lapses_on(asking: Asking, asked: Asked) -> date | None:
    """Return the first later day on which somebody now alone is not, or None when there is none in
    50 years.
    """
    horizon = months(asked.day, HORIZON_MONTHS)
    days = {day for day in _days_of_change(asking, asked) if asked.day < day <= horizon}
    return next((day for day in sorted(days) if not asking.alone(asked._replace(day=day))), None)


def _days_of_change(asking: Asking, asked: Asked) -> Iterator[date]:
    yield from asking.books.changes
    person = asking.known.person(asked.person)
    if person is not None and person.left is not None:
        yield days_on(person.left, 1)
    for row in asking.known.standdowns(asked.person):
        yield row.first
    for book in asking.books.from_day_on(asked.day):
        for level in (asked.level, *book.before.get(asked.level, ())):
            rules = book.rules.get(level)
            if rules is not None:
                yield from _days_of_level(asking, asked.person, rules, book)


def _days_of_level(
    asking: Asking, person: str, rules: LevelRules, book: RuleBook
) -> Iterator[date]:
    for row in asking.known.signoffs(person, rules.level):
        yield days_on(months(row.on, rules.valid_months), 1)
        if asks_practice(rules):
            yield first_day_out_of_window(row.on, rules.practice_months)
    if asks_practice(rules):
        yield from _days_out_of_practice(asking.job_days(person, rules.level, book), rules)
        yield from days_first_asked(rules)
    for writeup in rules.writeups:
        for revision in asking.known.revisions(writeup):
            yield days_on(revision.released, rules.grace_days + 1)


def _days_out_of_practice(job_days: list[date], rules: LevelRules) -> Iterator[date]:
    """Give the days on which a job leaves the window and fewer jobs than asked are left in it."""
    for place, day in enumerate(job_days):
        out = first_day_out_of_window(day, rules.practice_months)
        last_needed = place + rules.practice_jobs
        if last_needed >= len(job_days) or job_days[last_needed] > out:
            yield out
