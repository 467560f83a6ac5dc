"""Whose standing would the release of a revision change, on which days, and how much work does it
ask?

Each standing is asked of the same function twice, with and without the release, over a span of
days. The hours rest on the assumptions named below (common practice, no source); the page shows
them beside the sum.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Literal

from training.standing.calendar import add_days
from training.standing.days import Span, spans
from training.standing.entitlement import Asked, Asking, StandingWord, asking_of
from training.standing.evidence import LevelRules, RevisionFact, Shop
from training.standing.question import NOTHING_NAMED

READING_MINUTES_A_STEP = 2
"""To read one changed step again at the bench, with its cautions."""
SITTING_MINUTES = 15
"""One sitting of a level's quiz."""
SHOWING_MINUTES = 60
"""One job done while a senior watches; the senior gives as many."""


@dataclass(frozen=True, slots=True)
class Difference:
    """A span of days, both included, on which somebody's standing is another with the release than
    without it.
    """

    first: date
    until: date
    without: StandingWord
    with_it: StandingWord


@dataclass(frozen=True, slots=True)
class Touched:
    """One person at one level whose standing the release changes, if nobody does anything."""

    person: str
    level: str
    differences: tuple[Difference, ...]


@dataclass(frozen=True, slots=True)
class AsksOfPerson:
    """What the release asks of one person at one level who is alone or watched there on the day."""

    person: str
    level: str
    standing: Literal["alone", "watched"]
    reads: bool
    answers: bool
    shows: bool


@dataclass(frozen=True, slots=True)
class Minutes:
    """How long what is asked takes, all people together, in minutes of work."""

    reading: int
    answering: int
    showing: int
    watching: int

    @property
    def total(self) -> int:
        """All of it."""
        return self.reading + self.answering + self.showing + self.watching


def last_day_looked_at(shop: Shop, release: RevisionFact, days: int) -> date:
    """The end of a span from the release that holds `days` days and, whatever the level, its days
    of grace with one more.
    """
    grace = max(
        (rules.grace_days for rules in shop.levels if release.writeup in rules.writeups), default=0
    )
    return add_days(release.released, max(days, grace + 1))


def people_touched(
    shop: Shop, release: RevisionFact, known_at: datetime, until: date
) -> tuple[Touched, ...]:
    """Everybody whose standing at any level is another with the release, from its day to the last
    one, if nobody does anything.

    `known_at` is on or after the day of release. Asked for a fork that nothing is said about.
    """
    # The shop as it is shares its Asking with the pages; the supposed one is used once and not
    # kept.
    without = asking_of(shop, known_at)
    with_it = Asking(replace(shop, revisions=(*shop.revisions, release)), known_at)
    # At any other level both answers are the same: it need not be asked twice to be found equal.
    levels = levels_resting_on(shop, release.writeup)
    found = (
        Touched(
            person.login,
            level,
            tuple(_differences(without, with_it, person.login, level, release.released, until)),
        )
        for level in levels
        for person in shop.people
    )
    return tuple(one for one in found if one.differences)


def _differences(
    without: Asking, with_it: Asking, person: str, level: str, first: date, until: date
) -> Iterator[Difference]:
    asked = Asked(person, level, first, NOTHING_NAMED)
    befores, afters = spans(without, asked, until), spans(with_it, asked, until)
    for before, after in spans_overlapping(befores, afters):
        if before.standing != after.standing:
            yield Difference(
                max(before.first, after.first),
                min(before.until, after.until),
                before.standing,
                after.standing,
            )


def spans_overlapping(ones: Iterable[Span], others: Iterable[Span]) -> Iterator[tuple[Span, Span]]:
    """Each pair of spans that share a day, in the order of their days."""
    others = tuple(others)
    return (
        (one, other)
        for one in ones
        for other in others
        if one.first <= other.until and other.first <= one.until
    )


def levels_resting_on(shop: Shop, writeup: str) -> tuple[str, ...]:
    """The levels that have a write-up, or ask for one that does, by any version of their rules; in
    the shop's order. No standing at another level can change by a release of it."""
    # Any version, since an older one may hold on a day of the span that is looked at.
    found = {rules.level for rules in shop.levels if writeup in rules.writeups}
    while True:
        more = {rules.level for rules in shop.levels if found & set(rules.earlier)} - found
        if not more:
            break
        found |= more
    return tuple(dict.fromkeys(rules.level for rules in shop.levels if rules.level in found))


def asks_of_people(
    shop: Shop, release: RevisionFact, known_at: datetime
) -> tuple[AsksOfPerson, ...]:
    """What the release asks of each person who is alone or watched at a level of the write-up on
    its day, without it; alone also for some forks only.
    """
    asking = asking_of(shop, known_at)
    book = asking.books.on(release.released)
    rows = []
    for rules in book.rules.values():
        if release.writeup not in rules.writeups:
            continue
        for person in shop.people:
            asked = Asked(person.login, rules.level, release.released, NOTHING_NAMED)
            word = asking.standing(asked)
            # A release that asks nothing asks only those who work watched on some fork.
            if release.asks != "nothing" and _is_alone_on_some(asking, asked):
                word = "alone"
            # Whoever is neither alone nor watched has to read
            # everything anyway: the release adds no work.
            if word != "no":
                rows.append(_asks(person.login, rules, word, release))
    return tuple(row for row in rows if row.reads)


def _is_alone_on_some(asking: Asking, asked: Asked) -> bool:
    """Whether somebody is alone for every fork, or for those that a sign-off is limited to."""
    questions = asking.questions_of(asked.person, asked.level, asked.day)
    return any(asking.alone(asked._replace(question=question)) for question in questions)


def _asks(
    person: str, rules: LevelRules, word: Literal["alone", "watched"], release: RevisionFact
) -> AsksOfPerson:
    """Whoever is watched must have read the current revision, whatever it asks of those who are
    alone.
    """
    # Only those signed off before it are asked to answer or show; before a sign-off all of it is
    # asked.
    again = word == "alone" and release.asks in ("answer again", "show again")
    return AsksOfPerson(
        person,
        rules.level,
        word,
        reads=word == "watched" or release.asks != "nothing",
        # A level with no quiz has nothing to answer again; `proof.py` asks it the same way.
        answers=again and rules.pass_percent > 0,
        shows=again and release.asks == "show again",
    )


def count_minutes(asked: Iterable[AsksOfPerson], steps: int) -> Minutes:
    """How long it takes: `steps` changed steps read once by each person, a sitting and a watched
    job for each level that asks.
    """
    asked = tuple(asked)
    shows = sum(one.shows for one in asked)
    # One reading serves all levels that have the write-up, a sitting or a showing only its own.
    readers = len({one.person for one in asked if one.reads})
    return Minutes(
        reading=readers * steps * READING_MINUTES_A_STEP,
        answering=sum(one.answers for one in asked) * SITTING_MINUTES,
        showing=shows * SHOWING_MINUTES,
        watching=shows * SHOWING_MINUTES,
    )


def moment_known(day: date, now: datetime) -> datetime:
    """The moment from which a release of that day is known: now, or the end of the day where that
    is later.
    """
    # A revision is known from its day on, so that a moment before it would not see the release at
    # all.
    return max(now, datetime.combine(day + timedelta(days=1), datetime.min.time(), now.tzinfo))
