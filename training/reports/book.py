"""What do the pages of the record book show?"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Q, QuerySet
from django.utils.translation import gettext

from procedures.models.booking import all_written, kind_and_version, kinds
from training.models import BookEntry, Lift, User
from training.records.book.chain import Break
from training.records.gathering import day_text
from training.records.keeping import entry_faults, faults, head, seal_faults

PER_PAGE = 50
# entries that one request checks; a longer book is checked in several, so that none takes too long
PORTION = 5_000
NAMES = ("person", "login", "writeup", "revision", "level", "quiz", "kind", "about")
DAYS = ("happened_on", "released_on", "from_day")


@dataclass(frozen=True, slots=True)
class EntryShown:
    """One entry in the list."""

    number: str
    kind: str
    written_at: datetime
    about: str
    digest: str


@dataclass(frozen=True, slots=True)
class Check:
    """How far the book was checked, whether that was the whole of it, and the first thing that was
    wrong.
    """

    upto: str
    total: str
    next: str
    fault: Break | None


@dataclass(frozen=True, slots=True)
class BookPage:
    """The newest entries first, those of one person or kind where asked; the head; and what a check
    found.
    """

    number: str
    digest: str
    entries: tuple[EntryShown, ...]
    page: Page[BookEntry]
    people: tuple[tuple[str, str], ...]
    kinds: tuple[str, ...]
    person: str
    kind: str
    check: Check | None


def book_page(page: str, *, person: str = "", kind: str = "", check_from: int = 0) -> BookPage:
    """One page of the book; with `check_from`, a portion from that entry on is held against the
    tables first.
    """
    number, digest = head()
    shown = Paginator(_chosen(person, kind), PER_PAGE).get_page(page)
    said = [(row, _read_body(row.body)) for row in shown]
    lifts = _lifts(row.row for row in shown if _is_lift(row))
    entries = tuple(
        EntryShown(
            str(row.number),
            kind_and_version(row.kind)[0],
            row.written_at,
            _about({**lifts.get(row.row, {}), **body}) if _is_lift(row) else about(row.body),
            row.digest[:12],
        )
        for row, body in said
    )
    return BookPage(
        str(number),
        digest,
        entries,
        shown,
        people=tuple(User.objects.order_by("name").values_list("login", "name")),
        kinds=tuple(sorted(kinds())),
        person=person,
        kind=kind,
        check=_check(check_from, number) if check_from else None,
    )


def _is_lift(row: BookEntry) -> bool:
    return kind_and_version(row.kind)[0] == Lift.KIND


def _chosen(person: str, kind: str) -> QuerySet[BookEntry]:
    rows = BookEntry.objects.order_by("-number")
    if kind:
        rows = rows.filter(kind__in=all_written(kind) if kind in kinds() else [])
    if person:
        lifts = Lift.objects.filter(standdown__person__login=person).values("pk")
        named = Q(body__contains=f'"person":{json.dumps(person)}') | Q(
            body__contains=f'"login":{json.dumps(person)}'
        )
        rows = rows.filter(named | Q(kind__in=all_written(Lift.KIND), row__in=lifts))
    return rows


def _check(first: int, total: int) -> Check:
    last = first + PORTION - 1
    found = entry_faults(first, last) if last < total else faults(first)
    fault = next(found, None) or (next(seal_faults(), None) if last >= total else None)
    return Check(
        upto=str(min(last, total)),
        total=str(total),
        fault=fault,
        next=str(last + 1) if last < total and not fault else "",
    )


def _lifts(keys: Iterable[int]) -> dict[int, dict[str, Any]]:
    """Whom and which level each lift is about: the entry itself names the stand-down only."""
    rows = Lift.objects.filter(pk__in=list(keys)).values_list(
        "pk", "standdown__person__login", "standdown__level__name"
    )
    return {
        pk: {"person": login, "level": level or gettext("every level")} for pk, login, level in rows
    }


def about(body: str) -> str:
    """What an entry is about, in a few words: whom, which level, which day."""
    said = _read_body(body)
    return _about(said) if said else gettext("cannot be read")


def _read_body(body: str) -> dict[str, Any]:
    try:
        said = json.loads(body)
    except (ValueError, RecursionError):
        return {}
    return said if isinstance(said, dict) else {}


def _about(said: Mapping[str, Any]) -> str:
    return ", ".join(
        [
            *(str(said[key]) for key in NAMES if said.get(key)),
            *(_day(said[key]) for key in DAYS if said.get(key)),
        ]
    )


def _day(said: Any) -> str:
    try:
        return day_text(date.fromisoformat(str(said)))
    except ValueError:
        return str(said)
