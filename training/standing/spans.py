"""What is the standing of a person over a stretch of days, as spans of days on which it stays the
same?

The standing is asked only on days on which some rule can change it; between two such days nothing
does.
"""

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

ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Span:
    """A standing from the first to the last day, both included."""

    first: date
    until: date
    standing: StandingWord

    @property
    def days(self) -> int:
        """Return how many days the span has."""
        return (self.until - self.first).days + 1


def spans(asking: Asking, asked: Asked, until: date) -> tuple[Span, ...]:
    """Return the spans from the day that is asked about until a later one, both included, without a
    gap.

    Days of the future are answered as if nothing else were recorded.
    """
    first = asked.day
    days = sorted(
        {first, *(day for day in days_of_change(asking, asked, until) if first < day <= until)}
    )
    found: list[Span] = []
    for day, after in zip(days, (*days[1:], until + ONE_DAY), strict=True):
        standing = asking.standing(asked._replace(day=day))
        if found and found[-1].standing == standing:
            found[-1] = Span(found[-1].first, after - ONE_DAY, standing)
        else:
            found.append(Span(day, after - ONE_DAY, standing))
    return tuple(found)


def days_of_change(asking: Asking, asked: Asked, until: date) -> Iterator[date]:
    """Give the days, in any order and some of them outside, on which the standing can change up to
    a day.
    """
    yield from asking.books.changes
    person = asking.known.person(asked.person)
    if person is not None:
        yield from filter(None, [person.started, person.left and days_on(person.left, 1)])
    for row in asking.known.standdowns(asked.person):
        yield from filter(None, [row.first, asking.known.lifted_on(row)])
    books = [
        asking.books.on(asked.day),
        *(asking.books.on(day) for day in asking.books.changes if day <= until),
    ]
    for book in dict.fromkeys(books):
        for level in (asked.level, *book.before.get(asked.level, ())):
            rules = book.rules.get(level)
            if rules is not None:
                yield from _of_level(asking, asked.person, rules, book)


def _of_level(asking: Asking, person: str, rules: LevelRules, book: RuleBook) -> Iterator[date]:
    known = asking.known
    signed = [row.on for row in known.signoffs(person, rules.level)]
    for on in (*signed, *(row.on for row in known.passings(person, rules.level))):
        yield on
        yield days_on(months(on, rules.valid_months), 1)
    if asks_practice(rules):
        for on in (*signed, *asking.job_days(person, rules.level, book)):
            yield on
            yield first_day_out_of_window(on, rules.practice_months)
        yield from days_first_asked(rules)
    for seen in known.observations(person, rules.level):
        yield seen.on
    for writeup in rules.writeups:
        for revision in known.revisions(writeup):
            yield revision.released
            yield days_on(revision.released, rules.grace_days + 1)
        for reading in known.readings(person, writeup):
            yield reading.on
