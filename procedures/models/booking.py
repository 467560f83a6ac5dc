"""What does the record book hold of a row, and what may nobody change in it? Each model says so
beside its columns.

    KIND = "stand-down"                        the kind of its entries BOOK = {1: ("happened_on",
    …), 2: (…)}     what an entry holds, by version: columns that are named, never "all of them"
    BOOK_NAME = "{login}"                      by what other entries name such a row BOOK_IF,
    BOOK_CHANGES                      which rows are in the book, and whether they change BOOK_FILES
    = ("photos",)                   which columns name files by their SHA-256; they are held against
    it too BOOK_SINCE = "wider_book"             the migration (without its number) with which the
    kind came in, where shops had rows before SEAL = Seal("…")                           that the
    database refuses to change or delete them

Once a version has been written into a shop's book, its list never changes again: an entry is read
by the list of its own version. Rows that are recorded from now on are written by the newest one.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from operator import attrgetter
from types import MappingProxyType
from typing import Any, ClassVar, Protocol

from django.apps import apps
from django.core.exceptions import ObjectDoesNotExist
from django.db import models
from django.db.models import Prefetch

FIRST = 1
HOLE = re.compile(r"\{([\w.]+)\}")


@dataclass(frozen=True, slots=True)
class Column:
    """One line of an entry: its key there, and the column that it tells (`person`, or
    `sitting.person` through others).

    `sha256`: only the hash of the text is told. `later`: left out where the column is empty, as in
    entries written before there was such a column; from the next version of a kind on, columns come
    in by a new list instead.
    """

    key: str
    of: str = ""
    sha256: bool = False
    later: bool = False


@dataclass(frozen=True, slots=True)
class Parts:
    """A line of an entry that tells all rows of another table that belong to this one, such as the
    answers of a sitting.

    `order` names the column by which they come; without it they come as their table orders them.
    """

    key: str
    columns: Layout
    of: str = ""
    order: str = ""
    later: bool = False


Layout = tuple[str | Column | Parts, ...]
Book = Mapping[int, Layout]


@dataclass(frozen=True, slots=True)
class Seal:
    """That the rows of a table can be neither changed nor deleted, and the sentence with which the
    database refuses it.

    `when` is an SQL condition on `{row}`, for rows that are sealed later in their life.
    `insert_when` is one for rows that can't come in either, neither as new ones nor by a change.
    Both may hold a sub-select.
    """

    message: str
    when: str = ""
    insert_when: str = ""


class Booked(Protocol):
    """A row of a model that says what the record book is to hold of it."""

    KIND: ClassVar[str]
    BOOK: ClassVar[Book]

    @property
    def pk(self) -> Any: ...


@dataclass(frozen=True, slots=True)
class PartRows:
    """What to fetch of the rows that belong to a row: by which name, from which table, and which
    columns.
    """

    accessor: str
    model: Any
    fetched: frozenset[str]
    joined: frozenset[str]


@dataclass(frozen=True, slots=True)
class Reader:
    """How rows of one model are told by one list: what to fetch, and how to read it."""

    lines: tuple[tuple[str, Callable[[Any], Any], bool], ...]
    fetched: frozenset[str]
    joined: frozenset[str]
    parts: tuple[PartRows, ...]
    told: frozenset[tuple[str, str]]  # every (model, column) that a body rests on
    # of the model's own columns: what rows hold that were there before the column
    defaults: Mapping[str, Any]

    def read(self, row: Any) -> dict[str, Any]:
        """The body of a row. Lines that came later are left out where they are empty."""
        body = {}
        for key, tell, is_later in self.lines:
            value = tell(row)
            if value or not is_later:
                body[key] = value
        return body


@cache
def kinds() -> Mapping[str, type[models.Model]]:
    """Every kind of entry and the model behind it; once the site is up, no model comes or goes."""
    booked: list[Any] = [model for model in apps.get_models() if hasattr(model, "BOOK")]
    return MappingProxyType({model.KIND: model for model in booked})


def booked_rows(model: Any) -> models.QuerySet[Any]:
    """The rows of a model that are in the book: all of them, unless BOOK_IF says which."""
    rows: models.QuerySet[Any] = model._default_manager.order_by("pk")
    condition = getattr(model, "BOOK_IF", None)
    return (
        rows
        if condition is None
        else rows.filter(condition() if callable(condition) else models.Q(**condition))
    )


def fetch_with(rows: models.QuerySet[Any], readers: Sequence[Reader]) -> models.QuerySet[Any]:
    """The rows with all that these readers need and nothing else, in a fixed number of queries."""
    parts: dict[str, list[PartRows]] = {}
    for part in (part for one in readers for part in one.parts):
        parts.setdefault(part.accessor, []).append(part)
    return _only(rows, readers).prefetch_related(
        *(
            Prefetch(name, queryset=_only(some[0].model._default_manager.all(), some))
            for name, some in parts.items()
        )
    )


def _only(
    rows: models.QuerySet[Any], wanted: Sequence[Reader] | Sequence[PartRows]
) -> models.QuerySet[Any]:
    joined = frozenset[str]().union(*(one.joined for one in wanted))
    rows = rows.only(*frozenset[str]().union(*(one.fetched for one in wanted)))
    return rows.select_related(*joined) if joined else rows


def book_of(model: Any) -> Book:
    """The versions of what entries hold of this model."""
    book: Book = model.BOOK
    return book


def newest_version(model: Any) -> int:
    """The version by which rows are written from now on."""
    return max(book_of(model))


def write_kind(kind: str, version: int) -> str:
    """How an entry carries its kind: `sign-off` for the first version, then `sign-off@2`."""
    return kind if version == FIRST else f"{kind}@{version}"


def kind_and_version(text: str) -> tuple[str, int]:
    """The kind and the version that an entry carries; version 0 where what stands there is none."""
    kind, sign, number = text.partition("@")
    if not sign:
        return kind, FIRST
    is_number = (
        number.isascii()
        and number.isdigit()
        and not number.startswith("0")
        and len(number) < 6
        and number != "1"
    )
    return kind, int(number) if is_number else 0


def list_written_kinds(kind: str) -> list[str]:
    """Every text by which entries of a kind are found."""
    return [write_kind(kind, version) for version in book_of(kinds()[kind])]


def reader(model: Any, version: int) -> Reader:
    """How to read rows of this model by this version. Raises KeyError where there is no such
    version.
    """
    return _made(model, book_of(model)[version])


@cache
def _made(model: Any, layout: Layout) -> Reader:
    return _reader(model, layout)


def _reader(model: Any, layout: Layout) -> Reader:
    lines: list[tuple[str, Callable[[Any], Any], bool]] = []
    paths: list[Path] = []
    parts: list[PartRows] = []
    told: set[tuple[str, str]] = set()
    defaults: dict[str, Any] = {}
    for line in layout:
        if isinstance(line, Parts):
            tell, part, rests_on = _parts(model, line)
            parts.append(part)
        else:
            line = Column(line) if isinstance(line, str) else line
            tell, found = _told(model, (line.of or line.key).split("."))
            if line.sha256:
                tell = _hashed(tell)
            paths += found
            rests_on = {column for path in found for column in path}
            if "." not in (line.of or line.key):
                defaults[line.key] = model._meta.get_field(line.of or line.key).get_default()
        told |= rests_on
        lines.append((line.key, tell, line.later))
    names = [[column for _, column in path] for path in paths]
    return Reader(
        tuple(lines),
        frozenset({"__".join(path) for path in names} | {model._meta.pk.name}),
        frozenset("__".join(path[:depth]) for path in names for depth in range(1, len(path))),
        tuple(parts),
        frozenset(told),
        defaults,
    )


def _parts(model: Any, line: Parts) -> tuple[Callable[[Any], Any], PartRows, set[tuple[str, str]]]:
    accessor = line.of or line.key
    relation = next(
        found for found in model._meta.related_objects if found.get_accessor_name() == accessor
    )
    part, back = relation.related_model, relation.field.name
    each = _reader(part, line.columns)

    def tell(row: Any) -> Any:
        rows = getattr(row, accessor).all()
        return [
            each.read(one)
            for one in (sorted(rows, key=attrgetter(line.order)) if line.order else rows)
        ]

    return (
        tell,
        PartRows(accessor, part, each.fetched | {back}, each.joined),
        {*each.told, (part._meta.label, back)},
    )


Path = list[tuple[str, str]]  # the (model, column) pairs from a row to what is told


def _told(model: Any, names: list[str]) -> tuple[Callable[[Any], Any], list[Path]]:
    """How to tell what lies at the end of these names, and the paths to all that has to be read for
    it.

    This is the one place that says how a value is told: a row by the BOOK_NAME of its model, all
    else as it is.
    """
    field = model._meta.get_field(names[0]) if names[0] != "pk" else model._meta.pk
    here = (model._meta.label, field.name)
    if len(names) > 1:
        tell, paths = _told(field.related_model, names[1:])
        return _through(field, tell), [[here, *path] for path in paths]
    if not field.is_relation:
        return attrgetter(field.name), [[here]]
    name = field.related_model.BOOK_NAME
    if name == "{pk}":  # no need to fetch the row for its key
        return attrgetter(field.attname), [[here]]
    tell, paths = _named(field.related_model, name)
    return _through(field, tell), [[here, *path] for path in paths]


def _named(model: Any, name: str) -> tuple[Callable[[Any], Any], list[Path]]:
    """How to name a row: `{login}` is the column as it is, anything else a text with columns in
    it.
    """
    pieces = HOLE.split(name)  # texts and columns in turn, texts first and last
    tellers, paths = [], []
    for column in pieces[1::2]:
        tell, found = _told(model, column.split("."))
        tellers.append(tell)
        paths += found
    if len(tellers) == 1 and not pieces[0] and not pieces[2]:
        return tellers[0], paths

    def tell_all(row: Any) -> str:
        said = (f"{tell(row)}{after}" for tell, after in zip(tellers, pieces[2::2], strict=True))
        return pieces[0] + "".join(said)

    return tell_all, paths


def _through(field: Any, tell: Callable[[Any], Any]) -> Callable[[Any], Any]:
    def told(row: Any) -> Any:
        try:
            other = getattr(row, field.name)
        except ObjectDoesNotExist:
            other = None  # somebody took it out of the database, and the check is about to say so
        if other is not None:
            return tell(other)
        # SQLite keeps a key that leads nowhere; told as none, it would pass for an empty column.
        key = getattr(row, field.attname)
        return None if key is None else f"row {key}, which is not there"

    return told


def _hashed(tell: Callable[[Any], Any]) -> Callable[[Any], Any]:
    return lambda row: hashlib.sha256(tell(row).encode()).hexdigest()
