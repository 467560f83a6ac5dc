"""Is the site set up so that the shop's records are safe?"""

import sqlite3
from collections.abc import Sequence
from typing import Any

from django.apps import AppConfig
from django.conf import settings
from django.core.checks import CheckMessage, Info, Tags, Warning, register
from django.db import connection, connections

from procedures import sealing
from training import roles


@register()
def journal(app_configs: Sequence[AppConfig] | None, **kwargs: Any) -> list[CheckMessage]:
    """Says which journal SQLite keeps, and why, where it is not write-ahead logging."""
    if connection.vendor != "sqlite" or "journal_mode=WAL" in settings.DATABASES["default"]["OPTIONS"]["init_command"]:
        return []
    return [
        Info(
            f"SQLite {sqlite3.sqlite_version} keeps a rollback journal, not a write-ahead log.",
            hint="This SQLite lacks the repair of 3.51.3 to its write-ahead log. Writing is slower but safe. "
            "Install the pysqlite3 package to have a newer one.",
            id="training.I001",
        )
    ]


@register()
def trades(app_configs: Sequence[AppConfig] | None, **kwargs: Any) -> list[CheckMessage]:
    """Warns where a trade stands in the list of trades without its permissions."""
    return [
        Warning(f"The trade '{trade}' has no permissions.", hint="Add it to training/roles.py.", id="training.W001")
        for trade, _ in roles.TRADES
        if not roles.permissions_of(trade)
    ]


@register(Tags.database)
def seals(app_configs: Sequence[AppConfig] | None, databases: Sequence[str] | None = None, **kwargs: Any) -> list[CheckMessage]:
    """Warns of each table whose rows the database should refuse to change and does not (`check --database default`).

    No error, because `migrate` runs these checks first and is what puts the triggers on again.
    """
    return [
        Warning(
            f"Table {table}: {problem}.",
            hint="Run manage.py book to see whether anything was changed, then manage.py migrate to put the triggers on again.",
            id="training.W002",
        )
        for name in databases or ()
        for table, problem in sealing.problems(connections[name])
    ]
