"""How is a question that is the same each time put together only once?

To put a query together from its tables takes Django ten times as long as a database takes to give
back one row of it. What is asked for every page is therefore kept as SQL, made by Django's own
query and once for each kind of database.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from django.db import connection
from django.db.models import QuerySet

Statement = tuple[str, tuple[Any, ...]]
"""SQL with its values."""


def as_statement(rows: QuerySet[Any]) -> Statement:
    """The SQL of a query for columns; to be kept by `connection.vendor`, since databases differ."""
    sql, values = rows.query.sql_with_params()
    return sql, tuple(values)


def first_row(statement: Statement) -> tuple[Any, ...] | None:
    """The first row as the database hands it out; None for none."""
    with connection.cursor() as cursor:
        cursor.execute(*statement)
        row: tuple[Any, ...] | None = cursor.fetchone()
    return row


def as_instant(found: datetime | str) -> datetime:
    """An instant of such a row: SQLite hands out the text that it keeps, in UTC."""
    read = datetime.fromisoformat(found) if isinstance(found, str) else found
    return read if read.tzinfo else read.replace(tzinfo=UTC)
