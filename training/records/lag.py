"""How far is the replica behind the primary, for whoever watches the machine?

Asked by connections of its own in a thread that is waited for only shortly: a server that hangs
must not keep the answer up.
"""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import closing
from dataclasses import dataclass
from typing import Any

from django.db import connections

from training.records.replica import PRIMARY, REPLICA

PATIENCE = 0.3  # seconds for the answer
PRIMARY_SAYS = """
    SELECT system_identifier, timeline_id, pg_current_wal_flush_lsn()::text, clock_timestamp()
    FROM pg_control_system(), pg_control_checkpoint()"""
# By the primary's clock alone: those of two machines differ.
REPLICA_SAYS = """
    SELECT pg_is_in_recovery() AND system_identifier = %s AND timeline_id = %s,
           pg_wal_lsn_diff(%s::pg_lsn, pg_last_wal_replay_lsn()),
           EXTRACT(EPOCH FROM %s - pg_last_xact_replay_timestamp())
    FROM pg_control_system(), pg_control_checkpoint()"""

_asker = ThreadPoolExecutor(max_workers=1, thread_name_prefix="lag")
_asked: list[Future[tuple[Any, ...]]] = []


@dataclass(frozen=True, slots=True)
class Lag:
    """How much of the primary's log the replica has not replayed yet, and since when."""

    bytes: int
    seconds: float


def find_lag() -> Lag | None:
    """How far the replica is behind; None where it does not answer or is no replica of this
    primary.
    """
    if not _asked or _asked[0].done():
        params = [connections[alias].get_connection_params() for alias in (PRIMARY, REPLICA)]
        _asked[:] = [_asker.submit(_ask, *params)]
    try:
        is_ours, behind, since = _asked[0].result(timeout=PATIENCE)
    # Whatever it is: there is no replica that could be read.
    except Exception:
        return None
    if not is_ours:
        return None
    # Where nothing is missing, the last transaction may be days old and is no lag.
    return Lag(max(0, int(behind)), max(0.0, float(since or 0)) if behind > 0 else 0.0)


def say_lag(lag: Lag | None) -> str:
    """The lag in the words of a monitor."""
    if lag is None:
        return "replica away"
    return f"replica {lag.bytes} bytes behind" if lag.bytes else "replica caught up"


def _ask(primary: dict[str, Any], replica: dict[str, Any]) -> tuple[Any, ...]:
    import psycopg

    patience = {"connect_timeout": 2, "options": "-c statement_timeout=1000"}
    with closing(psycopg.connect(**primary | patience)) as beside:
        said = beside.execute(PRIMARY_SAYS).fetchone()
    with closing(psycopg.connect(**replica | patience)) as beside:
        return beside.execute(REPLICA_SAYS, said).fetchone() or (False, 0, 0)
