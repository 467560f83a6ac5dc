"""How does a row become an entry of the record book, and does the book still agree with the
tables?
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from datetime import datetime
from functools import cache
from typing import Any

from django.db import connection, models, transaction

from procedures.models.booking import (
    Booked,
    booked_rows,
    kinds,
    list_written_kinds,
    newest_version,
    reader,
    write_kind,
)
from procedures.records import sealing
from procedures.records.statements import SqlRow, prepare_once
from training.models import BookEntry, BookHead, StandDown, User, newest_instant
from training.records.book.chain import SEAL, START, Break, Link, breaks, link
from training.records.clock import instant_after, lock_head, urgent_moment
from training.records.tables import faults_against_rows, newest_of_changing

PERSON = User.KIND
URGENT = frozenset({StandDown.KIND})  # counts at once, whatever the clock of the machine shows
# Bounds what lies in memory, however long the book is.
BATCH = 500


def record(kind: str, row: Booked) -> None:
    """Link one row into the book; call it inside the transaction that wrote the row."""
    record_all(kind, [row])


def record_all(kind: str, rows: Sequence[Booked]) -> None:
    """Link rows into the book, in their order; call it inside the transaction that wrote them.

    The head is locked first: whoever comes second waits, and links to what the first one wrote.
    Raises ClockBehind where the clock shows a time before the newest entry, but for what cannot
    wait.
    """
    # Written by the newest layout always; an old one is only ever read.
    version = newest_version(kinds()[kind])
    tell, head, entries = reader(kinds()[kind], version), lock_head(), []
    # Taken again behind the lock: rows brought in carry instants of their own, the book never does.
    now = urgent_moment() if kind in URGENT else instant_after(newest_instant())
    for row in rows:
        made = link(
            number=head.number + 1,
            kind=write_kind(kind, version),
            row=row.pk,
            written_at=now,
            body=tell.read(row),
            previous=head.digest,
        )
        entries.append(_entry(made))
        head.number, head.digest = made.number, made.digest
    # The entries before the head: their numbers are refused as doubles before it has moved.
    BookEntry.objects.bulk_create(entries, batch_size=BATCH)
    head.save()


def catch_up(applied: Collection[tuple[str, str]]) -> None:
    """Entries of the rows that were there before their kind came into the book, with the migrations
    (app, and name without number) that were applied just now. A kind of which the book holds an
    entry already has come in before: its rows are not taken in again, so that one without an entry
    stays found.
    """
    for kind, model in kinds().items():
        since = (model._meta.app_label, getattr(model, "BOOK_SINCE", ""))
        if (
            since in applied
            # Else somebody could slip a row in and have a migration give it its entry.
            and not BookEntry.objects.filter(kind__in=list_written_kinds(kind)).exists()
        ):
            with transaction.atomic():
                record_all(kind, list(booked_rows(model)))
        _record_again(kind, model, applied)


def _record_again(kind: str, model: Any, applied: Collection[tuple[str, str]]) -> None:
    """A further entry of each row in which a migration that was applied just now has filled in a
    column with anything but its default (BOOK_AGAIN names the migration and these rows).
    """
    for name, rows in getattr(model, "BOOK_AGAIN", {}).items():
        if (model._meta.app_label, name) in applied:
            with transaction.atomic():
                record_all(kind, list(booked_rows(model).filter(rows)))


def after_migrations(*, plan: Sequence[tuple[Any, bool]] = (), **rest: Any) -> None:
    """Django has migrated; or, without a plan, has emptied the tables of a test."""
    applied = {
        (migration.app_label, migration.name.partition("_")[2])
        for migration, is_backwards in plan
        # Going back takes columns away and adds nothing to tell.
        if not is_backwards
    }
    if applied:
        catch_up(applied)


def head() -> tuple[int, str]:
    """The number and the hash of the newest entry."""
    # A book without an entry has a head too, which exports and sheets print.
    number, digest = next(iter(_ask_head()), (0, START))
    return number, digest


@prepare_once
def _ask_head() -> models.QuerySet[Any]:
    return BookHead.objects.filter(pk=1).values_list("number", "digest")


def faults(first: int = 1, seen: Callable[[int], None] | None = None) -> Iterator[Break]:
    """Everything in which the book and the tables do not agree, in the order of the book, from
    entry `first` on.

    Reads as a stream, in bounded memory however long the book is; `seen` hears the number of
    entries behind it.
    """
    yield from entry_faults(first, None, seen)
    # Cut off at its end, a chain is whole in itself: only the head, kept beside it, tells.
    yield from _tail_cut()
    yield from _slipped_in()


def seal_faults() -> Iterator[Break]:
    """Each table whose rows the database should refuse to change and does not."""
    for table, problem in sealing.problems(connection):
        yield Break(0, SEAL, f"Table {table}: {problem}")


def entry_faults(
    first: int = 1, last: int | None = None, seen: Callable[[int], None] | None = None
) -> Iterator[Break]:
    """What is wrong with the entries from `first` to `last`. The entry before the first one is
    taken for granted.
    """
    # What lies before was checked once, and a checkpoint kept elsewhere vouches for it.
    number, previous, written_at = first, digest_of(first - 1), _instant_of(first - 1)
    if previous is None:
        yield Break(
            first - 1, "entry", "it is missing, so that nothing can be checked from here on"
        )
        return
    newest_entries = newest_of_changing()
    for batch in _batches(first, last):
        broken = {found.number: found for found in breaks(batch, number, previous, written_at)}
        for entry, row_problem in faults_against_rows(batch, newest_entries):
            # One fault for an entry: where its own text is broken, what the row says proves
            # nothing.
            if entry.number in broken:
                yield broken[entry.number]
            elif row_problem:
                yield Break(entry.number, entry.kind, row_problem)
        number, previous, written_at = batch[-1].number + 1, batch[-1].digest, batch[-1].written_at
        if seen:
            seen(batch[-1].number)


def digest_of(number: int) -> str | None:
    """The digest of an entry, 64 zeros for the one before the first; None where there is no such
    entry.
    """
    return (
        BookEntry.objects.filter(number=number).values_list("digest", flat=True).first()
        if number
        else START
    )


def _instant_of(number: int) -> datetime | None:
    return BookEntry.objects.filter(number=number).values_list("written_at", flat=True).first()


def links(first: int = 1, last: int | None = None) -> Iterator[Link]:
    """The entries from one number to another, read in portions."""
    for batch in _batches(first, last):
        yield from batch


def _entry(made: Link) -> BookEntry:
    return BookEntry(
        number=made.number,
        kind=made.kind,
        row=made.row,
        written_at=made.written_at,
        body=made.body,
        previous=made.previous,
        digest=made.digest,
    )


def _batches(first: int, last: int | None) -> Iterator[list[Link]]:
    columns = ("number", "kind", "row", "written_at", "body", "previous", "digest")
    rows = BookEntry.objects.order_by("number").values_list(*columns)
    if last is not None:
        rows = rows.filter(number__lte=last)
    # From number to number and not by one long query, which a database may hold in memory, or open,
    # for minutes.
    while batch := [Link(*values) for values in rows.filter(number__gte=first)[:BATCH]]:
        yield batch
        first = batch[-1].number + 1


def _tail_cut() -> Iterator[Break]:
    number, digest = head()
    last = BookEntry.objects.order_by("-number").values_list(
        "number", "digest", "kind"
    ).first() or (0, START, "head")
    if (number, digest) != last[:2]:
        yield Break(
            # The later of the two, since either the entries or the head may have been cut.
            max(last[0], number),
            last[2],
            f"the head of the book names entry {number} ({digest[:12]}), the last entry is "
            f"{last[0]} ({last[1][:12]})",
        )


def _slipped_in() -> Iterator[Break]:
    # The chain cannot tell of these: it knows only what it has an entry of.
    for kind in kinds():
        for (pk,) in _question_of_slipped_in(kind, tuple(list_written_kinds(kind)))():
            yield Break(
                0, kind, f"a {kind} (row {pk}) stands in the table without an entry in the book"
            )


@cache
def _question_of_slipped_in(kind: str, written: tuple[str, ...]) -> Callable[[], list[SqlRow]]:
    booked = BookEntry.objects.filter(kind__in=written, row=models.OuterRef("pk"))
    return prepare_once(
        lambda: booked_rows(kinds()[kind]).filter(~models.Exists(booked)).values_list("pk")
    )
