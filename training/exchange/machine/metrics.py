"""How does the machine do on which this site runs? In numbers, for a program that watches it."""

from __future__ import annotations

import shutil
from datetime import datetime

from django.conf import settings
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from prometheus_client import CollectorRegistry, Gauge, generate_latest

from training.exchange.backups.last_backup import last_backup
from training.models import BookEntry
from training.records.clock import clock_fault
from training.records.keeping import head
from training.records.lag import find_lag
from training.records.probe import find_trouble
from training.records.replica import has_replica


def write_metrics(now: datetime) -> bytes:
    """The state of this moment in Prometheus' text format (0.0.4). What is not there, such as the
    age of a backup that was never made, has no line.
    """
    # A registry of its own: the common one would tell of this one process of several.
    told = CollectorRegistry()
    _say(told, "up", "1 while the site could take a record now.", float(_is_up()))
    number, _digest = head()
    _say(told, "book_entries", "Entries in the record book.", number)
    newest = BookEntry.objects.order_by("-number").values_list("written_at", flat=True).first()
    _say_age(told, "book_head_age_seconds", "Since the newest entry.", newest, now)
    _say_age(told, "backup_age_seconds", "Since the last backup.", last_backup(), now)
    room = shutil.disk_usage(settings.HOME)
    _say(told, "disk_free_bytes", "Free where the shop's files lie.", room.free)
    _say(told, "disk_bytes", "All room there.", room.total)
    _say(told, "migrations_missing", "Changes of the tables not made yet.", _count_missing())
    if has_replica():
        _say_replica(told)
    written: bytes = generate_latest(told)
    return written


def _say_replica(told: CollectorRegistry) -> None:
    lag = find_lag()
    _say(told, "replica_up", "1 while there is a replica that could be read.", float(bool(lag)))
    if lag is not None:
        _say(told, "replica_lag_bytes", "Of the log not replayed yet.", lag.bytes)
        _say(told, "replica_lag_seconds", "Since what was replayed last.", lag.seconds)


def _is_up() -> bool:
    return not (find_trouble() or clock_fault())


def _count_missing() -> int:
    executor = MigrationExecutor(connection)
    return len(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def _say(told: CollectorRegistry, name: str, what: str, value: float) -> None:
    Gauge(f"benchright_{name}", what, registry=told).set(value)


def _say_age(
    told: CollectorRegistry, name: str, what: str, since: datetime | None, now: datetime
) -> None:
    if since is not None:
        _say(told, name, what, (now - since).total_seconds())
