"""What do the pages of the record book show?"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime

from django.core.paginator import Page, Paginator

from training.book.chain import Break
from training.keeping import faults, head
from training.models import BookEntry

PER_PAGE = 50


@dataclass(frozen=True, slots=True)
class EntryShown:
    """One entry in the list."""

    number: int
    kind: str
    written_at: datetime
    about: str
    digest: str


@dataclass(frozen=True, slots=True)
class BookPage:
    """The newest entries first; the head; and, where it was asked for, what the check found."""

    number: int
    digest: str
    entries: tuple[EntryShown, ...]
    page: Page[BookEntry]
    checked: bool
    fault: Break | None


def book_page(page: str, *, check: bool) -> BookPage:
    """One page of the book; with `check`, the whole chain is held against the tables first."""
    number, digest = head()
    shown = Paginator(BookEntry.objects.order_by("-number"), PER_PAGE).get_page(page)
    entries = tuple(
        EntryShown(row.number, row.kind, row.written_at, about(row.body), row.digest[:12]) for row in shown
    )
    return BookPage(number, digest, entries, shown, check, next(faults(), None) if check else None)


def about(body: str) -> str:
    """What an entry is about, in a few words: whom, which level, which day."""
    try:
        said = json.loads(body)
    except (ValueError, RecursionError):
        return "not readable"
    keys = ("person", "login", "writeup", "revision", "level", "quiz", "happened_on", "on")
    return ", ".join(str(said[key]) for key in keys if said.get(key)) if isinstance(said, dict) else ""
