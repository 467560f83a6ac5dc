"""How is SQLite to keep the shop's records: which journal, and how durable?"""

import sqlite3
from typing import Any

# SQLite 3.7.0 to 3.51.2 can damage a database in write-ahead mode in a rare race of two
# connections; repaired in 3.51.3 and in the later patches of 3.44 and 3.50 (source: SQLite's change
# list).
REPAIRED = (3, 51, 3)
REPAIRED_BRANCHES = {(3, 44): 6, (3, 50): 7}


def has_repair(version: tuple[int, int, int]) -> bool:
    """Whether this SQLite may use write-ahead logging safely."""
    return version >= REPAIRED or version[2] >= REPAIRED_BRANCHES.get(version[:2], version[2] + 1)


def journal_mode(version: tuple[int, int, int]) -> str:
    """WAL where it is safe, else the rollback journal (DELETE)."""
    return "WAL" if has_repair(version) else "DELETE"


def sqlite_options() -> dict[str, Any]:
    """Django's OPTIONS for SQLite: every write waits its turn, and a commit is on the disk when it
    returns.

    IMMEDIATE, because a read-then-write in SQLite's deferred transactions cannot wait and fails
    instead.
    """
    mode = journal_mode(sqlite3.sqlite_version_info[:3])
    return {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": f"PRAGMA journal_mode={mode};PRAGMA synchronous=FULL;PRAGMA "
        "temp_store=MEMORY;",
    }
