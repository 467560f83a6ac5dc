"""How does a standing go over a stretch of days, and on which day does it fall, if nothing else is
recorded?

A standing can only change on a day that some rule names: one that it reaches by the calendar, or on
which an entry already recorded begins to count. Those days are collected, for the level and for all
that come before it, and asked in order; in between nothing changes, so the answer is exact. Whether
a signer was entitled belongs to the day of signing and does not move any more.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from training.standing.calendar import add_months
from training.standing.entitlement import Asked, Asking, StandingWord
from training.standing.rules.rule import Case

ONE_DAY = timedelta(days=1)
# What ends later is told as not ending: a validity of 1200 months would else never be done.
HORIZON_MONTHS = 50 * 12


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
    """
    # A day too many costs one look; neighbours with one standing are joined again below.
    days = [asked.day, *days_of_change(asking, asked, until)]
    found: list[Span] = []
    for day, after in zip(days, (*days[1:], until + ONE_DAY), strict=True):
        standing = asking.standing(asked._replace(day=day))
        if found and found[-1].standing == standing:
            found[-1] = Span(found[-1].first, after - ONE_DAY, standing)
        else:
            found.append(Span(day, after - ONE_DAY, standing))
    return tuple(found)


def lapses_on(asking: Asking, asked: Asked) -> date | None:
    """Return the first later day on which somebody now alone is not, or None when there is none in
    50 years.
    """
    # Alone is asked, not the standing: falling from alone to watched is a lapse as well.
    days = days_of_change(asking, asked, add_months(asked.day, HORIZON_MONTHS))
    return next((day for day in days if not asking.alone(asked._replace(day=day))), None)


def days_of_change(asking: Asking, asked: Asked, until: date) -> list[date]:
    """Return in order the days after the one asked about, up to a later one, on which the standing
    can change.
    """
    return sorted({day for day in _days(asking, asked, until) if asked.day < day <= until})


def _days(asking: Asking, asked: Asked, until: date) -> Iterator[date]:
    # New numbers of any level can change the answer, also at a level that is not among those
    # before.
    yield from asking.books.changes
    # Both sets, since spans tell watched from no; a rule that is in both is asked once.
    rules = dict.fromkeys((*asking.rules.alone, *asking.rules.watched))
    # By each version's own numbers: a validity that is shortened next month ends things on other
    # days.
    for book in asking.books.between(asked.day, until):
        for level in dict.fromkeys((asked.level, *book.before.get(asked.level, ()))):
            if level in book.rules:
                there = asked._replace(level=level)
                case = Case(asking, there, book.rules[level], book)
                for rule in rules:
                    yield from rule.days(case, until)
