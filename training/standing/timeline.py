"""What is a person's standing on each day of a span, if nothing else is recorded?

A standing can only change on a day that some rule reaches by the calendar, or on which some entry already recorded
begins to count. Those days are collected and asked in order; in between nothing changes, so the answer is exact.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from training.standing.calendar import days_on, first_day_out_of_window, months
from training.standing.entitlement import Asked, Asking, StandingWord, asks_practice
from training.standing.evidence import LevelRules
from training.standing.levels import RuleBook
from training.standing.rules import Question

NOTHING_NAMED: Question = frozenset()


@dataclass(frozen=True, slots=True)
class Spell:
    """A span of days, both included, with one standing."""

    first: date
    until: date
    standing: StandingWord


def timeline(
    asking: Asking, person: str, level: str, first: date, until: date, question: Question = NOTHING_NAMED
) -> tuple[Spell, ...]:
    """The standing of one person at one level from the first day to the last, in spells without a gap between them."""
    starts = sorted({first, *(day for day in days_of_change(asking, person, level, first) if first < day <= until)})
    spells: list[Spell] = []
    for start, end in zip(starts, [*(day - timedelta(days=1) for day in starts[1:]), until], strict=True):
        word = asking.standing(Asked(person, level, start, question))
        if spells and spells[-1].standing == word:
            spells[-1] = Spell(spells[-1].first, end, word)
        else:
            spells.append(Spell(start, end, word))
    return tuple(spells)


def days_of_change(asking: Asking, person: str, level: str, first: date) -> Iterator[date]:
    """Every day on which the standing may rise or fall from a day on; days on which it does not may be among them."""
    yield from asking.books.changes
    yield from _of_person(asking, person)
    for book in asking.books.from_day_on(first):
        for name in (level, *book.before.get(level, ())):
            rules = book.rules.get(name)
            if rules is not None:
                yield from _of_level(asking, person, rules, book)


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


def _of_level(asking: Asking, person: str, rules: LevelRules, book: RuleBook) -> Iterator[date]:
    for signed in asking.known.signoffs(person, rules.level):
        yield signed.on
        yield days_on(months(signed.on, rules.valid_months), 1)
    for passed in asking.known.passings(person, rules.level):
        yield passed.on
        yield days_on(months(passed.on, rules.valid_months), 1)
    for seen in asking.known.observations(person, rules.level):
        yield seen.on
    if asks_practice(rules):
        yield from _of_practice(asking, person, rules, book)
    for writeup in rules.writeups:
        for revision in asking.known.revisions(writeup):
            yield revision.released
            yield days_on(revision.released, rules.grace_days + 1)
        for reading in asking.known.readings(person, writeup):
            yield reading.on


def _of_practice(asking: Asking, person: str, rules: LevelRules, book: RuleBook) -> Iterator[date]:
    for day in asking.job_days(person, rules.level, book):
        yield day
        yield first_day_out_of_window(day, rules.practice_months)
    for signed in asking.known.signoffs(person, rules.level):
        yield first_day_out_of_window(signed.on, rules.practice_months)
