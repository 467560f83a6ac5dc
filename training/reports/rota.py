"""Who works when, who is away soon, and how many alone are wanted where?"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from django.db.models import Q

from training.models import DAYS, Absence, Level, Rota, User, Want, Workshop
from training.models.people import is_staying

Row = TypeVar("Row", Rota, Absence)
SHORT = {
    "mon": "Mon",
    "tue": "Tue",
    "wed": "Wed",
    "thu": "Thu",
    "fri": "Fri",
    "sat": "Sat",
    "sun": "Sun",
}


@dataclass(frozen=True, slots=True)
class ShiftShown:
    """One span of somebody's weekdays in a workshop."""

    workshop: str
    weekdays: str
    first: date | None
    until: date | None


@dataclass(frozen=True, slots=True)
class OnRota:
    """Somebody with what holds today or later."""

    login: str
    name: str
    shifts: tuple[ShiftShown, ...]
    away: tuple[Absence, ...]


@dataclass(frozen=True, slots=True)
class WantedShown:
    """One workshop and level with the numbers from Monday to Sunday, as text; empty where nobody is
    wanted.
    """

    workshop: int
    workshop_name: str
    level: str
    title: str
    counts: tuple[str, ...]


def people_on_rota(on: date) -> tuple[OnRota, ...]:
    """Everybody who works here on a day or later, by name; three queries."""
    people = User.objects.filter(is_staying(on)).order_by("name")
    shifts = _by_person(
        Rota.objects.filter(Q(until__isnull=True) | Q(until__gte=on))
        .select_related("workshop")
        .order_by("first", "pk")
    )
    away = _by_person(Absence.objects.filter(until__gte=on).order_by("first", "pk"))
    return tuple(
        OnRota(
            one.login,
            one.name,
            tuple(map(_shown, shifts.get(one.pk, ()))),
            tuple(away.get(one.pk, ())),
        )
        for one in people
    )


def shifts_of(person: User, on: date) -> tuple[ShiftShown, ...]:
    """Somebody's weekdays that hold on a day or later."""
    rows = (
        Rota.objects.filter(Q(until__isnull=True) | Q(until__gte=on), person=person)
        .select_related("workshop")
        .order_by("first", "pk")
    )
    return tuple(map(_shown, rows))


def weekdays_now(person: User, on: date) -> list[str]:
    """On which weekdays somebody works on a day in the own workshop."""
    rows = Rota.objects.filter(
        # No first day: it was always so.
        Q(first__isnull=True) | Q(first__lte=on),
        Q(until__isnull=True) | Q(until__gte=on),
        person=person,
        workshop=person.workshop,
    )
    found = list(rows)
    return [day for day in DAYS if any(getattr(row, day) for row in found)]


def counts_wanted(titles: dict[str, str]) -> tuple[WantedShown, ...]:
    """Every workshop with every level; four queries at most."""
    rows = {(row.workshop_id, row.level_id): row for row in Want.objects.all()}
    return tuple(
        WantedShown(
            place.pk,
            place.name,
            level.name,
            titles.get(level.name, level.name),
            _counts(rows.get((place.pk, level.pk))),
        )
        for place in Workshop.objects.order_by("name")
        for level in Level.objects.order_by("pk")
    )


def _by_person(rows: Iterable[Row]) -> dict[int, list[Row]]:
    found: dict[int, list[Row]] = {}
    for row in rows:
        found.setdefault(row.person_id, []).append(row)
    return found


def _shown(row: Rota) -> ShiftShown:
    days = ", ".join(SHORT[day] for day in DAYS if getattr(row, day))
    return ShiftShown(row.workshop.name, days, row.first, row.until)


def _counts(row: Want | None) -> tuple[str, ...]:
    return tuple(str(getattr(row, day) or "") if row else "" for day in DAYS)
