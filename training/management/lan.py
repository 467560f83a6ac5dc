"""Under which names and addresses is this machine reached in the shop, and how does its server keep
its certificate fresh?

gunicorn reads this module as its settings (`-c python:training.management.lan`) and asks
`ssl_context` at each connection.
"""

from __future__ import annotations

import socket
import ssl
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from training.exchange.machine.certificates import renew

EVERYWHERE = "0.0.0.0"  # noqa: S104  (only where the owner asks for the shop's network)
# Not an address of anybody (RFC 5737); nothing is sent to it.
NOWHERE = ("192.0.2.1", 9)
LOOKED_EVERY = timedelta(hours=12)

_looked: list[datetime] = []


def own_names() -> list[str]:
    """The names of this machine on its network, the shortest first."""
    name = socket.gethostname().lower().partition(".")[0]
    letters = "".join(one if one.isascii() and one.isalnum() else "-" for one in name).strip("-")
    return [letters or "bench", f"{letters or 'bench'}.local"]


def own_addresses() -> list[str]:
    """The addresses of this machine on its networks (IPv4), the one that leads out first."""
    found = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(NOWHERE)  # asks the machine for its way out; no packet goes
            found.append(str(probe.getsockname()[0]))
        except OSError:
            pass  # no network yet
    try:
        rows = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
    except OSError:
        rows = []
    found += [str(row[4][0]) for row in rows]
    return [one for one in dict.fromkeys(found) if not one.startswith("127.")]


def renew_when_due(site: Path, now: datetime) -> bool:
    """Whether it was looked, twice a day, if the keys are to be renewed; then they are."""
    if _looked and now - _looked[-1] <= LOOKED_EVERY:
        return False
    _looked[:] = [now]
    renew(site, now)
    return True


def ssl_context(config: Any, default: Callable[[], ssl.SSLContext]) -> ssl.SSLContext:
    """The keys for one connection; twice a day it is looked whether they are to be renewed."""
    renew_when_due(Path(config.certfile), datetime.now(UTC))
    context = default()
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    return context
