"""Do the tables still say what the entries of the record book say of their rows?"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import models

from procedures.models.booking import (
    Reader,
    booked_rows,
    fetch_with,
    kind_and_version,
    kinds,
    list_written_kinds,
    newest_version,
    reader,
)
from procedures.records import files
from training.models import BookEntry
from training.records.book.canonical import write_canonical
from training.records.book.chain import Link

EntryKey = tuple[str, int]


def newest_of_changing() -> Mapping[EntryKey, int]:
    """The number of the newest entry about each row whose kind changes (BOOK_CHANGES): only that
    one is held against it.
    """
    found: dict[EntryKey, int] = {}
    for kind, model in kinds().items():
        if getattr(model, "BOOK_CHANGES", False):
            # Of every layout: the newest about a row may be of a newer one than its first.
            entries = BookEntry.objects.filter(kind__in=list_written_kinds(kind)).values_list("row")
            found |= {(kind, row): number for row, number in entries.annotate(models.Max("number"))}
    return found


def faults_against_rows(
    batch: Sequence[Link], newest_entries: Mapping[EntryKey, int]
) -> Iterator[tuple[Link, str | None]]:
    """Each entry, and what is wrong where its row is gone or says something else by now."""
    wanted: dict[str, set[int]] = defaultdict(set)
    for entry in batch:
        wanted[entry.kind].add(entry.row)
    kept = {text: _kept(text, keys) for text, keys in wanted.items()}
    told_again = _told_again(wanted)
    for entry in batch:
        kind, _ = kind_and_version(entry.kind)
        there = kept[entry.kind]
        # A book of a newer program, or of one that has dropped a kind: said, and the walk goes on.
        if there is None:
            yield entry, f"this program does not know entries of the kind “{entry.kind}”"
        # An older word about a row that changes was true when it was written.
        elif newest_entries.get((kind, entry.row), entry.number) != entry.number:
            yield entry, None
        else:
            yield (
                entry,
                _row_problem(entry, kind, there, is_last=(kind, entry.row) not in told_again),
            )


@dataclass(frozen=True, slots=True)
class _Kept:
    """The rows that entries of one kind and version are about, how these tell them, and how the
    newest version does.
    """

    rows: dict[int, Any]
    tell: Reader
    newest: Reader


def _kept(text: str, keys: set[int]) -> _Kept | None:
    """None where there is no such kind or version."""
    kind, version = kind_and_version(text)
    model: Any = kinds().get(kind)
    if model is None or version not in model.BOOK:
        return None
    # Each entry by its own layout, "for good"; the newest shows what has been filled in since.
    own, last = reader(model, version), reader(model, newest_version(model))
    rows = booked_rows(model).filter(pk__in=keys).order_by()
    return _Kept({row.pk: row for row in fetch_with(rows, [own, last])}, own, last)


def _told_again(wanted: Mapping[str, set[int]]) -> set[EntryKey]:
    """The rows of entries of an older version that have one of a newer version too."""
    found: set[EntryKey] = set()
    for text, keys in wanted.items():
        kind, version = kind_and_version(text)
        later = [
            other
            for other in (list_written_kinds(kind) if kind in kinds() else [])
            if kind_and_version(other)[1] > version
        ]
        if later:
            rows = BookEntry.objects.filter(kind__in=later, row__in=keys).values_list(
                "row", flat=True
            )
            found |= {(kind, row) for row in rows}
    return found


def _row_problem(entry: Link, kind: str, kept: _Kept, *, is_last: bool) -> str | None:
    row = kept.rows.get(entry.row)
    # Gone, which the triggers forbid: somebody has taken them off.
    if row is None:
        return f"the {kind} that it records is no longer there"
    body = kept.tell.read(row)
    now = write_canonical(body).decode()
    # Text against text: what differs in a byte has another hash, whatever it means.
    if now != entry.body:
        return _difference(entry, kind, json.loads(now))
    # With a newer entry about the row, that one holds the later columns.
    if kept.tell is not kept.newest and is_last:
        filled_in = _filled_in(kind, body, kept.newest.read(row), kept.newest.defaults)
        if filled_in:
            return filled_in
    return _file_problem(row)


def _file_problem(row: Any) -> str | None:
    """What is wrong with the files that a row names by their SHA-256."""
    for column in getattr(row, "BOOK_FILES", ()):
        named = getattr(row, column)
        for digest in [named] if isinstance(named, str) else named:
            # It reads the file and hashes it: a picture put in its place under its name is found.
            if files.find_kept(str(digest)) is None:
                return f"its picture {str(digest)[:12]} is gone or is another file by now"
    return None


def _difference(entry: Link, kind: str, today: Mapping[str, Any]) -> str:
    then = _read(entry.body)
    changed = sorted(key for key in then.keys() | today.keys() if then.get(key) != today.get(key))
    # Equal in meaning and yet other bytes: written by hand.
    if not then or not changed:
        return "its text is no longer as the book writes it"
    key = changed[0]
    return (
        f"the {kind} was changed after it was recorded: {key} is {json.dumps(today.get(key))} "
        "in the table "
        f"and {json.dumps(then.get(key))} in the book"
    )


def _filled_in(
    kind: str, then: Mapping[str, Any], today: Mapping[str, Any], defaults: Mapping[str, Any]
) -> str | None:
    """A column that came after this entry holds in its row what rows got that were there before the
    column.
    """
    for key in sorted(today.keys() - then.keys()):
        if key in defaults and today[key] != defaults[key]:
            return (
                f"the {kind} was changed after it was recorded: {key} was filled in, and no entry "
                "says so"
            )
    return None


def _read(body: str) -> dict[str, Any]:
    """What an entry says; nothing where somebody made its text unreadable."""
    try:
        said = json.loads(body)
    except (ValueError, RecursionError):
        return {}
    # This walks through what somebody may have tampered with: nothing in it may stop the check.
    return said if isinstance(said, dict) else {}
