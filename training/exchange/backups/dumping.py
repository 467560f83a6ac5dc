"""How is the whole database copied while people work, and how does such a copy come into an empty
place?

SQLite: VACUUM INTO, which sees one moment and keeps no writer out for longer than that takes.
PostgreSQL: pg_dump in the custom format, on a snapshot from which the head of the book is read too.
Open sign-ins and links to choose a password are left out of both: whoever found a backup could
otherwise walk in by one, and what was ended or used would be open again after a restore.
"""

from __future__ import annotations

import os
import subprocess
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.db import connection, connections
from django.db.backends.base.base import BaseDatabaseWrapper
from django.utils.translation import gettext

from procedures.records.refused import Refused
from training.exchange.backups.archive import Head

MOST_TOLD = 5
PATIENCE = 60  # seconds that a copy waits for a writer
# what is open, and who tried
SIGN_INS = (
    "django_session",
    "training_session",
    "training_onetimelink",
    "training_tries",
    "training_refusedsignin",
)
Ask = Callable[[str], Sequence[tuple[Any, ...]]]


@dataclass(frozen=True, slots=True)
class Facts:
    """What a database says of itself: how far its book goes, the first entry's digest, and how it
    was prepared.
    """

    book: Head
    first: str
    migrations: dict[str, tuple[str, ...]]


def facts_of(ask: Ask) -> Facts:
    """The facts of the database that `ask` asks. It may be of an older program, so nothing here
    goes through models.
    """
    number, digest = next(
        iter(ask("SELECT number, digest FROM training_bookhead WHERE id = 1")), (0, "")
    )
    of_head = f"SELECT written_at FROM training_bookentry WHERE number = {int(number)}"  # noqa: S608
    written = next(iter(ask(of_head)), ("",))[0]
    first = next(iter(ask("SELECT digest FROM training_bookentry WHERE number = 1")), ("",))[0]
    migrations: dict[str, tuple[str, ...]] = {}
    for app, name in ask("SELECT app, name FROM django_migrations ORDER BY id"):
        migrations[app] = (*migrations.get(app, ()), name)
    return Facts(Head(int(number), digest, _instant(written)), first, migrations)


def _instant(written: object) -> str:
    """As ISO text in UTC; SQLite keeps text without a zone, which is UTC."""
    if not written:
        return ""
    moment = written if isinstance(written, datetime) else datetime.fromisoformat(str(written))
    return moment.replace(tzinfo=moment.tzinfo or UTC).astimezone(UTC).isoformat()


def copy_out(target: Path) -> Facts:
    """A whole copy of the site's database in a new file, and its facts. Raises Refused for a
    damaged one, DatabaseError.
    """
    return _copy_sqlite(target) if connection.vendor == "sqlite" else _copy_postgresql(target)


def _copy_sqlite(target: Path) -> Facts:
    name = str(connection.settings_dict["NAME"])
    quoted = str(target).replace("'", "''")
    with sqlite_file(
        name if name.startswith("file:") else f"{Path(name).resolve().as_uri()}?mode=rw"
    ) as ask:
        ask(f"VACUUM INTO '{quoted}'")
    target.chmod(0o600)
    with sqlite_file(str(target)) as ask:
        # Deleted rows would otherwise stay readable in the free pages of the copy.
        ask("PRAGMA secure_delete = ON")
        for (table,) in ask("SELECT name FROM sqlite_master WHERE type = 'table'"):
            if table in SIGN_INS:
                ask(f"DELETE FROM {table}")  # noqa: S608
        # One file: a write-ahead log beside it would not be packed.
        ask("PRAGMA journal_mode = DELETE")
        problems = sqlite_problems(ask)
        if problems:
            raise Refused(
                gettext("The database is damaged, so this is no backup. Keep your older ones."),
                problems,
            )
        return facts_of(ask)


# A connection of its own: VACUUM cannot run inside a transaction, and the request may be in one.
@contextmanager
def sqlite_file(name: str) -> Iterator[Ask]:
    """Ask an SQLite file by a connection of its own, with the functions that the tables' conditions
    call.
    """
    options = connection.settings_dict["OPTIONS"] | {"timeout": PATIENCE}
    beside = type(connections["default"])(
        {**connection.settings_dict, "NAME": name, "OPTIONS": options}, "beside"
    )
    try:
        yield _asking(beside)
    finally:
        beside.close()


def _asking(beside: BaseDatabaseWrapper) -> Ask:
    def ask(sql: str) -> list[tuple[Any, ...]]:
        with beside.cursor() as cursor:
            cursor.execute(sql, None)
            return list(cursor.fetchall()) if cursor.description else []

    return ask


def sqlite_problems(ask: Ask) -> list[str]:
    """What SQLite itself finds wrong with a database: its pages, and rows that name rows that are
    not there.
    """
    said = [str(row[0]) for row in ask(f"PRAGMA integrity_check({MOST_TOLD})")]
    lost = [
        gettext("A row of {table} names a row of {other} that is not there.").format(
            table=row[0], other=row[2]
        )
        for row in ask("PRAGMA foreign_key_check")[:MOST_TOLD]
    ]
    return [*(line for line in said if line != "ok"), *lost]


def _copy_postgresql(target: Path) -> Facts:
    beside = type(connections["default"])({**connection.settings_dict}, "beside")
    ask = _asking(beside)
    try:
        # The exported snapshot lives only as long as this transaction, so it outlasts pg_dump.
        ask("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY")
        found = facts_of(ask)
        snapshot = ask("SELECT pg_export_snapshot()")[0][0]
        _run(
            "pg_dump",
            "--format=custom",
            f"--snapshot={snapshot}",
            *(f"--exclude-table-data={table}" for table in SIGN_INS),
            f"--file={target}",
        )
        target.chmod(0o600)
        return found
    finally:
        beside.close()


def pour_in(dump: Path) -> None:
    """A dump into the empty PostgreSQL database of this site, as a whole or not at all. Raises
    Refused.
    """
    _run("pg_restore", "--single-transaction", "--exit-on-error", str(dump))


def _run(program: str, *arguments: str) -> None:
    """One of PostgreSQL's own programs on the site's database. The password goes by the
    environment: others see arguments.
    """
    from psycopg import pq
    from psycopg.conninfo import make_conninfo

    known = {each.keyword.decode() for each in pq.Conninfo.get_defaults()}
    given = {
        name: value for name, value in connection.get_connection_params().items() if name in known
    }
    environment = os.environ | {"PGPASSWORD": str(given.pop("password", ""))}
    command = [
        program,
        "--no-owner",
        "--no-privileges",
        f"--dbname={make_conninfo(**given)}",
        *arguments,
    ]
    try:
        done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)  # noqa: S603
    except FileNotFoundError:
        raise Refused(
            gettext(
                "The program {program} is not on this machine. Install the client programs "
                "of PostgreSQL, in the server’s version or a newer one."
            ).format(program=program)
        ) from None
    if done.returncode:
        raise Refused(
            gettext("{program} failed.").format(program=program),
            done.stderr.strip().splitlines()[:MOST_TOLD],
        )


@contextmanager
def database_at(path: Path) -> Iterator[None]:
    """For a while, everything that asks the site's SQLite database asks this file."""
    # An open connection would stay with the file that it was opened on.
    connection.close()
    usual, connection.settings_dict["NAME"] = connection.settings_dict["NAME"], str(path)
    try:
        yield
    finally:
        connection.close()
        connection.settings_dict["NAME"] = usual
