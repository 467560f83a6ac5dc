"""Could the site take a record right now? Answered within a second, whatever has happened to the
database.

By a connection of its own with a short patience, in a thread that is waited for no longer than
that: a lock, a disk that hangs or a server that cannot be reached would otherwise keep whoever asks
waiting as well.
"""

from __future__ import annotations

import sqlite3
import tempfile
from concurrent.futures import Future, ThreadPoolExecutor
from concurrent.futures import TimeoutError as TookTooLong
from contextlib import closing
from pathlib import Path
from typing import Any

from django.db import DatabaseError, connection

from training.records.opened_file import file_of, must_be_there
from training.records.troubles import BUSY, MOVED, trouble_of

PATIENCE = 0.9  # seconds for the whole answer
FOR_LOCK = 0.6  # seconds of them for a writer to end
ROOM = 64 * 1024  # bytes that must still fit beside the database
# as much, in a table of a database server that is taken back at once
TAKES_ROOM = (
    "CREATE TEMPORARY TABLE room ON COMMIT DROP AS "
    "SELECT repeat('x', 1024) FROM generate_series(1, 64)"
)

# One thread: a disk that hangs would else take one more for each question.
_asker = ThreadPoolExecutor(max_workers=1, thread_name_prefix="probe")
_asked: list[Future[str]] = []


def find_trouble() -> str:
    """The code of what keeps the site from taking records (see troubles.py); empty when nothing
    does.
    """
    if connection.vendor == "sqlite" and not file_of(connection.settings_dict):
        return ""
    try:
        must_be_there()
    except DatabaseError:
        return MOVED
    # While one hangs, everybody waits for that one, and none waits behind it.
    if not _asked or _asked[0].done():
        named = dict(connection.settings_dict), connection.get_connection_params()
        _asked[:] = [_asker.submit(_try, connection.vendor, *named)]
    try:
        return _asked[0].result(timeout=PATIENCE)
    except TookTooLong:
        return BUSY


def _try(vendor: str, named: dict[str, Any], given: dict[str, Any]) -> str:
    try:
        if vendor == "sqlite":
            _try_sqlite(Path(named["NAME"]))
        else:
            _try_postgresql(given)
    # Whatever it is, the answer is that something is wrong; an error here would be no answer at
    # all.
    except Exception as error:
        return trouble_of(error) or "broken"
    return ""


def _try_sqlite(name: Path) -> None:
    # A journal must find its place and its room there, too.
    with tempfile.TemporaryFile(dir=name.parent) as file:
        file.write(bytes(ROOM))
        file.flush()
    # mode=rw: to look must not make an empty database where the file is gone.
    with closing(
        sqlite3.connect(
            f"{name.resolve().as_uri()}?mode=rw", uri=True, timeout=FOR_LOCK, isolation_level=None
        )
    ) as beside:
        beside.execute("SELECT number FROM training_bookhead").fetchall()
        # The lock of a writer, without writing: a read-only file or a stuck writer shows by it.
        beside.execute("BEGIN IMMEDIATE")
        beside.execute("ROLLBACK")


def _try_postgresql(given: dict[str, Any]) -> None:
    import psycopg

    milliseconds = int(FOR_LOCK * 1000)
    # Two is the least that libpq takes; the thread is left behind sooner, by PATIENCE.
    with closing(psycopg.connect(**given | {"connect_timeout": 2})) as beside:
        beside.execute(f"SET lock_timeout = {milliseconds}")
        beside.execute(f"SET statement_timeout = {milliseconds}")
        # The very row for which every write of the site waits.
        beside.execute("SELECT number FROM training_bookhead FOR UPDATE")
        # As much must still fit on the server's disk; what is taken back leaves nothing behind.
        beside.execute(TAKES_ROOM)
        beside.rollback()
