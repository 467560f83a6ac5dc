"""How is a question that is the same each time put together only once?

To put a query together from its tables takes Django ten times as long as a database takes to give
back a few rows of it. What is asked for every page, and whatever is read anew after each entry, is
therefore kept as SQL, made by Django's own query and once for each kind of database.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from copy import copy
from datetime import date, datetime
from functools import cache, wraps
from inspect import signature
from typing import Any, Generic, NamedTuple, TypeVar

from django.db import connection, connections, router
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Expression, Model, QuerySet

Kind = TypeVar("Kind", bound=Model)
SqlRow = tuple[Any, ...]
# A key is taken from an address, where any number may stand; over a larger one SQLite fails.
LARGEST = 2**63 - 1
ColumnReader = tuple[int, Any, Callable[[Any, Any, BaseDatabaseWrapper], Any]]


class SaidLater(Expression):
    """A value that is said only when the question is asked: the first, the second …"""

    def __init__(self, place: int) -> None:
        super().__init__()
        self.place = place

    def as_sql(self, compiler: Any, connection: Any) -> tuple[str, list[SaidLater]]:  # type: ignore[override]
        return "%s", [self]


class Statement(NamedTuple):
    """SQL with its values, of which some are given later; the model whose rows it asks for; and the
    columns, by place, that a database does not hand out as they are read.
    """

    model: type[Model]
    sql: str
    values: SqlRow
    written: dict[int, Any]


class Prepared(NamedTuple, Generic[Kind]):
    """A query for objects, the compiler that reads what comes, and its SQL with its values."""

    rows: QuerySet[Kind]
    compiler: Any
    sql: str
    values: Sequence[Any]


def prepare_once(question: Callable[..., QuerySet[Any]]) -> Callable[..., list[SqlRow]]:
    """Make of a function that gives a query for columns one that gives its rows, as `values_list`
    does. The query is put together at its first call, so nothing in it may depend on the moment but
    what the function is given: a key, a text, a day or an instant, never a list.
    """
    places = range(len(signature(question).parameters))

    @cache
    def statement(vendor: str) -> Statement:
        return _put_together(question(*map(SaidLater, places)))

    @wraps(question)
    def ask(*given: object) -> list[SqlRow]:
        return _rows_of(statement(connection.vendor), given) if _may_be_kept(given) else []

    return ask


def prepare_objects(question: Callable[..., QuerySet[Kind]]) -> Callable[..., list[Kind]]:
    """The same for a function that gives a query for objects: one that gives the objects, with all
    that the query selects or fetches beside them.
    """
    places = range(len(signature(question).parameters))

    @cache
    def prepared(vendor: str) -> Prepared[Kind]:
        rows = question(*map(SaidLater, places))
        compiler = rows.query.get_compiler(using=rows.db)
        return Prepared(rows, compiler, *compiler.as_sql())

    @wraps(question)
    def ask(*given: object) -> list[Kind]:
        if not _may_be_kept(given):
            return []
        rows, compiler, sql, values = prepared(connection.vendor)
        # What locks its rows is asked where is written, never at a copy of the database.
        used = connections[rows.db]
        bound = copy(compiler)
        bound.connection, bound.as_sql = used, lambda: (sql, _said(values, given, used))
        # All else stays Django's own: a query set asks its query for the compiler that reads it.
        asked = rows.using(used.alias)
        asked.query.get_compiler = lambda *_, **__: bound  # type: ignore[method-assign]
        return list(asked)

    return ask


def columns_of(model: type[Model]) -> tuple[str, ...]:
    """The columns that `as_object` needs, for `values_list`."""
    return tuple(field.attname for field in model._meta.concrete_fields)


def as_object(model: type[Kind], row: Sequence[Any]) -> Kind:
    """The object of a row with all columns of its model."""
    return model.from_db(router.db_for_read(model), columns_of(model), row)


def _put_together(rows: QuerySet[Any]) -> Statement:
    compiler = rows.query.get_compiler(using=router.db_for_read(rows.model))
    sql, values = compiler.as_sql()
    columns = [column for column, _, _ in compiler.select or ()]
    # Only the columns: how one is read is a thing of the connection, which others do not share.
    written = {place: columns[place] for place in compiler.get_converters(columns)}
    return Statement(rows.model, sql, tuple(values), written)


def _rows_of(statement: Statement, given: SqlRow) -> list[SqlRow]:
    used = connections[router.db_for_read(statement.model)]
    with used.cursor() as cursor:
        cursor.execute(statement.sql, _said(statement.values, given, used))
        rows: list[SqlRow] = cursor.fetchall()
    readers = [
        (place, column, read)
        for place, column in statement.written.items()
        for read in (*used.ops.get_db_converters(column), *column.get_db_converters(used))
    ]
    return [_read(row, readers, used) for row in rows] if readers else rows


def _may_be_kept(given: SqlRow) -> bool:
    """Whether a column can hold each number that is given: Django's own query finds no row else."""
    return all(not isinstance(value, int) or abs(value) <= LARGEST for value in given)


def _said(values: Sequence[Any], given: SqlRow, used: BaseDatabaseWrapper) -> SqlRow:
    """The values of a statement, with what is given now."""
    return tuple(
        _write(given[value.place], used) if isinstance(value, SaidLater) else value
        for value in values
    )


def _write(value: object, used: BaseDatabaseWrapper) -> object:
    """A value as the database keeps it, which for SQLite is the text of a day or an instant."""
    if isinstance(value, datetime):
        return used.ops.adapt_datetimefield_value(value)
    return used.ops.adapt_datefield_value(value) if isinstance(value, date) else value


def _read(row: SqlRow, readers: list[ColumnReader], used: BaseDatabaseWrapper) -> SqlRow:
    values = list(row)
    for place, column, read in readers:
        values[place] = read(values[place], column, used)
    return tuple(values)
