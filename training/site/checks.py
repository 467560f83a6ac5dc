"""Is the site set up so that the shop's records are safe?"""

import os
import sqlite3
from collections.abc import Sequence
from typing import Any

from django.apps import AppConfig
from django.conf import settings
from django.core.checks import CheckMessage, Error, Info, Tags, Warning, register
from django.core.exceptions import ImproperlyConfigured
from django.db import DatabaseError, connection, connections

from procedures.records import sealing
from training.management.prepared import OF_THE_SHOP
from training.models import BookEntry, roles
from training.records.clock import clock_fault


@register(OF_THE_SHOP)
def check_journal(app_configs: Sequence[AppConfig] | None, **kwargs: Any) -> list[CheckMessage]:
    """Says which journal SQLite keeps, and why, where it is not write-ahead logging."""
    if (
        connection.vendor != "sqlite"
        or "journal_mode=WAL" in settings.DATABASES["default"]["OPTIONS"]["init_command"]
    ):
        return []
    return [
        Info(
            f"SQLite {sqlite3.sqlite_version} keeps a rollback journal, not a write-ahead log.",
            hint="This SQLite lacks the repair of 3.51.3 to its write-ahead log. Writing is slower "
            "but safe. "
            "Install the pysqlite3 package to have a newer one.",
            id="training.I001",
        )
    ]


@register(OF_THE_SHOP)
def check_trades(app_configs: Sequence[AppConfig] | None, **kwargs: Any) -> list[CheckMessage]:
    """Warns where a trade stands in the list of trades without its permissions."""
    return [
        Warning(
            f"The trade '{trade}' has no permissions.",
            hint="Add it to training/models/roles.py.",
            id="training.W001",
        )
        for trade, _ in roles.TRADES
        if not roles.permissions_of(trade)
    ]


@register(OF_THE_SHOP)
def check_folder(app_configs: Sequence[AppConfig] | None, **kwargs: Any) -> list[CheckMessage]:
    """Says where others on this machine can read the shop's records; at the start the folder is
    closed.
    """
    # The start closes the folder; somebody may have opened it again since.
    if os.name != "posix" or not settings.HOME.stat().st_mode & 0o077:
        return []
    return [
        Error(
            f"Others on this machine can read {settings.HOME}, which holds the shop's records.",
            hint=f"Run as its owner: chmod 700 {settings.HOME}",
            id="training.E001",
        )
    ]


@register(OF_THE_SHOP)
def check_made_up(app_configs: Sequence[AppConfig] | None, **kwargs: Any) -> list[CheckMessage]:
    """Refuses made-up people, whose password stands in the README, on a site that others can
    reach.
    """
    return (
        [Error(DEMO, hint=REAL_PLACE, id="training.E002")]
        if settings.PRODUCTION and has_demo()
        else []
    )


DEMO = (
    "This database holds the demo shop, whose logins and password everybody knows. It does not "
    "serve in production."
)
REAL_PLACE = (
    "Set BENCHRIGHT_HOME (or DATABASE_URL) to a new place and make your own shop there: python "
    "manage.py open_shop"
)


def has_demo() -> bool:
    """Whether a workshop of the database is made up; a database that is not prepared yet has
    none.
    """
    from training.models import Workshop

    try:
        return Workshop.objects.filter(is_demo=True).exists()
    except DatabaseError:
        return False


def must_be_fit() -> None:
    """Raises ImproperlyConfigured where a web server must not serve this database."""
    if settings.PRODUCTION and has_demo():
        raise ImproperlyConfigured(f"{DEMO} {REAL_PLACE}")


@register(Tags.database)
def seals(
    app_configs: Sequence[AppConfig] | None, databases: Sequence[str] | None = None, **kwargs: Any
) -> list[CheckMessage]:
    """Warns of each table whose rows the database should refuse to change and does not (`check
    --database default`).

    No error, because `migrate` runs these checks first and is what puts the triggers on again.
    """
    return [
        Warning(
            f"Table {table}: {problem}.",
            hint="Run manage.py book to see whether anything was changed, then manage.py migrate "
            "to put the triggers on again.",
            id="training.W002",
        )
        for name in databases or ()
        for table, problem in sealing.problems(connections[name])
    ]


@register(Tags.database)
def check_clock(
    app_configs: Sequence[AppConfig] | None, databases: Sequence[str] | None = None, **kwargs: Any
) -> list[CheckMessage]:
    """Warns where the machine's clock is behind the newest entry of the record book (`check
    --database default`).
    """
    if (
        "default" not in (databases or ())
        or BookEntry._meta.db_table not in connection.introspection.table_names()
    ):
        return []
    fault = clock_fault()
    return (
        [Warning(fault, hint="Set the clock of this machine by a time server.", id="training.W003")]
        if fault
        else []
    )
