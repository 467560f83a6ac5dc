"""Who may do which service, on which day, as known when, and why?

Pages, commands and programs all take this walk: gather the evidence, ask the standing,
hand on plain values.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.core.paginator import Page, Paginator
from django.utils import timezone
from django.utils.translation import gettext

from procedures.records.days.reader import say_day
from procedures.records.refused import Refused
from training.cover.rota import Rota
from training.models.roles import say_role
from training.records.gathering import gather
from training.records.keeping import head
from training.records.levels import title_of
from training.records.wording.blocks import block_of
from training.records.wording.entries import say_entry
from training.records.wording.presence import say_closed, say_presence
from training.records.wording.reasons import say_first, say_reason
from training.records.wording.steps import say_step
from training.reports.cover import rota_of
from training.standing.answer import Answer, answers, standings
from training.standing.entitlement import StandingWord, asking_of
from training.standing.evidence import Person, Shop
from training.standing.rules.here import has_left, is_here

PEOPLE_A_PAGE = 200
SOON = timedelta(days=30)
LOOK_AHEAD = 14  # days in which the next open day is looked for


@dataclass(frozen=True, slots=True)
class LevelAsked:
    """One question: a level, a day, the moment of knowledge, and options of the fork, where they
    matter.
    """

    level: str
    on: date
    known_at: datetime
    variant: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Cell:
    """The answer for one person and level, as the grid shows it."""

    level: str
    title: str
    answer: Answer

    @property
    def block(self) -> str:
        """The code of the block that shows the answer."""
        return block_of(self.answer)

    @property
    def until(self) -> str:
        """The last good day, in words; empty where there is none in sight."""
        if self.answer.lapses_on is None:
            return ""
        last = say_day(self.answer.lapses_on - timedelta(days=1))
        return gettext("until {day}").format(day=last)

    @property
    def small(self) -> str:
        """What stands in small letters under the answer: the last good day, or the first thing that
        is missing.
        """
        return self.until or say_first(self.answer.reasons)

    def ends_soon(self, on: date) -> bool:
        """Whether it runs out within 30 days of a day, if nothing happens."""
        return self.answer.lapses_on is not None and self.answer.lapses_on <= on + SOON


@dataclass(frozen=True, slots=True)
class Row:
    """One person with an answer for every level, and whether they are at work that day (None:
    the rota says nothing of them).
    """

    person: Person
    at_work: bool | None
    cells: tuple[Cell, ...]

    @property
    def presence(self) -> str:
        """At work, away or not on the rota, in words."""
        return say_presence(self.at_work)

    @property
    def role(self) -> str:
        """What they do here, in words."""
        return say_role(self.person.trade, owner=self.person.owner)


@dataclass(frozen=True, slots=True)
class Grid:
    """People down, levels across."""

    on: date
    known_at: datetime
    variant: Mapping[str, str]
    levels: tuple[tuple[str, str], ...]
    rows: tuple[Row, ...]
    alone: tuple[int, ...]
    there: tuple[int, ...]
    """How many of those who may work alone are at work, by level."""
    has_workshops: bool
    """Whether the people work in more than one workshop."""
    is_closed: bool
    """Whether nobody who is employed here has this weekday, though there is a rota."""
    next_open: date | None
    """On a closed day: the next day on which the shop is open."""
    page: Page[Person]

    @property
    def is_one_level(self) -> bool:
        """Whether one level only is asked about, so that a sentence has room beside its answer."""
        return len(self.levels) == 1

    @property
    def closed(self) -> str:
        """That the shop is closed on this day, in words; empty where it is not."""
        return say_closed(self.on) if self.is_closed else ""

    @property
    def totals(self) -> tuple[tuple[str, str, str, str], ...]:
        """For each level its name and title, how many may work alone and how many of them are at
        work, as text.
        """
        return tuple(
            (name, title, str(count), str(there))
            for (name, title), count, there in zip(self.levels, self.alone, self.there, strict=True)
        )


def shop_levels(shop: Shop, on: date) -> tuple[tuple[str, str], ...]:
    """The levels of the shop with their titles on a day, in the order in which they were added."""
    names = dict.fromkeys(rules.level for rules in shop.levels)
    return tuple((name, title_of(shop, name, on)) for name in names)


def _people_by_name(shop: Shop, workshop: str, on: date) -> list[Person]:
    """Those of the shop or of one workshop who had not left before a day."""
    staying = (
        person
        for person in shop.people
        if (not workshop or person.workshop == workshop) and not has_left(person, on)
    )
    return sorted(staying, key=lambda person: person.name)


def _there_first(people: Iterable[Person], rota: Rota, on: date, workshop: str) -> list[Person]:
    """Workshop by workshop, those at work on a day first, then those away, then those of whom the
    rota says nothing.
    """
    order = {True: 0, False: 1, None: 2}
    return sorted(
        people, key=lambda one: (one.workshop, order[rota.presence(one.login, on, workshop)])
    )


def _may_first(
    people: list[Person], found: Mapping[tuple[str, str], StandingWord], levels: Sequence[str]
) -> list[Person]:
    """For one level alone, in each workshop those first who may; for several as they are."""
    if len(levels) != 1:
        return people
    # A stable sort, so that of those with one answer who is there still comes first.
    words = ("alone", "watched", "no")
    return sorted(people, key=lambda one: (one.workshop, words.index(found[one.login, levels[0]])))


def _next_open(rota: Rota, on: date, people: Sequence[Person], workshop: str) -> date | None:
    """The next day on which the shop, or one workshop, is open; None where none is in sight."""
    days = (on + timedelta(days=ahead) for ahead in range(1, LOOK_AHEAD + 1))
    return next((day for day in days if not is_closed(rota, day, people, workshop)), None)


def is_closed(rota: Rota, on: date, people: Iterable[Person], workshop: str = "") -> bool:
    """Whether the shop, or one workshop, is closed on a day for those employed on it."""
    return rota.is_closed(on, [one.login for one in people if is_here(one, on)], workshop)


def say_if_closed(on: date, workshop: str = "") -> str:
    """That the shop, or one workshop, is closed on a day, in words; empty where it is not."""
    return say_closed(on) if is_closed(rota_of(), on, gather().people, workshop) else ""


def grid(
    *,
    on: date,
    known_at: datetime,
    variant: Mapping[str, str],
    workshop: str = "",
    level: str = "",
    page: str = "1",
    people_a_page: int | None = None,
) -> Grid:
    """The whole shop (or one workshop, or one level) on a day, so many people a page. Those who had
    left before that day are not shown; in each workshop those at work on it come first, and for one
    level those before them who may work alone.

    How many are alone is counted over all pages.
    """
    shop = gather()
    rota = rota_of()
    people = _there_first(_people_by_name(shop, workshop, on), rota, on, workshop)
    asking = asking_of(shop, known_at)
    levels = tuple(row for row in shop_levels(shop, on) if level in {"", row[0]})
    names = [name for name, _ in levels]
    # For all pages, without reasons: the counts below are of the whole shop.
    found = standings(
        shop, names, on, known_at, variant, [person.login for person in people], asking
    )
    people = _may_first(people, found, names)
    shown = Paginator(people, people_a_page or PEOPLE_A_PAGE).get_page(page)
    logins = [person.login for person in shown]
    # Reasons and lapses only for the page that is shown; they are what takes long.
    columns = [answers(shop, name, on, known_at, variant, logins, asking) for name in names]
    rows = tuple(
        Row(
            person,
            rota.presence(person.login, on, workshop),
            tuple(Cell(*named, given) for named, given in zip(levels, across, strict=True)),
        )
        for person, *across in zip(shown, *columns, strict=True)
    )
    may = [key for key, standing in found.items() if standing == "alone"]
    alone = Counter(name for _, name in may)
    there = Counter(name for login, name in may if rota.presence(login, on, workshop))
    closed = is_closed(rota, on, people, workshop)
    return Grid(
        on,
        known_at,
        variant,
        levels,
        rows,
        tuple(alone[name] for name in names),
        tuple(there[name] for name in names),
        len({person.workshop for person in people}) > 1,
        closed,
        _next_open(rota, on, people, workshop) if closed else None,
        shown,
    )


def who_may(
    questions: Iterable[LevelAsked], *, person: str = "", workshop: str = ""
) -> list[dict[str, Any]]:
    """The answers as programs read them, one for each question, in order. Whether
    somebody is at work is asked of the one workshop, where one is named.

    Raises Refused for a level, person or workshop that the shop does not have.
    """
    shop, rota = gather(), rota_of()
    number, digest = head()
    known = {rules.level for rules in shop.levels}
    people = _asked(shop, person, workshop)
    told = []
    for question in questions:
        if question.level not in known:
            raise Refused(
                gettext("There is no level “{level}”. Choose one of these: {known}.").format(
                    level=question.level, known=", ".join(sorted(known)) or "none yet"
                )
            )
        # For each question its own: what is known is another thing at another moment.
        asking = asking_of(shop, question.known_at)
        found = answers(
            shop,
            question.level,
            question.on,
            question.known_at,
            question.variant,
            [row.login for row in people],
            asking,
        )
        told.append(
            {
                "level": question.level,
                "on": question.on.isoformat(),
                "known_at": instant_text(question.known_at),
                "variant": dict(question.variant),
                "people": [
                    _told(row, given, rota.presence(row.login, question.on, workshop))
                    for row, given in zip(people, found, strict=True)
                ],
                "book_head": digest if number else "",
            }
        )
    return told


def _asked(shop: Shop, person: str, workshop: str) -> Sequence[Person]:
    people = [row for row in shop.people if not workshop or row.workshop == workshop]
    if workshop and not people:
        raise Refused(
            gettext("Nobody works in a workshop named “{workshop}”.").format(workshop=workshop)
        )
    if person:
        people = [row for row in people if row.login == person]
        if not people:
            raise Refused(
                gettext("There is nobody with the login “{person}”.").format(person=person)
            )
    return people


def _told(person: Person, given: Answer, at_work: bool | None) -> dict[str, Any]:
    return {
        "login": person.login,
        "name": person.name,
        "workshop": person.workshop,
        "standing": given.standing,
        "at_work": at_work,
        "reasons": [
            {
                "code": reason.code,
                "text": say_reason(reason),
                "evidence": list(map(say_entry, reason.evidence)),
            }
            for reason in given.reasons
        ],
        "lapses_on": given.lapses_on.isoformat() if given.lapses_on else None,
        "lapses_because": given.lapses_because,
        "next": [{"code": step.code, "text": say_step(step)} for step in given.next],
    }


def instant_text(instant: datetime) -> str:
    """An instant as programs read it: ISO, in UTC."""
    return instant.astimezone(timezone.get_fixed_timezone(0)).isoformat().replace("+00:00", "Z")
