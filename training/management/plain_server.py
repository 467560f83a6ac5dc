"""How is the site served where gunicorn does not run, as on Windows; also on the shop's network?

A process of its own (`python -m training.management.plain_server ADDRESS PORT [SITE.PEM]`), since
the site reads its settings from the environment once. It ends when whoever started it is gone.
"""

from __future__ import annotations

import logging
import socket
import ssl
import sys
import threading
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from cheroot.ssl.builtin import BuiltinSSLAdapter
from cheroot.wsgi import Server
from django.utils.module_loading import import_string

from training.management.lan import renew_when_due

THREADS = 12
LONGEST_HEAD = 64 * 1024  # bytes of the lines before a request's body
logger = logging.getLogger("training.management.plain_server")


class LateHandshake(BuiltinSSLAdapter):
    """TLS that is agreed upon by the thread that answers, and not by the one that takes connections
    in: there a single phone that says nothing would keep everybody out.
    """

    def __init__(self, site: Path) -> None:
        super().__init__(str(site), str(site))
        self.site = site
        self.context.minimum_version = ssl.TLSVersion.TLSv1_2

    def wrap(self, sock: socket.socket) -> tuple[ssl.SSLSocket, dict[str, Any]]:
        """The connection with TLS before it, and what each request on it says of that."""
        if renew_when_due(self.site, datetime.now(UTC)):
            self.context.load_cert_chain(self.site)
        wrapped = self.context.wrap_socket(sock, server_side=True, do_handshake_on_connect=False)
        return wrapped, {"wsgi.url_scheme": "https", "HTTPS": "on"}


class ShopServer(Server):
    """The server, whose complaints go where the site's do."""

    def error_log(self, msg: str = "", level: int = 20, traceback: bool = False) -> None:
        """A phone that does not trust the certificate yet hangs up: nobody's fault."""
        is_phone = isinstance(sys.exc_info()[1], ssl.SSLError | ConnectionError)
        logger.log(logging.INFO if is_phone else level, "%s", msg, exc_info=traceback)


def make_server(address: str, port: int, application: Any, site: Path | None = None) -> ShopServer:
    """A server for this address, by HTTPS with the certificate and key of a file."""
    server = ShopServer((address, port), application, numthreads=THREADS, server_name="benchright")
    server.max_request_header_size = LONGEST_HEAD
    if site is not None:
        server.ssl_adapter = LateHandshake(site)
    return server


def _end_with_starter(server: ShopServer) -> None:
    """Waits until the other end of our input is gone; on Windows nothing else tells that."""
    sys.stdin.buffer.read()
    server.stop()


def serve_plain(address: str, port: str, site: str = "") -> None:
    """Serves until it is stopped."""
    # By its name, as gunicorn is told it: nobody imports the site.
    application = import_string("training.site.wsgi.application")
    server = make_server(address, int(port), application, Path(site) if site else None)
    threading.Thread(target=_end_with_starter, args=[server], daemon=True).start()
    server.safe_start()


if __name__ == "__main__":
    serve_plain(*sys.argv[1:])
