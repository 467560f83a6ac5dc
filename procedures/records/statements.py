"""How is a question that is the same each time put together only once?

To put a query together from its tables takes Django ten times as long as a database takes to give
back a few rows of it. What is asked for every page, and whatever is read anew after each entry, is
therefore kept as SQL, made by Django's own query and once for each kind of database.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, wraps
from typing import Any, NamedTuple

from django.db import connection, connections, router
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Model, QuerySet

Row = tuple[Any, ...]
Reader = tuple[int, Any, Callable[[Any, Any, BaseDatabaseWrapper], Any]]


class Statement(NamedTuple):
    """SQL with its values, the model whose rows it asks for, and the columns, by place, that a
    database does not hand out as they are read.
    """

    model: type[Model]
    sql: str
    values: Row
    written: dict[int, Any]


def prepare_once(question: Callable[[], QuerySet[Any]]) -> Callable[[], list[Row]]:
    """Make of a function that gives a query for columns one that gives its rows, as `values_list`
    does; the query is put together at its first call, so nothing in it may depend on the moment.
    """

    @cache
    def statement(vendor: str) -> Statement:
        return _put_together(question())

    @wraps(question)
    def ask() -> list[Row]:
        return _rows_of(statement(connection.vendor))

    return ask


def _put_together(rows: QuerySet[Any]) -> Statement:
    compiler = rows.query.get_compiler(using=router.db_for_read(rows.model))
    sql, values = compiler.as_sql()
    columns = [column for column, _, _ in compiler.select or ()]
    # Only the columns: how one is read is a thing of the connection, which others do not share.
    written = {place: columns[place] for place in compiler.get_converters(columns)}
    return Statement(rows.model, sql, tuple(values), written)


def _rows_of(statement: Statement) -> list[Row]:
    used = connections[router.db_for_read(statement.model)]
    with used.cursor() as cursor:
        cursor.execute(statement.sql, statement.values)
        rows: list[Row] = cursor.fetchall()
    readers = [
        (place, column, read)
        for place, column in statement.written.items()
        for read in (*used.ops.get_db_converters(column), *column.get_db_converters(used))
    ]
    return [_read(row, readers, used) for row in rows] if readers else rows


def _read(row: Row, readers: list[Reader], used: BaseDatabaseWrapper) -> Row:
    values = list(row)
    for place, column, read in readers:
        values[place] = read(values[place], column, used)
    return tuple(values)
