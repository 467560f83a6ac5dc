"""What has happened to the database or the disk, in a word that a page can explain?"""

from __future__ import annotations

import errno
from collections.abc import Iterator

from django.db import DatabaseError, InterfaceError

from training.records.opened_file import RecordsMoved

BUSY, FULL, READ_ONLY, MOVED, EMPTY, DAMAGED, AWAY = (
    "busy",
    "full",
    "read-only",
    "moved",
    "empty",
    "damaged",
    "away",
)

# How SQLite says it (source: its list of result codes, sqlite.org/rescode.html).
SQLITE = (
    ("database is locked", BUSY),
    ("database table is locked", BUSY),
    ("database schema is locked", BUSY),
    ("database or disk is full", FULL),
    ("readonly database", READ_ONLY),
    ("unable to open database file", READ_ONLY),
    ("disk i/o error", READ_ONLY),
    ("no such table", EMPTY),
    ("no such column", EMPTY),
    ("malformed", DAMAGED),
    ("not a database", DAMAGED),
)
# SQLSTATE of PostgreSQL (source: its manual, appendix A): the code, or the first two signs of a
# class.
POSTGRESQL = {
    "53100": FULL,
    # Lock timeout, statement timeout, deadlock: all pass when it is tried again.
    "55P03": BUSY,
    "57014": BUSY,
    "40P01": BUSY,
    "25006": READ_ONLY,
    "42P01": EMPTY,
    "42703": EMPTY,
    "53": AWAY,
    "08": AWAY,
    "57": AWAY,
    "3D": AWAY,
    "28": AWAY,
    "XX001": DAMAGED,
    "XX002": DAMAGED,
}
FILES = {
    errno.ENOSPC: FULL,
    errno.EDQUOT: FULL,
    errno.EROFS: READ_ONLY,
    errno.EACCES: READ_ONLY,
    errno.EPERM: READ_ONLY,
    errno.EIO: READ_ONLY,
}


def trouble_of(error: BaseException | None) -> str:
    """The word for it; empty for an error that has nothing to do with database or disk."""
    # From the outside in: Django wraps the driver's error, and only the driver's has a code.
    for each in _chain(error):
        if isinstance(each, RecordsMoved):
            return MOVED
        if isinstance(each, OSError) and each.errno in FILES:
            return FILES[each.errno]
        state = getattr(each, "sqlstate", None)
        if state:
            # The code before its class: 53100 (disk full) can be mended, the rest of 53 is waited
            # for.
            return POSTGRESQL.get(state) or POSTGRESQL.get(state[:2], "")
        said = str(each).lower()
        found = (
            next((word for words, word in SQLITE if words in said), "")
            # Only there: "malformed" stands in the errors of many other things.
            if _is_of_database(each)
            else ""
        )
        if found:
            return found
    # Last, since it goes by the kind of error alone.
    return AWAY if any(_is_of_connection(each) for each in _chain(error)) else ""


def _chain(error: BaseException | None) -> Iterator[BaseException]:
    while error is not None:
        yield error
        error = error.__cause__


def _is_of_database(error: BaseException) -> bool:
    return isinstance(error, DatabaseError) or type(error).__module__.partition(".")[0] in {
        "sqlite3",
        "pysqlite3",
    }


def _is_of_connection(error: BaseException) -> bool:
    """PostgreSQL's driver gives no code where there is no server to give one."""
    return isinstance(error, InterfaceError) or (
        type(error).__module__.startswith("psycopg")
        and type(error).__name__ in {"OperationalError", "ConnectionTimeout"}
    )
