"""How is a shop that many tests want built once, and its rows put in again for each of them?

To build even the small shop through the actions of the site takes sixty times as long as to insert
its rows. So each process builds a shop once, with the program as it is, and notes what then lies in
the tables; `tests/training/test_put_in.py` holds that what is put in again is the same.
"""

import os
import pickle
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import time_machine
from django.apps import apps
from django.conf import settings
from django.db import connection, transaction
from django.test import override_settings

from procedures.records.sealing import seals
from tests.training.shop import NOW

# What `migrate` itself puts in.
SETTLED = {"django_content_type", "django_migrations", "auth_permission"}
# The head of a book without an entry, which `migrate` puts in too, and which a shop moves on.
HEAD, UNMOVED = "training_bookhead", "number = 0"


@dataclass(frozen=True)
class Rows:
    """What lies in one table: on SQLite rows, on PostgreSQL the text of a COPY."""

    table: str
    columns: str
    kept: list[tuple[Any, ...]] | list[bytes]


@dataclass(frozen=True)
class Shop:
    """A shop as it was built: its tables, its pictures, and what its builder gave, pickled."""

    tables: list[Rows]
    pictures: dict[str, bytes]
    made: bytes


_BUILT: dict[Callable[[], Any], Shop] = {}


def put_in(build: Callable[[], Any]) -> Any:
    """What `build` gives on 25 Nov 2026, and its rows in the database. Where others lie there
    already, it is built anew, since rows of another life would not fit beside them. The other
    processes of this run get it from a file.
    """
    if not is_empty():
        return build()
    left = file_of_this_run(f"{build.__module__}.{build.__qualname__}")
    if build not in _BUILT and left.exists():
        _BUILT[build] = pickle.loads(left.read_bytes())  # noqa: S301
    if build not in _BUILT:
        _BUILT[build] = _built(build)
        leave(_BUILT[build], left)
        return pickle.loads(_BUILT[build].made)  # noqa: S301
    shop = _BUILT[build]
    with transaction.atomic():
        with connection.cursor() as cursor:
            cursor.execute(f"DELETE FROM {HEAD} WHERE {UNMOVED}")
        for rows in shop.tables:
            _insert(rows)
        _count_on(shop.tables)
    _keep_pictures(shop.pictures)
    return pickle.loads(shop.made)  # noqa: S301


def file_of_this_run(name: str) -> Path:
    """In the folder of this run, which all its processes have; see home.py."""
    return Path(os.environ["SHOPS_OF_THIS_RUN"]) / f"{name}.{connection.vendor}"


def leave(what: object, file: Path) -> None:
    """For the other processes of this run: the file is there whole, or not at all."""
    with tempfile.NamedTemporaryFile(dir=file.parent, delete=False) as written:
        pickle.dump(what, written)
    Path(written.name).replace(file)


def _built(build: Callable[[], Any]) -> Shop:
    """The shop, newly built; its rows lie in the database then."""
    with tempfile.TemporaryDirectory() as folder:
        stands_still = time_machine.travel(NOW, tick=False)
        with transaction.atomic(), override_settings(PICTURES=Path(folder)), stands_still:
            made = build()
        pictures = {path.name: path.read_bytes() for path in Path(folder).iterdir()}
    _keep_pictures(pictures)
    return Shop(noted(), pictures, pickle.dumps(made))


def tables() -> list[str]:
    """Every table of the site, those first whose seals let no row in beside a sealed one of
    another table.
    """
    sealed = seals()
    return sorted(
        {model._meta.db_table for model in apps.get_models(include_auto_created=True)} - SETTLED,
        key=lambda table: (not (table in sealed and sealed[table].insert_when), table),
    )


def is_empty() -> bool:
    """Whether no table holds a row but those that `migrate` fills."""
    asked = " OR ".join(
        f'EXISTS (SELECT 1 FROM "{table}"{f" WHERE NOT {UNMOVED}" if table == HEAD else ""})'
        for table in tables()
    )
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT CASE WHEN {asked} THEN 0 ELSE 1 END")
        return bool(cursor.fetchone()[0])


def noted() -> list[Rows]:
    """Every row of the site as it lies in the database, table by table."""
    found = (_noted(table) for table in tables())
    return [rows for rows in found if rows.kept]


def _noted(table: str) -> Rows:
    with connection.cursor() as cursor:
        # Not by introspection, which on SQLite reads the text of the whole table's making.
        cursor.execute(f'SELECT * FROM "{table}" LIMIT 0')
        columns = [f'"{column[0]}"' for column in cursor.description]
        named = ", ".join(columns)
        if connection.vendor == "sqlite":
            # The plus keeps the driver from making days and instants out of what lies there.
            asked = ", ".join(f"+{column}" for column in columns)
            cursor.execute(f'SELECT {asked} FROM "{table}" ORDER BY 1')
            return Rows(table, named, cursor.fetchall())
        # Where a row of the table is named by another one, the older comes first.
        with cursor.copy(f'COPY (SELECT {named} FROM "{table}" ORDER BY 1) TO STDOUT') as copied:
            return Rows(table, named, [bytes(piece) for piece in copied])


def _insert(rows: Rows) -> None:
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            marks = ", ".join("?" * len(rows.kept[0]))
            sql = f'INSERT INTO "{rows.table}" ({rows.columns}) VALUES ({marks})'
            # past Django's own cursor, which has other marks
            connection.connection.executemany(sql, rows.kept)
            return
        with cursor.copy(f'COPY "{rows.table}" ({rows.columns}) FROM STDIN') as coming:
            for piece in rows.kept:
                coming.write(piece)


def _count_on(tables: list[Rows]) -> None:
    """The next key of each table is one that is free. SQLite sees to that itself."""
    if connection.vendor == "sqlite":
        return
    counted = [rows.table for rows in tables if '"id"' in rows.columns.split(", ")]
    sets = ", ".join(
        f"setval(pg_get_serial_sequence('\"{table}\"', 'id'), (SELECT MAX(id) FROM \"{table}\"))"
        for table in counted
    )
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {sets}")


def _keep_pictures(pictures: dict[str, bytes]) -> None:
    folder = Path(settings.PICTURES)
    for name, data in pictures.items():
        if not (folder / name).exists():
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            (folder / name).write_bytes(data)
