"""Where is a report read: on the primary, or on a replica that has caught up with it?

Before a report is read, the primary is asked how far its log goes, and then the replica whether it
has replayed that far. Only then it is read there, so it is never older than the moment of the
question: no withdrawal, no write of one's own and no entry of the book that was there before is
missing, whichever web process wrote it. There is no time to wait for and nothing to remember about
a person. A replica that is behind, gone, promoted, or of another shop is not read, and nobody sees
anything of it.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from dataclasses import dataclass
from time import monotonic
from typing import Any

from django.conf import settings
from django.db import DatabaseError, connections
from django.db.models import Model

PRIMARY, REPLICA = "default", "replica"
# Who somebody is, and how often they tried, is asked where it is written.
PRIMARY_ONLY = frozenset(
    {
        "training.calendaraddress",
        "training.knowndevice",
        "training.onetimelink",
        "training.programtoken",
        "training.refusedsignin",
        "training.session",
        "training.tries",
    }
)
AUTH_APPS = frozenset({"auth", "contenttypes", "sessions", "otp_static", "otp_totp"})
AWAY_FOR = 10.0  # seconds in which a replica that did not answer is not asked again

# Insert and not flush: on a server that commits later than it answers, what is seen is behind it.
# The head too: a log of another server may be longer and yet tell of another shop.
PRIMARY_SAYS = """
    SELECT pg_current_wal_insert_lsn()::text, system_identifier, timeline_id,
           (SELECT digest FROM training_bookhead)
    FROM pg_control_system(), pg_control_checkpoint()"""
REPLICA_SAYS = """
    SELECT pg_is_in_recovery()
       AND pg_last_wal_replay_lsn() >= %s::pg_lsn
       AND system_identifier = %s
       AND timeline_id = %s
       AND (SELECT digest FROM training_bookhead) IS NOT DISTINCT FROM %s
    FROM pg_control_system(), pg_control_checkpoint()"""


@dataclass
class ReportRead:
    """Where the report is read that is made just now, and whether the replica failed in it."""

    on_replica: bool
    has_failed: bool = False


_logger = logging.getLogger(__name__)
_reading: ContextVar[ReportRead | None] = ContextVar("reading", default=None)
_asked_again: list[float] = []  # when the replica may be asked again, by a clock nobody sets


class ReportRouter:
    """Django's router: a report is read on the replica, everything else on the primary."""

    def db_for_read(self, model: type[Model], **hints: Any) -> str:
        reading = _reading.get()
        if reading is None or not reading.on_replica or _is_of_sign_in(model):
            return PRIMARY
        # Within a transaction everything is seen as that transaction sees it.
        return PRIMARY if connections[PRIMARY].in_atomic_block else REPLICA

    def db_for_write(self, model: type[Model], **hints: Any) -> str:
        reading = _reading.get()
        if reading is not None and not _is_of_sign_in(model):
            # What it has written itself, the rest of the page must see.
            reading.on_replica = False
        return PRIMARY

    def allow_relation(self, one: Model, other: Model, **hints: Any) -> bool:
        return True  # they are the same rows

    def allow_migrate(self, db: str, app_label: str, **hints: Any) -> bool | None:
        return None if db == PRIMARY else False


def has_replica() -> bool:
    """Whether a replica is set."""
    return REPLICA in settings.DATABASES


@contextmanager
def read_on_replica() -> Iterator[ReportRead]:
    """Within it reports are read on the replica, where it has caught up; `on_replica` says so."""
    reading = ReportRead(has_caught_up())
    token = _reading.set(reading)
    try:
        with connections[REPLICA].execute_wrapper(_noting(reading)):
            yield reading
    except DatabaseError:
        reading.has_failed = reading.on_replica
        raise
    finally:
        _reading.reset(token)
        if reading.has_failed:
            _leave_alone("It failed in the midst of a report.")


def has_caught_up() -> bool:
    """Whether the replica has replayed everything that is on the primary now."""
    if _asked_again and monotonic() < _asked_again[-1]:
        return False
    try:
        with connections[PRIMARY].cursor() as cursor:
            cursor.execute(PRIMARY_SAYS)
            said = cursor.fetchone()
    except DatabaseError:
        return False  # the page itself says what is wrong there
    try:
        with connections[REPLICA].cursor() as cursor:
            cursor.execute(REPLICA_SAYS, said)
            return bool(cursor.fetchone() == (True,))
    except DatabaseError as error:
        _leave_alone(str(error))
        return False


def _is_of_sign_in(model: type[Model]) -> bool:
    return model._meta.label_lower in PRIMARY_ONLY or model._meta.app_label in AUTH_APPS


def _noting(reading: ReportRead) -> Callable[..., Any]:
    def note(execute: Callable[..., Any], *said: Any) -> Any:
        try:
            return execute(*said)
        except DatabaseError:
            reading.has_failed = True
            raise

    return note


def _leave_alone(why: str) -> None:
    """Asks no more for a while: a machine that is gone would hold every page up."""
    _logger.warning("The replica is left alone for %d s: %s", AWAY_FOR, why)
    _asked_again[:] = [monotonic() + AWAY_FOR]
    with suppress(DatabaseError):
        connections[REPLICA].close()
