"""Is the SQLite file that this process writes to still the one at its place?

Whoever deletes the file of a running site, or puts another one over it, does not stop the site:
what is open stays open, and everything that is written into it is gone with the process. So each
process remembers which file it opened first (device and inode), and writes nothing once another
one, or none, is at that place.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import OperationalError, connection
from django.db.backends.base.base import BaseDatabaseWrapper

BEGUN = "restoring"  # stands in the site's folder while a PostgreSQL database is half restored
WRITES = ("INSERT", "UPDATE", "DELETE")

_opened: dict[str, tuple[int, int]] = {}


class RecordsMoved(OperationalError):
    """The records are no longer where they were opened. Nothing may be written until the site is
    started anew.
    """


def watch(*, connection: BaseDatabaseWrapper, **_: Any) -> None:
    """A connection was opened (Django's signal): remember its file if it is the first one, and look
    before each write.
    """
    name = file_of(connection.settings_dict)
    # A server has no file here, and other connections (a backup, a copy) may move as they like.
    if not name or connection.alias != "default":
        return
    note_file(name)
    # A connection that is opened again keeps its wrappers.
    if _look_first not in connection.execute_wrappers:
        connection.execute_wrappers.append(_look_first)


def note_file(name: str) -> None:
    """Remember which file lies there, unless one is remembered already."""
    here = _identity(name) if name else None
    if here:
        # The first one: later connections would else take a file that was put in its place for
        # theirs.
        _opened.setdefault(name, here)


def must_be_there() -> None:
    """Raises RecordsMoved where the site's records are not where this process opened them."""
    name = file_of(connection.settings_dict)
    if name and name in _opened and _identity(name) != _opened[name]:
        raise RecordsMoved(f"{name} was deleted, or another file was put in its place.")
    # SQLite is restored into another file that is then put in place, and is never half.
    if connection.vendor != "sqlite" and (Path(settings.HOME) / BEGUN).exists():
        raise RecordsMoved("A restore was begun here and never ended.")


def _look_first(
    execute: Callable[..., Any], sql: Any, params: Any, many: bool, context: dict[str, Any]
) -> Any:
    """Where a transaction begins, or a single write stands outside of one."""
    verb = sql[:6].upper()
    # Not within one: SQLite's transaction is bound to its open file, and is looked at before it is
    # acknowledged.
    if verb.startswith("BEGIN") or (verb in WRITES and not context["connection"].in_atomic_block):
        must_be_there()
    return execute(sql, params, many, context)


def file_of(named: Mapping[str, Any]) -> str:
    """The SQLite file that a connection's settings name; empty where the database is none."""
    name = str(named["NAME"])
    return (
        ""
        # In memory there is no file to be put away.
        if "sqlite" not in named["ENGINE"] or ":memory:" in name or "mode=memory" in name
        else name
    )


def _identity(name: str) -> tuple[int, int] | None:
    try:
        said = Path(name).stat()
    except OSError:
        return None
    # Not name or time: both can be the same for another file.
    return said.st_dev, said.st_ino
