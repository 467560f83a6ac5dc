"""How has one person's standing gone at every level, and how will it go if nothing else happens?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from itertools import pairwise

from django.utils.safestring import SafeString
from django.utils.translation import gettext, ngettext

from procedures.records.days.reader import say_day
from training.models import User
from training.records.gathering import gather
from training.records.wording.entries import say_entry
from training.records.wording.reasons import say_first
from training.reports.drawn import FILL, DrawnMark, DrawnRow, DrawnSpan, drawing
from training.reports.who_may import shop_levels
from training.standing.calendar import add_months
from training.standing.days import Span, spans
from training.standing.entitlement import Asked, Asking, as_question, asking_of
from training.standing.evidence import SignOff, StandDown
from training.standing.naming import name_entry
from training.standing.told import reasons

BACK_MONTHS, AHEAD_MONTHS = 36, 12
MOST_MONTHS = 240


@dataclass(frozen=True, slots=True)
class LineSpan:
    """One span in words: its standing, and the first reason where it is not alone."""

    span: Span
    because: str


@dataclass(frozen=True, slots=True)
class LevelLine:
    """One level's spans and what happened on single days, both in the order of their days."""

    level: str
    title: str
    spans: tuple[LineSpan, ...]
    marks: tuple[DrawnMark, ...]


@dataclass(frozen=True, slots=True)
class RunsOut:
    """A level at which somebody may work alone today, and the last day of that."""

    title: str
    until: date


@dataclass(frozen=True, slots=True)
class LinePage:
    """The time line of one person: where they may work alone today, and what ends first of that
    within the days shown.
    """

    person: User
    first: date
    until: date
    heading: str
    next: RunsOut | None
    lines: tuple[LevelLine, ...]
    drawing: SafeString


def line_page(
    *,
    person: User,
    today: date,
    known_at: datetime,
    first: date | None = None,
    until: date | None = None,
) -> LinePage:
    """The spans from the first day (three years back, or the first day at work) until the last (a
    year on).
    """
    shop = gather()
    first = first or max(filter(None, (add_months(today, -BACK_MONTHS), person.started)))
    until = until or add_months(today, AHEAD_MONTHS)
    first = min(first, until)
    # Twenty years: each day on which something changes asks for a standing of its own.
    until = min(until, add_months(first, MOST_MONTHS))
    asking = asking_of(shop, known_at)
    lines = tuple(
        _line(asking, person.login, level, title, first, until)
        for level, title in shop_levels(shop, today)
    )
    alone = [
        RunsOut(line.title, one.span.until)
        for line in lines
        for one in line.spans
        if one.span.standing == "alone" and one.span.first <= today <= one.span.until
    ]
    title = gettext("What {name} may do, level by level").format(name=person.name)
    # What reaches the last day shown does not end there.
    ending = [one for one in alone if one.until < until]
    return LinePage(
        person=person,
        first=first,
        until=until,
        heading=_heading(len(alone), len(lines), is_shown=first <= today <= until),
        next=min(ending, key=lambda one: one.until, default=None),
        lines=lines,
        drawing=drawing(list(map(_drawn, lines)), first, until, title=title, today=today),
    )


def _drawn(line: LevelLine) -> DrawnRow:
    told = tuple(
        DrawnSpan(one.span.first, one.span.until, FILL[one.span.standing]) for one in line.spans
    )
    return DrawnRow(line.title, told, line.marks)


def _heading(alone: int, levels: int, *, is_shown: bool) -> str:
    if not is_shown:
        return gettext("Level by level")
    if not alone:
        return gettext("May not work alone at any level today")
    return ngettext(
        "May work alone today at {count} of {levels} level",
        "May work alone today at {count} of {levels} levels",
        levels,
    ).format(count=alone, levels=levels)


def _line(
    asking: Asking, login: str, level: str, title: str, first: date, until: date
) -> LevelLine:
    told = tuple(_list_spans(asking, login, level, first, until))
    return LevelLine(level, title, told, tuple(_marks(asking, login, level, told)))


def _list_spans(
    asking: Asking, login: str, level: str, first: date, until: date
) -> Iterator[LineSpan]:
    asked = Asked(login, level, first, as_question({}))
    for span in spans(asking, asked, until):
        why = reasons(asking, asked._replace(day=span.first))
        yield LineSpan(span, say_first(why))


def _marks(
    asking: Asking, login: str, level: str, told: tuple[LineSpan, ...]
) -> Iterator[DrawnMark]:
    """Sign-offs, stand-downs and lapses, oldest first."""
    fell = [
        DrawnMark(
            after.span.first,
            "lapse",
            gettext("May no longer work alone from {day} on").format(day=say_day(after.span.first)),
        )
        for before, after in pairwise(told)
        if before.span.standing == "alone"
    ]

    def said(row: SignOff | StandDown) -> str:
        return say_entry(name_entry(asking.known, row))

    signed = [
        DrawnMark(row.on, "signature", said(row)) for row in asking.known.signoffs(login, level)
    ]
    down = [
        DrawnMark(row.first, "down", said(row))
        for row in asking.known.standdowns(login)
        if row.level in (level, None)
    ]
    yield from sorted([*signed, *down, *fell], key=lambda mark: mark.on)
