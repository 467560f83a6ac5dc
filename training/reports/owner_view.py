"""How does the shop stand today, where is it short in the next weeks, and what changed since
somebody last looked?
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext

from quizzes.models import QuizRules
from training.cover.gaps import days_between, gaps
from training.cover.release import Standings
from training.cover.rota import Rota
from training.records.wording.reasons import say_first, say_reason
from training.reports.at_bench import rules_in_force
from training.reports.cover import Short, short_days, wanted_of
from training.standing.answer import answers, standings
from training.standing.changed import changes_between
from training.standing.entitlement import asking_of
from training.standing.evidence import Shop
from training.standing.rules.here import has_left

SOON = timedelta(days=30)
WEEKS = timedelta(days=27)  # from today on: four weeks
MOST_CHANGES = 8  # on the first page; the page of all changes shows them all

Levels = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class LevelToday:
    """How a level stands today: who may work alone and is at work, who may but is away, who may and
    is not on the rota; and how many may work supervised or not at all, of those at the bench.
    """

    level: str
    title: str
    there: tuple[str, ...]
    away: tuple[str, ...]
    off_rota: tuple[str, ...]
    others: str


def quizzes_without_wait(shop: Shop, levels: Levels, on: date) -> tuple[tuple[str, str], ...]:
    """The quiz (name) and the title of each level that asks for a quiz and lets one sit it again at
    once after a failure; one query.
    """
    free = set(
        QuizRules.objects.in_force().filter(wait_days=0).values_list("quiz__name", flat=True)
    )
    asking = (
        (name, title)
        for name, title in levels
        if (rules := rules_in_force(shop, name, on)) and rules.pass_percent
    )
    return tuple((name, title) for name, title in asking if name in free)


@dataclass(frozen=True, slots=True)
class Soon:
    """A standing alone that falls within the next days, if nothing happens."""

    login: str
    name: str
    level: str
    title: str
    on: date

    @property
    def last_day(self) -> date:
        """The last good day, the day before it runs out."""
        return self.on - timedelta(days=1)


@dataclass(frozen=True, slots=True)
class ChangeShown:
    """One standing that is another one than on the last visit, with the first reason that came or
    went.
    """

    login: str
    name: str
    level: str
    title: str
    before: str
    after: str
    why: str


@dataclass(frozen=True, slots=True)
class Since:
    """What changed since a day; `more` tells how many changes are not shown here."""

    day: date
    changes: tuple[ChangeShown, ...]
    more: str


def levels_today(
    shop: Shop, levels: Levels, on: date, now: datetime, rota: Rota
) -> Iterator[LevelToday]:
    """Each level with who may work alone on a day, by whether they are there."""
    found = standings(shop, [level for level, _ in levels], on, now, {})
    presence = {person.login: rota.presence(person.login, on) for person in shop.people}
    at_bench = [
        person
        for person in shop.people
        # An owner who does no bench work would be counted as “not yet” at every level.
        if person.trade != "owner" and not has_left(person, on)
    ]
    for level, title in levels:
        alone = [person for person in shop.people if found[person.login, level] == "alone"]
        there, away, off_rota = (
            tuple(person.name for person in alone if presence[person.login] is state)
            for state in (True, False, None)
        )
        watched = sum(1 for person in at_bench if found[person.login, level] == "watched")
        no = sum(1 for person in at_bench if found[person.login, level] == "no")
        others = gettext("{watched} under supervision, {no} not yet").format(
            watched=watched or gettext("nobody"), no=no or gettext("nobody")
        )
        yield LevelToday(level, title, there, away, off_rota, others)


def lapses_soon(shop: Shop, levels: Levels, on: date, now: datetime) -> Iterator[Soon]:
    """Who is alone on a day and will not be within thirty days, by the day."""
    names = {person.login: person.name for person in shop.people}
    found = [
        Soon(given.person, names[given.person], level, title, given.lapses_on)
        for level, title in levels
        for given in answers(shop, level, on, now, {})
        if given.lapses_on is not None and given.lapses_on <= on + SOON
    ]
    yield from sorted(found, key=lambda one: (one.on, one.name, one.title))


def short_weeks(
    shop: Shop, levels: Levels, on: date, now: datetime, rota: Rota, span: timedelta = WEEKS
) -> tuple[Short, ...] | None:
    """Where fewer are alone at work than wanted in the four weeks (or another span) from a day on,
    if nobody does anything; None where the shop says nowhere how many it wants. One query.
    """
    wanted, titles = wanted_of(), dict(levels)
    if not wanted:
        return None
    until = on + span
    held = Standings(asking_of(shop, now), on, until)
    found = gaps(rota, wanted, days_between(on, until), held.is_alone)
    return short_days(found, lambda level: titles.get(level, level), shop)


def changes_since(shop: Shop, levels: Levels, day: date, on: date, now: datetime) -> Since:
    """Whose standing is another one than on an earlier day, both as known now, with the first
    reason.
    """
    titles = dict(levels)
    names = {person.login: person.name for person in shop.people}
    rows = changes_between(shop, day, on, now, {})
    shown = [
        ChangeShown(
            row.person,
            names[row.person],
            row.level,
            titles[row.level],
            row.before,
            row.after,
            say_first(row.came)
            or next(
                (
                    gettext("No longer: {reason}").format(reason=say_reason(reason))
                    for reason in row.went
                ),
                "",
            ),
        )
        for row in rows[:MOST_CHANGES]
    ]
    more = len(rows) - len(shown)
    return Since(day, tuple(shown), gettext("{more} more").format(more=more) if more else "")
