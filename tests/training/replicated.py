"""A primary and a streaming replica of PostgreSQL on this machine, with web processes on them.

`python -m tests.training.replicated` puts the small shop into the place that the environment names,
and prints what a test has to know of it.
"""

import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path

from tests.forked import start_program
from tests.training.places import Place, Stay, collect_static

SHOP_USER, DATABASE = "benchright", "postgres"
PATIENCE = 60  # seconds for a server to be there, or to be gone


def find_binaries() -> Path | None:
    """Where PostgreSQL's programs are, of the newest version; None without a server."""
    found = Path("/usr/lib/postgresql").glob("*/bin/initdb")
    newest = max(found, key=lambda one: int(one.parts[-3]), default=None)
    named = newest or (shutil.which("initdb") and Path(shutil.which("initdb")))
    if not named or not (named.parent / "pg_basebackup").exists():
        return None
    # It refuses to run as root, who then needs its own user.
    return named.parent if os.getuid() or shutil.which("runuser") else None


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return found.getsockname()[1]


class Server:
    """One PostgreSQL server in a folder of its own."""

    def __init__(self, folder: Path, name: str) -> None:
        self.data, self.port, self.folder = folder / name, free_port(), folder

    @property
    def url(self) -> str:
        return f"postgres://{SHOP_USER}@127.0.0.1:{self.port}/{DATABASE}"

    def run(self, program: str, *arguments: str) -> subprocess.CompletedProcess:
        command = [str(find_binaries() / program), *arguments]
        if not os.getuid():
            command = ["runuser", "-u", "postgres", "--", *command]
        # Not by a pipe: the server would inherit it, and keep it open.
        with (self.folder / f"{self.data.name}.log").open("a") as log:
            return subprocess.run(command, cwd="/", stdout=log, stderr=log, check=False)

    def start(self, more: str = "") -> None:
        # After a crash it would else open and sync each of a thousand files by itself.
        more += " -c recovery_init_sync_method=syncfs"
        options = (
            f"-p {self.port} -c listen_addresses=127.0.0.1 "
            f"-c unix_socket_directories={self.folder} {more}"
        )
        ends = time.monotonic() + PATIENCE
        # After a kill the processes of the one before may take a moment to see that it is gone.
        while self.run("pg_ctl", "-D", str(self.data), "-w", "-o", options, "start").returncode:
            assert time.monotonic() < ends, (self.folder / f"{self.data.name}.log").read_text()
            time.sleep(0.2)

    def kill(self) -> None:
        """End it as a crash does, by its number."""
        number = int((self.data / "postmaster.pid").read_text().split()[0])
        os.kill(number, signal.SIGKILL)

    def ask(self, sql: str):
        import psycopg

        with psycopg.connect(self.url, autocommit=True, connect_timeout=2) as connection:
            answer = connection.execute(sql)
            return answer.fetchall() if answer.description else []


class Web:
    """One web process, as the product serves."""

    def __init__(self, place: Place) -> None:
        port = free_port()
        self.address = f"http://127.0.0.1:{port}"
        command = ["-m", "gunicorn", "training.site.wsgi", "--no-control-socket"]
        served = "--worker-class gthread --workers 1 --threads 4 --log-level critical"
        self._process = start_program(
            [*command, "--bind", f"127.0.0.1:{port}", *served.split()], place.environment()
        )

    def kill(self) -> None:
        self._process.end()

    def wait(self) -> None:
        ends = time.monotonic() + PATIENCE
        while self.ask("/healthz/")[0] == 0:
            assert not self._process.is_over(), self._process.said()
            assert time.monotonic() < ends
            time.sleep(0.05)

    def ask(self, path: str, *, data: bytes | None = None, **headers: str):
        """The status (0 for no answer), the text and the headers."""
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        request = urllib.request.Request(self.address + path, data=data, headers=named)  # noqa: S310
        try:
            with urllib.request.build_opener(Stay).open(request, timeout=30) as answer:
                return answer.status, answer.read().decode(), answer.headers
        except urllib.error.HTTPError as said:
            return said.code, said.read().decode(errors="replace"), said.headers
        except OSError:
            return 0, "", {}


@contextmanager
def replicated():
    """A place with a small shop, its primary, its replica and two web processes."""
    folder = Path(tempfile.mkdtemp(prefix="benchright-replicated-"))
    if not os.getuid():
        shutil.chown(folder, "postgres")
    primary, replica = Server(folder, "primary"), Server(folder, "replica")
    home = Path(tempfile.mkdtemp(prefix="benchright-home-"))
    place = Place(home, primary.url, {"DATABASE_REPLICA_URL": replica.url})
    webs: list[Web] = []
    try:
        primary.run(
            "initdb",
            *("-D", str(primary.data), "-U", SHOP_USER, "-A", "trust", "-E", "UTF8"),
            *("--no-sync", "--no-instructions"),
        )
        # Only while the shop is made; what is killed later keeps its word.
        (primary.data / "postgresql.auto.conf").write_text("fsync = off\n")
        primary.start()
        made = place.python("-m", "tests.training.replicated")
        assert made.returncode == 0, made.stderr
        primary.ask("ALTER SYSTEM RESET fsync")
        primary.ask("SELECT pg_reload_conf()")
        primary.ask("CHECKPOINT")
        replica.run(
            "pg_basebackup",
            *("-h", "127.0.0.1", "-p", str(primary.port), "-U", SHOP_USER),
            *("-D", str(replica.data), "-R", "-X", "stream", "-c", "fast", "--no-sync"),
        )
        replica.start("-c fsync=off")
        webs += [Web(place), Web(place)]
        for web in webs:
            web.wait()
        yield place, primary, replica, webs, json.loads(made.stdout)
    finally:
        for web in webs:
            web.kill()
        for server in (replica, primary):
            server.run("pg_ctl", "-D", str(server.data), "-m", "immediate", "-w", "stop")
        shutil.rmtree(folder, ignore_errors=True)
        shutil.rmtree(home, ignore_errors=True)


def main() -> None:
    import django

    django.setup()
    import time_machine
    from django.conf import settings
    from django.core.management import call_command
    from django.test import Client

    call_command("migrate", verbosity=0)
    collect_static()
    from tests.training.shop import NOW, TODAY, found, small_shop
    from training.actions.programs import make_token
    from training.models.programs import SCOPES

    with time_machine.travel(NOW, tick=True):
        shop = small_shop()
        found(shop.mechanic, shop.level, shop.owner)
    browser = Client()
    browser.force_login(shop.owner, backend="training.access.sign_in.ShopBackend")
    today = shop.workshop.today()
    token = {
        name: make_token(
            name=name,
            scopes=list(SCOPES),
            until=max(TODAY, today) + timedelta(days=9),
            by=None,
            today=today,
            now=NOW,
        )[1]
        for name in ("screen", "till")
    }
    cookie = browser.cookies[settings.SESSION_COOKIE_NAME].value
    sys.stdout.write(json.dumps({"cookie": cookie, "today": str(today)} | token))


if __name__ == "__main__":
    main()
