"""Who is at work, how many alone the owner wants, and on which days there are too few?"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import QuerySet
from django.utils.translation import gettext, ngettext

from procedures.records.days.reader import say_day
from procedures.records.statements import prepare_once
from training.cover.gaps import DayCover
from training.cover.rota import Away, Rota, Shift, Wanted
from training.models import DAYS, Absence, Want
from training.models import Rota as RotaRow
from training.standing.evidence import Shop

Titles = Callable[[str], str]


@dataclass(frozen=True, slots=True)
class GapSpan:
    """Days running from one to another on which the same people are there, fewer than wanted."""

    days: str
    wanted: str
    there: str


@dataclass(frozen=True, slots=True)
class Short:
    """One workshop and level with all the days on which too few are there: how many, from when, and
    each span.
    """

    workshop: str
    level: str
    count: str
    days: str
    spans: tuple[GapSpan, ...]


def rota_of(gone: Collection[str] = ()) -> Rota:
    """Everybody's weekdays and absences, but of those who are thought gone; two queries."""
    return Rota(
        [
            Shift(
                person,
                workshop,
                frozenset(number for number, works in enumerate(days) if works),
                first,
                until,
            )
            for person, workshop, first, until, *days in _ask_shifts()
            if person not in gone
        ],
        [Away(*row) for row in _ask_absences()],
    )


@prepare_once
def _ask_shifts() -> QuerySet[Any]:
    shifts = RotaRow.objects.order_by("pk")
    return shifts.values_list("person__login", "workshop__name", "first", "until", *DAYS)


@prepare_once
def _ask_absences() -> QuerySet[Any]:
    return Absence.objects.order_by("pk").values_list("person__login", "first", "until")


def wanted_of() -> Wanted:
    """What the owner wants, by workshop and level; one query."""
    return {(workshop, level): tuple(counts) for workshop, level, *counts in _ask_wanted()}


@prepare_once
def _ask_wanted() -> QuerySet[Any]:
    return Want.objects.order_by("pk").values_list("workshop__name", "level__name", *DAYS)


def short_days(gaps: Iterable[DayCover], title: Titles, shop: Shop) -> tuple[Short, ...]:
    """Gaps by workshop and level; neighbouring days with the same people there as one span. `title`
    names a level.
    """
    runs: dict[tuple[str, str], list[list[DayCover]]] = {}
    for gap in gaps:
        so_far = runs.setdefault((gap.workshop, gap.level), [])
        last = so_far[-1][-1] if so_far else None
        if (
            last
            and (last.wanted, last.there) == (gap.wanted, gap.there)
            # Other people there make another gap, which somebody else may fill.
            and last.day + timedelta(days=1) == gap.day
        ):
            so_far[-1].append(gap)
        else:
            so_far.append([gap])
    return tuple(
        Short(
            workshop,
            title(level),
            say_days(sum(map(len, lines))),
            describe_days(lines[0][0].day, lines[-1][-1].day),
            tuple(
                GapSpan(
                    describe_days(run[0].day, run[-1].day),
                    str(run[0].wanted),
                    ", ".join(name_of(shop, who) for who in run[0].there),
                )
                for run in lines
            ),
        )
        for (workshop, level), lines in runs.items()
    )


def name_of(shop: Shop, login: str) -> str:
    """Somebody's name; the login of somebody whom the shop does not know."""
    person = shop.files.people.get(login)
    return person.name if person else login


def describe_days(first: date, until: date | None) -> str:
    """A span of days in words; `until` None for a span that is still open."""
    # An open span has no last day that could be named.
    if until is None:
        return gettext("from {first}").format(first=say_day(first))
    if first == until:
        return say_day(first)
    return gettext("{first} to {until}").format(first=say_day(first), until=say_day(until))


def say_days(number: int) -> str:
    """How many days, in words: no day, 1 day, 2 days."""
    if not number:
        return gettext("no day")
    return ngettext("{number} day", "{number} days", number).format(number=number)
