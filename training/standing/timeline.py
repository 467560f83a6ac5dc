"""What is a person's standing on each day of a span, if nothing else is recorded?

A standing can only change on a day that some rule reaches by the calendar, or on which some entry
already recorded begins to count. Those days are collected and asked in order; in between nothing
changes, so the answer is exact.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from training.standing.calendar import days_on, first_day_out_of_window, months
from training.standing.entitlement import (
    Asked,
    Asking,
    StandingWord,
    asks_practice,
    days_first_asked,
)
from training.standing.evidence import LevelRules
from training.standing.levels import RuleBook
from training.standing.rules import Question

NOTHING_NAMED: Question = frozenset()
SLACK = timedelta(days=4)
"""More than a month's end can move a day, there and back."""


@dataclass(frozen=True, slots=True)
class Spell:
    """A span of days, both included, with one standing."""

    first: date
    until: date
    standing: StandingWord


def timeline(
    asking: Asking,
    person: str,
    level: str,
    first: date,
    until: date,
    question: Question = NOTHING_NAMED,
) -> tuple[Spell, ...]:
    """The standing of one person at one level from the first day to the last, in spells without a
    gap between them.
    """
    starts = sorted(
        {
            first,
            *(
                day
                for day in days_of_change(asking, person, level, first, until)
                if first < day <= until
            ),
        }
    )
    spells: list[Spell] = []
    for start, end in zip(
        starts, [*(day - timedelta(days=1) for day in starts[1:]), until], strict=True
    ):
        word = asking.standing(Asked(person, level, start, question))
        if spells and spells[-1].standing == word:
            spells[-1] = Spell(spells[-1].first, end, word)
        else:
            spells.append(Spell(start, end, word))
    return tuple(spells)


def days_of_change(
    asking: Asking, person: str, level: str, first: date, until: date
) -> Iterator[date]:
    """Every day of a span on which the standing may rise or fall; others, also outside the span,
    may be among them.
    """
    yield from asking.books.changes
    yield from _of_person(asking, person)
    for book in asking.books.from_day_on(first):
        for name in (level, *book.before.get(level, ())):
            rules = book.rules.get(name)
            if rules is not None:
                yield from _of_level(asking, person, rules, book, first, until)


def _of_person(asking: Asking, login: str) -> Iterator[date]:
    person = asking.known.person(login)
    if person is not None and person.started is not None:
        yield person.started
    if person is not None and person.left is not None:
        yield days_on(person.left, 1)
    for row in asking.known.standdowns(login):
        yield row.first
        lifted = asking.known.lifted_on(row)
        if lifted is not None:
            yield lifted


def _of_level(
    asking: Asking, person: str, rules: LevelRules, book: RuleBook, first: date, until: date
) -> Iterator[date]:
    for signed in asking.known.signoffs(person, rules.level):
        yield signed.on
        yield days_on(months(signed.on, rules.valid_months), 1)
    for passed in asking.known.passings(person, rules.level):
        yield passed.on
        yield days_on(months(passed.on, rules.valid_months), 1)
    for seen in asking.known.observations(person, rules.level):
        yield seen.on
    if asks_practice(rules):
        yield from _of_practice(asking, person, rules, book, first, until)
        yield from days_first_asked(rules)
    for writeup in rules.writeups:
        for revision in asking.known.revisions(writeup):
            yield revision.released
            yield days_on(revision.released, rules.grace_days + 1)
        for reading in asking.known.readings(person, writeup):
            yield reading.on


def _of_practice(
    asking: Asking, person: str, rules: LevelRules, book: RuleBook, first: date, until: date
) -> Iterator[date]:
    """Days on which a job comes, or leaves the window with fewer than are asked left in it."""
    days, lasting = asking.job_days(person, rules.level, book), rules.practice_months
    yield from days[bisect_left(days, first) : bisect_right(days, until)]
    start = bisect_left(days, max(months(first, -lasting), date.min + SLACK) - SLACK)
    for place in range(start, bisect_right(days, days_on(months(until, -lasting), SLACK.days))):
        needed = place + rules.practice_jobs
        # Where enough later jobs come well within the window, its calendar need not be asked: a
        # month has 28 days at least.
        if needed >= len(days) or (days[needed] - days[place]).days > 28 * lasting:
            yield first_day_out_of_window(days[place], lasting)
    for signed in asking.known.signoffs(person, rules.level):
        yield first_day_out_of_window(signed.on, lasting)
