"""What do the pages of the record book show?"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Q, QuerySet
from django.utils.translation import gettext, gettext_noop

from procedures.models import WriteUp
from procedures.models.booking import kind_and_version, kinds, list_written_kinds
from procedures.records.days.reader import say_day
from quizzes.models import Quiz
from training.models import BookEntry, LevelRules, Lift, User
from training.records.book.chain import Break
from training.records.keeping import entry_faults, faults, head, seal_faults
from training.reports.voids import WORDS as ENTRY_WORDS

PER_PAGE = 50
# entries that one request checks; a longer book is checked in several, so that none takes too long
PORTION = 5_000
NAMES = ("person", "login", "name", "writeup", "revision", "level", "quiz", "kind", "about")
# kinds whose code is not the word on the screen
WORDS = {
    "gone through": gettext_noop("missed steps gone through"),
    "lift": gettext_noop("allowed again"),
    "paper pass": gettext_noop("quiz on paper"),
    "sitting": gettext_noop("quiz"),
    "void": gettext_noop("entry cancelled"),
    "void asked": gettext_noop("cancelling asked for"),
    "void decided": gettext_noop("cancelling decided"),
}
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
    check: Check | None


def book_page(page: str, *, person: str = "", kind: str = "", check_from: int = 0) -> BookPage:
    """One page of the book; with `check_from`, a portion from that entry on is held against the
    tables first. People, levels, quizzes and write-ups go by their names and titles.
    """
    number, digest = head()
    shown = Paginator(_chosen(person, kind), PER_PAGE).get_page(page)
    said = [(row, _read_body(row.body)) for row in shown]
    lifts = _lifts(row.row for row in shown if _is_lift(row))
    titles = _titles()
    entries = tuple(
        EntryShown(
            str(row.number),
            say_kind(kind_and_version(row.kind)[0]),
            row.written_at,
            _about({**lifts.get(row.row, {}), **body}, titles) if body else gettext("not readable"),
            row.digest[:12],
        )
        for row, body in said
    )
    check = _check(check_from, number) if check_from else None
    return BookPage(str(number), digest, entries, shown, check)


def people_and_kinds() -> tuple[list[tuple[str, str]], list[tuple[str, str]]]:
    """The people by login, and the kinds of entry, each with the word on the screen."""
    people = list(User.objects.order_by("name").values_list("login", "name"))
    named = sorted(((kind, say_kind(kind)) for kind in kinds()), key=lambda pair: pair[1])
    return people, named


def say_kind(kind: str) -> str:
    """The word on the screen for a kind of entry."""
    return gettext(WORDS[kind]) if kind in WORDS else kind


def _titles() -> dict[str, str]:
    """Names and titles by login and short name; four queries."""
    return {
        **{name: str(word) for name, word in ENTRY_WORDS.items()},
        **dict(WriteUp.objects.values_list("name", "title")),
        **dict(Quiz.objects.values_list("name", "title")),
        **dict(LevelRules.objects.order_by("pk").values_list("level__name", "title")),
        **dict(User.objects.values_list("login", "name")),
    }


def _is_lift(row: BookEntry) -> bool:
    return kind_and_version(row.kind)[0] == Lift.KIND


def _chosen(person: str, kind: str) -> QuerySet[BookEntry]:
    rows = BookEntry.objects.order_by("-number")
    if kind:
        rows = rows.filter(kind__in=list_written_kinds(kind) if kind in kinds() else [])
    if person:
        # A lift names its stand-down only, so its person stands in no body.
        lifts = Lift.objects.filter(standdown__person__login=person).values("pk")
        # The body is canonical JSON, so a key and its value always stand in these very letters.
        named = Q(body__contains=f'"person":{json.dumps(person)}') | Q(
            body__contains=f'"login":{json.dumps(person)}'
        )
        rows = rows.filter(named | Q(kind__in=list_written_kinds(Lift.KIND), row__in=lifts))
    return rows


def _check(first: int, total: int) -> Check:
    last = first + PORTION - 1
    # Rows that slipped in beside the book show only once all of it was read, so with the last part.
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


def _read_body(body: str) -> dict[str, Any]:
    try:
        said = json.loads(body)
    except (ValueError, RecursionError):
        return {}
    return said if isinstance(said, dict) else {}


def _about(said: Mapping[str, Any], titles: Mapping[str, str]) -> str:
    """Whom, which level or write-up, which day: in a few words."""
    return ", ".join(
        [
            *(_titled(key, str(said[key]), titles) for key in NAMES if said.get(key)),
            *(_day(said[key]) for key in DAYS if said.get(key)),
            *([_first_by_owner(said)] if said.get("founding") else []),
        ]
    )


def _first_by_owner(said: Mapping[str, Any]) -> str:
    if said.get("signer") == said.get("person"):
        return gettext("first sign-off by the owner, for themselves")
    return gettext("first sign-off by the owner")


def _titled(key: str, name: str, titles: Mapping[str, str]) -> str:
    """A revision is named as its write-up and its number; where it stands alone, by the number."""
    if key != "revision":
        return titles.get(name, name)
    writeup, _, number = name.rpartition(" ")
    text = gettext("{title}, revision {number}") if writeup else gettext("revision {number}")
    return text.format(title=titles.get(writeup, writeup), number=number)


def _day(said: Any) -> str:
    try:
        return say_day(date.fromisoformat(str(said)))
    except ValueError:
        return str(said)
