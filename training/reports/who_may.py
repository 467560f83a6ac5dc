"""Who may do which service, on which day, as known when, and why?

Pages, commands and (later) the calendar all take this walk: gather the evidence, ask the standing,
hand on plain values.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.core.paginator import Page, Paginator
from django.utils import timezone
from django.utils.translation import gettext

from procedures.records.refused import Refused
from training.cover.rota import Rota
from training.models.roles import TRADES
from training.records.gathering import day_text, gather
from training.records.keeping import head
from training.records.sheets import title_of
from training.records.wording.presence import say_closed, say_presence
from training.records.wording.reasons import say_first, say_reason
from training.records.wording.steps import say_step
from training.reports.cover import rota_of
from training.standing.answer import Answer, answers, standings
from training.standing.entitlement import asking_of
from training.standing.evidence import Person, Shop
from training.standing.rules.here import is_here

PEOPLE_A_PAGE = 200


@dataclass(frozen=True, slots=True)
class Question:
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
    def lapse(self) -> str:
        """The day on which it lapses, in words; empty where it does not."""
        return f"lapses {day_text(self.answer.lapses_on)}" if self.answer.lapses_on else ""

    @property
    def small(self) -> str:
        """What stands in small letters under the answer: the day it lapses, or the first thing that
        is missing.
        """
        return self.lapse or say_first(self.answer.reasons)


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
    def trade(self) -> str:
        """The trade in words."""
        return dict(TRADES).get(self.person.trade, self.person.trade)

    @property
    def trade_and_workshop(self) -> str:
        """The trade in words, and the workshop."""
        return f"{self.trade}, {self.person.workshop}"


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
    page: Page[Person]

    @property
    def closed(self) -> str:
        """That the shop is closed on this day, in words; empty where it is not."""
        return say_closed(self.on) if self.is_closed else ""

    @property
    def totals(self) -> tuple[tuple[str, str, str], ...]:
        """For each level its title, how many may work alone and how many of them are at work, as
        text.
        """
        return tuple(
            (title, str(count), str(there))
            for (_, title), count, there in zip(self.levels, self.alone, self.there, strict=True)
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
        if (not workshop or person.workshop == workshop)
        and (person.left is None or person.left >= on)
    )
    return sorted(staying, key=lambda person: person.name)


def _there_first(people: Iterable[Person], rota: Rota, on: date, workshop: str) -> list[Person]:
    """Those at work on a day, then those of whom the rota says nothing, then those away."""
    order = {True: 0, None: 1, False: 2}
    return sorted(people, key=lambda one: order[rota.presence(one.login, on, workshop)])


def closed_on(rota: Rota, on: date, people: Iterable[Person], workshop: str = "") -> bool:
    """Whether the shop, or one workshop, is closed on a day for those employed on it."""
    return rota.is_closed(on, [one.login for one in people if is_here(one, on)], workshop)


def say_if_closed(on: date, workshop: str = "") -> str:
    """That the shop, or one workshop, is closed on a day, in words; empty where it is not."""
    return say_closed(on) if closed_on(rota_of(), on, gather().people, workshop) else ""


def grid(
    *,
    on: date,
    known_at: datetime,
    variant: Mapping[str, str],
    workshop: str = "",
    page: str = "1",
    people_a_page: int | None = None,
) -> Grid:
    """The whole shop (or one workshop) on a day, so many people a page. Those who had left before
    that day are not shown; those at work on it come first.

    How many are alone is counted over all pages.
    """
    shop = gather()
    rota = rota_of()
    people = _there_first(_people_by_name(shop, workshop, on), rota, on, workshop)
    levels, asking = shop_levels(shop, on), asking_of(shop, known_at)
    names = [level for level, _ in levels]
    found = standings(
        shop, names, on, known_at, variant, [person.login for person in people], asking
    )
    shown = Paginator(people, people_a_page or PEOPLE_A_PAGE).get_page(page)
    logins = [person.login for person in shown]
    columns = [answers(shop, name, on, known_at, variant, logins, asking) for name in names]
    rows = tuple(
        Row(
            person,
            rota.presence(person.login, on, workshop),
            tuple(Cell(*level, given) for level, given in zip(levels, across, strict=True)),
        )
        for person, *across in zip(shown, *columns, strict=True)
    )
    may = [key for key, standing in found.items() if standing == "alone"]
    alone = Counter(level for _, level in may)
    there = Counter(level for login, level in may if rota.presence(login, on, workshop))
    has_workshops = len({person.workshop for person in people}) > 1
    return Grid(
        on,
        known_at,
        variant,
        levels,
        rows,
        tuple(alone[level] for level in names),
        tuple(there[level] for level in names),
        has_workshops,
        closed_on(rota, on, people, workshop),
        shown,
    )


def who_may(
    questions: Iterable[Question], *, person: str = "", workshop: str = ""
) -> list[dict[str, Any]]:
    """The answers as programs read them (import.md), one for each question, in order. Whether
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
            {"code": reason.code, "text": say_reason(reason), "evidence": list(reason.evidence)}
            for reason in given.reasons
        ],
        "lapses_on": given.lapses_on.isoformat() if given.lapses_on else None,
        "lapses_because": given.lapses_because,
        "next": [{"code": step.code, "text": say_step(step)} for step in given.next],
    }


def instant_text(instant: datetime) -> str:
    """An instant as programs read it: ISO, in UTC."""
    return instant.astimezone(timezone.get_fixed_timezone(0)).isoformat().replace("+00:00", "Z")
