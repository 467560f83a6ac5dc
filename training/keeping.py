"""How does a row become an entry of the record book, and does the book still agree with the tables?"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from django.db import models

from procedures.models import Drawing, ProofAnswer, Revision, ShopRules
from quizzes.models import GoneThrough, Sitting, Talk
from training.book.canonical import canonical
from training.book.chain import START, Break, Link, breaks, link
from training.clock import instant_after, locked_head, urgent_moment
from training.models import (
    AccountChange,
    Appointment,
    AppointmentEnd,
    BookEntry,
    BookHead,
    EntryRules,
    Job,
    JobConfirmation,
    LevelRules,
    Lift,
    Observation,
    PaperPass,
    Reading,
    ShownAgain,
    SignOff,
    StandDown,
    User,
    Void,
    VoidAsked,
    VoidDecided,
    newest_instant,
)

PERSON = "person"
URGENT = frozenset({StandDown.KIND})  # counts at once, whatever the clock of the machine shows
BATCH = 500
TEXT = "revision__text"  # long, and in no body of an entry that only names its revision


class Booked(Protocol):
    """A row that can say what the record book is to hold of it."""

    @property
    def pk(self) -> Any: ...

    def book_body(self) -> dict[str, Any]: ...


@dataclass(frozen=True, slots=True)
class Table:
    """Where the rows of one kind of entry are kept, and what a body needs beside its row."""

    rows: models.QuerySet[Any]
    related: tuple[str, ...] = ()

    def fetch(self) -> models.QuerySet[Any]:
        return self.rows.select_related(*self.related) if self.related else self.rows


def tables() -> dict[str, Table]:
    """Every kind of entry with the table behind it."""
    return {
        PERSON: Table(User.objects.all(), ("workshop", "changed_by")),
        AccountChange.KIND: Table(AccountChange.objects.all(), ("person", "by")),
        "release": Table(Revision.objects.released().prefetch_related("decisions__by"), ("writeup", "author", "released_by")),
        "shop rules": Table(ShopRules.objects.all(), ("author",)),
        ProofAnswer.KIND: Table(ProofAnswer.objects.all(), ("writeup", "by")),
        Drawing.KIND: Table(Drawing.objects.all(), ("by",)),
        "level rules": Table(LevelRules.objects.all(), ("level", "by")),
        "sitting": Table(
            Sitting.objects.filter(recorded_at__isnull=False).prefetch_related(
                "answers__version__question__writeup", "answers__version__author", "more_time"
            ),
            ("person", "quiz"),
        ),
        GoneThrough.KIND: Table(GoneThrough.objects.all(), ("sitting__person", "sitting__quiz", "by")),
        Talk.KIND: Table(Talk.objects.all(), ("sitting__person", "sitting__quiz", "by")),
        Reading.KIND: Table(Reading.objects.defer(TEXT), ("person", "revision__writeup", "recorded_by")),
        PaperPass.KIND: Table(PaperPass.objects.all(), ("person", "level", "recorded_by")),
        Job.KIND: Table(Job.objects.defer(TEXT), ("person", "level", "revision__writeup", "watched_by", "recorded_by")),
        JobConfirmation.KIND: Table(JobConfirmation.objects.all(), ("job", "by", "recorded_by")),
        Observation.KIND: Table(
            Observation.objects.defer(TEXT), ("person", "level", "revision__writeup", "observer", "recorded_by")
        ),
        ShownAgain.KIND: Table(ShownAgain.objects.all(), ("observation", "by", "recorded_by")),
        SignOff.KIND: Table(SignOff.objects.all(), ("person", "level", "signer", "recorded_by")),
        StandDown.KIND: Table(StandDown.objects.all(), ("person", "level", "by", "recorded_by")),
        Lift.KIND: Table(Lift.objects.all(), ("standdown", "by", "recorded_by")),
        Appointment.KIND: Table(Appointment.objects.all(), ("person", "level", "by", "recorded_by")),
        AppointmentEnd.KIND: Table(AppointmentEnd.objects.all(), ("appointment", "by", "recorded_by")),
        EntryRules.KIND: Table(EntryRules.objects.all(), ("by",)),
        Void.KIND: Table(Void.objects.all(), ("person", "by", "recorded_by")),
        VoidAsked.KIND: Table(VoidAsked.objects.all(), ("person", "by", "recorded_by")),
        VoidDecided.KIND: Table(VoidDecided.objects.all(), ("asked", "void", "by", "recorded_by")),
    }


def record(kind: str, row: Booked) -> None:
    """Link one row into the book; call it inside the transaction that wrote the row."""
    record_all(kind, [row])


def record_all(kind: str, rows: Sequence[Booked]) -> None:
    """Link rows into the book, in their order; call it inside the transaction that wrote them.

    The head is locked first: whoever comes second waits, and links to what the first one wrote. Raises ClockBehind where the
    clock shows a time before the newest entry, but for what cannot wait.
    """
    head, entries = locked_head(), []
    now = urgent_moment() if kind in URGENT else instant_after(newest_instant())
    for row in rows:
        made = link(
            number=head.number + 1, kind=kind, row=row.pk, written_at=now,
            body=row.book_body(), previous=head.digest,
        )
        entries.append(_entry(made))
        head.number, head.digest = made.number, made.digest
    BookEntry.objects.bulk_create(entries, batch_size=BATCH)
    head.save()


def head() -> tuple[int, str]:
    """The number and the hash of the newest entry."""
    kept = BookHead.objects.filter(pk=1).values_list("number", "digest").first()
    return kept or (0, START)


def faults(first: int = 1, seen: Callable[[int], None] | None = None) -> Iterator[Break]:
    """Everything in which the book and the tables do not agree, in the order of the book, from entry `first` on.

    Reads as a stream, in bounded memory however long the book is; `seen` hears the number of entries behind it.
    """
    yield from entry_faults(first, None, seen)
    yield from _tail_cut()
    yield from _slipped_in()


def entry_faults(
    first: int = 1, last: int | None = None, seen: Callable[[int], None] | None = None
) -> Iterator[Break]:
    """What is wrong with the entries from `first` to `last`. The entry before the first one is taken for granted."""
    number, previous = first, digest_of(first - 1)
    if previous is None:
        yield Break(first - 1, "entry", "it is missing, so that nothing can be checked from here on")
        return
    newest = dict(BookEntry.objects.filter(kind=PERSON).values_list("row").annotate(models.Max("number")))
    for batch in _batches(first, last):
        broken = {found.number: found for found in breaks(batch, number, previous)}
        for entry, row_problem in _held_against_rows(batch, newest):
            if entry.number in broken:
                yield broken[entry.number]
            elif row_problem:
                yield Break(entry.number, entry.kind, row_problem)
        number, previous = batch[-1].number + 1, batch[-1].digest
        if seen:
            seen(batch[-1].number)


def digest_of(number: int) -> str | None:
    """The digest of an entry, 64 zeros for the one before the first; None where there is no such entry."""
    return BookEntry.objects.filter(number=number).values_list("digest", flat=True).first() if number else START


def links(first: int = 1, last: int | None = None) -> Iterator[Link]:
    """The entries from one number to another, read in portions."""
    for batch in _batches(first, last):
        yield from batch


def _entry(made: Link) -> BookEntry:
    return BookEntry(
        number=made.number, kind=made.kind, row=made.row, written_at=made.written_at,
        body=made.body, previous=made.previous, digest=made.digest,
    )


def _batches(first: int, last: int | None) -> Iterator[list[Link]]:
    columns = ("number", "kind", "row", "written_at", "body", "previous", "digest")
    rows = BookEntry.objects.order_by("number").values_list(*columns)
    if last is not None:
        rows = rows.filter(number__lte=last)
    # From number to number and not by one long query, which a database may hold in memory, or open, for minutes.
    while batch := [Link(*values) for values in rows.filter(number__gte=first)[:BATCH]]:
        yield batch
        first = batch[-1].number + 1


def _held_against_rows(batch: Sequence[Link], newest: Mapping[int, int]) -> Iterator[tuple[Link, str | None]]:
    """Each entry, and what is wrong where its row is gone or says something else by now.

    Of a person only the newest entry is held against the row.
    """
    wanted = defaultdict(set)
    for entry in batch:
        wanted[entry.kind].add(entry.row)
    kept = {
        kind: {row.pk: row for row in table.fetch().filter(pk__in=wanted[kind])}
        for kind, table in tables().items()
        if kind in wanted
    }
    for entry in batch:
        if entry.kind == PERSON and newest.get(entry.row) != entry.number:
            yield entry, None
        else:
            yield entry, _row_problem(entry, kept.get(entry.kind, {}).get(entry.row))


def _row_problem(entry: Link, row: Any) -> str | None:
    if row is None:
        return f"the {entry.kind} that it records is no longer there"
    now = canonical(row.book_body()).decode()
    if now == entry.body:
        return None
    then, today = _read(entry.body), json.loads(now)
    changed = sorted(key for key in then.keys() | today.keys() if then.get(key) != today.get(key))
    if not then or not changed:
        return "its text is no longer as the book writes it"
    key = changed[0]
    return (
        f"the {entry.kind} was changed after it was recorded: {key} is {json.dumps(today.get(key))} in the table "
        f"and {json.dumps(then.get(key))} in the book"
    )


def _read(body: str) -> dict[str, Any]:
    """What an entry says; nothing where somebody made its text unreadable."""
    try:
        said = json.loads(body)
    except (ValueError, RecursionError):
        return {}
    return said if isinstance(said, dict) else {}


def _tail_cut() -> Iterator[Break]:
    number, digest = head()
    last = BookEntry.objects.order_by("-number").values_list("number", "digest", "kind").first() or (0, START, "head")
    if (number, digest) != last[:2]:
        yield Break(
            max(last[0], number), last[2],
            f"the head of the book names entry {number} ({digest[:12]}), the last entry is {last[0]} ({last[1][:12]})",
        )


def _slipped_in() -> Iterator[Break]:
    for kind, table in tables().items():
        booked = BookEntry.objects.filter(kind=kind, row=models.OuterRef("pk"))
        for pk in table.rows.order_by("pk").filter(~models.Exists(booked)).values_list("pk", flat=True):
            yield Break(0, kind, f"a {kind} (row {pk}) stands in the table without an entry in the book")
