"""Programs that tests run to their end, each a process of its own, for half of what a start costs.

Half of a start goes into loading libraries, the same ones each time. One process loads them, reads
no setting and nothing of ours, and is copied (fork) for each program: the copy reads the settings
and all of ours as any fresh program does. Who needs a process to live beside the test, or other
`PYTHON…` variables, starts Python itself. `python -m tests.forked NUMBER` is that one process.
"""

import atexit
import functools
import gc
import importlib
import json
import os
import runpy
import socket
import subprocess
import sys
import tempfile
import threading
from pathlib import Path

ROOT = Path(__file__).parents[1]
LIBRARIES = (
    *("babel.dates", "csp.constants", "pydantic", "sqlparse", "yaml"),
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
    asked = json.dumps([arguments, environment]).encode()
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err, ONE_AT_A_TIME:
        socket.send_fds(_line(), [asked], [out.fileno(), err.fileno()])
        code = int(_line().recv(20))
        said = [file.seek(0) or file.read().decode() for file in (out, err)]
    return subprocess.CompletedProcess(arguments, code, *said)


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
        asked, (*handed,), *_ = socket.recv_fds(line, 1 << 20, 2)
        if not asked:
            os._exit(0)
        arguments, environment = json.loads(asked)
        if copy := os.fork():
            for each in handed:
                os.close(each)
            line.send(str(os.waitstatus_to_exitcode(os.waitpid(copy, 0)[1])).encode())
            continue
        line.close()
        for number, each in enumerate(handed, 1):
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
