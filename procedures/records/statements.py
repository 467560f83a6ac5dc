"""How is a question that is the same each time put together only once?

To put a query together from its tables takes Django ten times as long as a database takes to give
back one row of it. What is asked for every page is therefore kept as SQL, made by Django's own
query and once for each kind of database.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any, NamedTuple

from django.db import connections, router
from django.db.models import Model, QuerySet


class Statement(NamedTuple):
    """SQL with its values, and the model whose rows it asks for."""

    model: type[Model]
    sql: str
    values: tuple[Any, ...]


def as_statement(rows: QuerySet[Any]) -> Statement:
    """The SQL of a query for columns; to be kept by `connection.vendor`, since databases differ."""
    sql, values = rows.query.sql_with_params()
    return Statement(rows.model, sql, tuple(values))


def first_row(statement: Statement) -> tuple[Any, ...] | None:
    """The first row as the database hands it out, read where Django's own query would read it; None
    for none.
    """
    with connections[router.db_for_read(statement.model)].cursor() as cursor:
        cursor.execute(statement.sql, statement.values)
        row: tuple[Any, ...] | None = cursor.fetchone()
    return row


def all_rows(statement: Statement) -> list[tuple[Any, ...]]:
    """Every row of the answer, as the database hands it out."""
    with connections[router.db_for_read(statement.model)].cursor() as cursor:
        cursor.execute(statement.sql, statement.values)
        return list(cursor.fetchall())


def as_instant(found: datetime | str) -> datetime:
    """An instant of such a row: SQLite hands out the text that it keeps, in UTC."""
    read = datetime.fromisoformat(found) if isinstance(found, str) else found
    return read if read.tzinfo else read.replace(tzinfo=UTC)
