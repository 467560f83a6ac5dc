"""How does a bench ask a server, on this machine only and ended afterwards?"""

import os
import re
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlencode

from tests.bench.own_database import address_of

TOP = Path(__file__).parents[2]
THIS_MACHINE = "127.0.0.1"
TOKEN = re.compile(r'name="csrfmiddlewaretoken" value="([^"]+)"')
LONGEST_START = 60


@contextmanager
def served(application: str, database: str, workers: int = 1, threads: int = 1) -> Iterator[int]:
    """The port of a server of this application (`module:name`) on the database of this name."""
    with socket.socket() as probe:
        probe.bind((THIS_MACHINE, 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "gunicorn", application, "--bind", f"{THIS_MACHINE}:{port}"]
    command += ["--worker-class", "gthread", "--workers", str(workers), "--threads", str(threads)]
    command += ["--log-level", "error", "--no-control-socket", "--keep-alive", "30"]
    environment = {**os.environ, "DATABASE_URL": address_of(database)}
    server = subprocess.Popen(command, cwd=TOP, env=environment)
    try:
        _wait_for(port, server)
        yield port
    finally:
        server.terminate()
        try:
            server.wait(15)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait()


def _wait_for(port: int, server: subprocess.Popen) -> None:
    for _ in range(10 * LONGEST_START):
        if server.poll() is not None:
            raise SystemExit("The server did not start.")
        with socket.socket() as probe:
            if probe.connect_ex((THIS_MACHINE, port)) == 0:
                return
        time.sleep(0.1)
    raise SystemExit("The server did not start in time.")


class Browser:
    """One signed-in person with one open connection."""

    def __init__(self, port: int, cookies: dict[str, str]) -> None:
        self.cookies = dict(cookies)
        self.connection = HTTPConnection(THIS_MACHINE, port, timeout=60)

    def get(self, path: str) -> str:
        """The text of a page; anything but a page ends the bench."""
        status, text, headers = self._ask("GET", path)
        if status != 200:
            raise SystemExit(f"{path} answers {status} ({headers.get('Location', 'no address')}).")
        return text

    def post(self, path: str, fields: dict[str, str]) -> int:
        """The status of what was sent."""
        return self._ask("POST", path, urlencode(fields))[0]

    def read_token(self, path: str) -> str:
        """The token of the form on a page, which the browser sends from now on."""
        found = TOKEN.search(self.get(path))
        if found is None:
            raise SystemExit(f"{path} has no form.")
        return found[1]

    def _ask(self, method: str, path: str, body: str | None = None):
        said = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        headers = {"Cookie": said}
        if body is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        self.connection.request(method, path, body, headers)
        answer = self.connection.getresponse()
        text = answer.read().decode()
        for cookie in answer.headers.get_all("Set-Cookie") or ():
            name, _, value = cookie.partition(";")[0].partition("=")
            self.cookies[name] = value
        return answer.status, text, answer.headers
