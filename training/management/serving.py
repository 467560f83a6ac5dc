"""How is the site handed over to a server that carries a shop?"""

from __future__ import annotations

import os
import socket
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

from django.conf import settings
from django.core.management.base import CommandError
from django.utils.translation import gettext

THIS_MACHINE = "127.0.0.1"


def must_be_free(port: int, address: str = THIS_MACHINE) -> None:
    """Raises CommandError where another program listens on this port already, or where there is no
    such port.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        # On Windows the usual one lets two programs share a port, and the wrong one may answer.
        alone = getattr(socket, "SO_EXCLUSIVEADDRUSE", socket.SO_REUSEADDR)
        probe.setsockopt(socket.SOL_SOCKET, alone, 1)
        try:
            probe.bind((address, port))
        except (OSError, OverflowError) as error:
            raise CommandError(
                gettext(
                    "Port {port} cannot be used: another program has it, or it is no port. "
                    "Choose another one, such as --port 8080."
                ).format(port=port)
            ) from error


def has_gunicorn() -> bool:
    """Whether gunicorn is there; it does not run on Windows."""
    try:
        import gunicorn  # noqa: F401
    except ImportError:
        return False
    return True


def serve(
    port: int,
    address: str = THIS_MACHINE,
    site: Path | None = None,
    environment: Mapping[str, str] | None = None,
) -> None:
    """Hand this process over to a production server, by default on this machine's own address; by
    HTTPS with the certificate and key in a file.
    """
    settled = {**os.environ, **(environment or {})}
    if not has_gunicorn():
        _serve_beside(port, address, site, settled)
        return
    command = [sys.executable, "-m", "gunicorn", "training.site.wsgi"]
    command += ["--bind", f"{address}:{port}"]
    # The site is loaded once, and each worker is a copy of what was loaded.
    command += ["--worker-class", "gthread", "--workers", "2", "--threads", "4", "--preload"]
    command += ["--chdir", str(settings.BASE), "--log-level", "warning"]
    # No way to steer it but its process: it would lie in the home folder of whoever starts it.
    command += ["--no-control-socket"]
    if site is not None:
        command += ["--certfile", str(site), "-c", "python:training.management.lan"]
    # In the place of this process, so that its number ends the server.
    os.execve(sys.executable, command, settled)  # noqa: S606


def _serve_beside(
    port: int, address: str, site: Path | None, environment: Mapping[str, str]
) -> None:
    """As a process of its own: on Windows none takes the place of another. It ends with this one,
    whose end it sees at its input.
    """
    command = [sys.executable, "-m", "training.management.plain_server", address, str(port)]
    command += [str(site)] if site is not None else []
    server = subprocess.Popen(  # noqa: S603
        command, cwd=settings.BASE, env=dict(environment), stdin=subprocess.PIPE
    )
    try:
        ended = server.wait()
    except KeyboardInterrupt:  # Ctrl-C reaches both
        ended = server.wait()
    if ended:
        raise CommandError(gettext("The server has ended. What it said stands above."))
