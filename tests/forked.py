"""Programs that tests run to their end, each a process of its own, for half of what a start costs.

Half of a start goes into loading libraries, the same ones each time. One process loads them, reads
no setting and nothing of ours, and is copied (fork) for each program: the copy reads the settings
and all of ours as any fresh program does. Who needs other `PYTHON…` variables starts Python itself.
`python -m tests.forked NUMBER` is that one process.
"""

import atexit
import functools
import gc
import importlib
import json
import os
import runpy
import select
import signal
import socket
import subprocess
import sys
import tempfile
import threading
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO

ROOT = Path(__file__).parents[1]
LIBRARIES = (
    *("babel.dates", "csp.constants", "gunicorn.app.wsgiapp", "sqlparse", "yaml"),
    *("pydantic.json_schema", "pydantic.networks", "pydantic.type_adapter", "unittest.mock"),
    *("django.contrib.auth.hashers", "django.contrib.auth.password_validation"),
    *("django.contrib.staticfiles.checks", "django.core.management.commands.migrate"),
    *("django.db.backends.postgresql.base", "django.db.backends.base.base"),
    *("django.db.backends.base.schema", "django.db.migrations.executor"),
    *("django.forms", "django.middleware.csrf"),
    *("django.template.loader_tags", "django.views.debug"),
)
LONGEST = 600  # seconds
ONE_AT_A_TIME = threading.Lock()


def run_program(arguments: list[str], environment: dict[str, str]) -> subprocess.CompletedProcess:
    """Python with these arguments, at the top of the house: what it said, and how it ended."""
    asked = json.dumps([arguments, environment, False]).encode()
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err, ONE_AT_A_TIME:
        socket.send_fds(_line(), [asked], [out.fileno(), err.fileno()])
        code = int(_line().recv(20))
        said = [file.seek(0) or file.read().decode() for file in (out, err)]
    return subprocess.CompletedProcess(arguments, code, *said)


@dataclass(frozen=True)
class Started:
    """A program that goes on beside the test, in a session of its own, with all that it starts."""

    number: int
    life: socket.socket  # closed at its other end when the last of them is gone
    out: IO[bytes]

    def is_over(self) -> bool:
        return bool(select.select([self.life], [], [], 0)[0])

    def end(self) -> None:
        """As a crash does; then none of them is there any more. Once more does no harm."""
        if self.out.closed:
            return
        with suppress(ProcessLookupError):
            os.killpg(self.number, signal.SIGKILL)
        self.life.recv(1)
        self.life.close()
        self.out.close()

    def said(self) -> str:
        # Without moving the place at which the program goes on writing.
        return os.pread(self.out.fileno(), 1 << 20, 0).decode()


def start_program(arguments: list[str], environment: dict[str, str]) -> Started:
    """Python with these arguments, at the top of the house, until it is ended."""
    asked = json.dumps([arguments, environment, True]).encode()
    ours, its = socket.socketpair()
    ours.settimeout(LONGEST)
    out = tempfile.TemporaryFile()  # noqa: SIM115  (closed when the program is ended)
    with its, ONE_AT_A_TIME:
        socket.send_fds(_line(), [asked], [out.fileno(), out.fileno(), its.fileno()])
        return Started(int(_line().recv(20)), ours, out)


@functools.cache
def _line() -> socket.socket:
    """The line to the process that is copied; when this end closes, it goes."""
    ours, its = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
    ours.settimeout(LONGEST)
    with its:
        number = str(its.fileno())
        command = [sys.executable, "-m", "tests.forked", number]
        process = subprocess.Popen(command, cwd=ROOT, pass_fds=[its.fileno()])
    atexit.register(lambda: (ours.close(), process.wait()))
    return ours


def _wait_on(line: socket.socket) -> list[str]:
    """Comes back in each copy only: with the arguments of its program."""
    while True:
        asked, (*handed,), *_ = socket.recv_fds(line, 1 << 20, 3)
        if not asked:
            os._exit(0)
        arguments, environment, goes_on = json.loads(asked)
        if copy := os.fork():
            for each in handed:
                os.close(each)
            code = os.waitstatus_to_exitcode(os.waitpid(copy, 0)[1])
            if not goes_on:
                line.send(str(code).encode())
            continue
        if goes_on:
            if os.fork():
                os._exit(0)  # nobody waits for the copy of this copy
            os.setsid()
            line.send(str(os.getpid()).encode())
        line.close()
        # What is handed beyond these two is held open as long as the program is there.
        for number, each in enumerate(handed[:2], 1):
            os.dup2(each, number)
            os.close(each)
        os.environ.clear()
        os.environ.update(environment)
        return arguments


def _become(arguments: list[str]) -> None:
    """Run what Python would run for these arguments, as `__main__`."""
    kind, *rest = arguments
    sys.argv = rest if kind == "-m" else arguments
    if kind == "-m":
        runpy.run_module(rest[0], run_name="__main__", alter_sys=True)
    elif kind == "-c":
        sys.argv = ["-c", *rest[1:]]
        exec(rest[0], {"__name__": "__main__"})  # noqa: S102
    else:
        runpy.run_path(kind, run_name="__main__")


def _load() -> None:
    from django.conf import settings

    for name in LIBRARIES:
        importlib.import_module(name)
    # The settings choose the driver of SQLite, by its name.
    too_early = {"sqlite3", "procedures", "quizzes", "training"} & sys.modules.keys()
    assert not settings.configured
    assert not too_early
    gc.freeze()
    # As in the tests themselves: see conftest.py.
    gc.set_threshold(50_000, 20, 50)


if __name__ == "__main__":
    _load()
    _become(_wait_on(socket.socket(fileno=int(sys.argv[1]))))
