"""How is the site handed over to a server that carries a shop?"""

from __future__ import annotations

import os
import socket
import sys
from collections.abc import Mapping

from django.conf import settings
from django.core.management.base import CommandError
from django.core.wsgi import get_wsgi_application
from django.utils.translation import gettext

THIS_MACHINE = "127.0.0.1"


def must_be_free(port: int, address: str = THIS_MACHINE) -> None:
    """Raises CommandError where another program listens on this port already, or where there is no
    such port.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
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
    """Whether the server is there that speaks HTTPS; it does not run on Windows."""
    try:
        import gunicorn  # noqa: F401
    except ImportError:
        return False
    return True


def serve(
    port: int,
    address: str = THIS_MACHINE,
    more: tuple[str, ...] = (),
    environment: Mapping[str, str] | None = None,
) -> None:
    """Hand this process over to a production server, by default on this machine's own address."""
    listen = f"{address}:{port}"
    if not has_gunicorn():
        from waitress.server import create_server

        create_server(get_wsgi_application(), listen=listen).run()
        return
    command = [sys.executable, "-m", "gunicorn", "training.site.wsgi", "--bind", listen]
    command += ["--worker-class", "gthread", "--workers", "2", "--threads", "4"]
    command += ["--chdir", str(settings.BASE), "--log-level", "warning"]
    # No way to steer it but its process: it would lie in the home folder of whoever starts it.
    command += ["--no-control-socket", *more]
    # In the place of this process, so that its number ends the server.
    os.execve(sys.executable, command, {**os.environ, **(environment or {})})  # noqa: S606
