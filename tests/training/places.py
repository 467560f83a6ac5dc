"""Whole places of a shop for tests: a folder and a database of their own, with the programs of the
site run on them.

`python -m tests.training.places FOLDER` puts the small shop of the tests, with a picture, into the
place that the environment names. On PostgreSQL each place is a database beside the one that
DATABASE_URL names.
"""

import itertools
import os
import re
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.parse
import urllib.request
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

from tests.forked import run_program, start_program

ROOT = Path(__file__).parents[2]
SERVER = os.environ.get("DATABASE_URL", "")
ON_POSTGRESQL = SERVER.startswith("postgres")
FORM = "benchright-form"  # the cookie against forged forms
NUMBERS = itertools.count(1)


@dataclass
class Place:
    """A home and a database; `run` runs a command of manage.py there."""

    home: Path
    url: str = ""
    more: dict = field(default_factory=dict)

    @property
    def file(self) -> Path:
        """The SQLite file."""
        return self.home / "benchright.sqlite3"

    def environment(self):
        kept = {
            name: value
            for name, value in os.environ.items()
            if not name.startswith(("BENCHRIGHT", "DATABASE"))
        }
        return (
            kept
            | {
                "BENCHRIGHT_HOME": str(self.home),
                "DJANGO_SETTINGS_MODULE": "training.site.settings",
            }
            | self.more
            | ({"DATABASE_URL": self.url} if self.url else {})
        )

    def start(self, *arguments, **more):
        return subprocess.Popen(
            [sys.executable, *map(str, arguments)],
            cwd=ROOT,
            env=self.environment(),
            text=True,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            **more,
        )

    def python(self, *arguments):
        return run_program([*map(str, arguments)], self.environment())

    def run(self, *arguments):
        done = self.python("manage.py", *arguments)
        assert "Traceback" not in done.stderr, done.stderr
        return done

    def ask(self, sql):
        """Rows of this place's database."""
        (rows,) = self.ask_each([sql])
        return rows

    def ask_each(self, asked):
        """The same for several questions, on one connection."""
        if self.url:
            import psycopg

            with psycopg.connect(self.url) as connection:
                return [connection.execute(sql).fetchall() for sql in asked]
        import sqlite3

        with closing(sqlite3.connect(self.file)) as connection:
            return [[tuple(row) for row in connection.execute(sql)] for sql in asked]

    def change(self, *statements):
        """Change this place's database behind the program's back."""
        if self.url:
            import psycopg

            with psycopg.connect(self.url) as connection:
                for sql in statements:
                    connection.execute(sql)
            return
        import sqlite3

        with sqlite3.connect(self.file) as connection:
            for sql in statements:
                connection.execute(sql)

    def head(self):
        return self.ask("SELECT number, digest FROM training_bookhead")[0]


def new_place(folder: Path) -> Place:
    """An empty place."""
    folder.mkdir(parents=True)
    if not ON_POSTGRESQL:
        return Place(folder)
    name = f"place_{os.getpid()}_{next(NUMBERS)}"
    on_server(f'CREATE DATABASE "{name}"')
    return Place(folder, _url_of(name))


def copy_of(place: Place, folder: Path) -> Place:
    """The same shop in a place of its own. Nobody may be using the first one."""
    shutil.copytree(place.home, folder)
    if not place.url:
        return Place(folder)
    name, old = f"place_{os.getpid()}_{next(NUMBERS)}", urlsplit(place.url).path.strip("/")
    on_server(f'CREATE DATABASE "{name}" TEMPLATE "{old}"')
    return Place(folder, _url_of(name))


def forget(place: Place) -> None:
    """Drop the database of a place; its folder goes with the test's own."""
    if place.url:
        on_server(f'DROP DATABASE IF EXISTS "{urlsplit(place.url).path.strip("/")}" WITH (FORCE)')


def on_server(sql: str) -> None:
    import psycopg

    with psycopg.connect(_url_of("postgres"), autocommit=True) as connection:
        connection.execute(sql)


def _url_of(name: str) -> str:
    return urlunsplit(urlsplit(SERVER)._replace(path=f"/{name}"))


class Browser:
    """The owner of a place, signed in at an address; `post` gives the status and the page."""

    TOKEN = re.compile(r'name="csrfmiddlewaretoken" value="([^"]+)"')

    def __init__(self, place: Place, address: str) -> None:
        self.address = address
        self._cookies = {"benchright": (place.home / "cookie").read_text()}

    def get(self, path: str) -> tuple[int, str]:
        return self._ask(urllib.request.Request(self.address + path))  # noqa: S310

    def post(self, path: str, fields: dict) -> tuple[int, str]:
        if FORM not in self._cookies:
            self._cookies[FORM] = self.TOKEN.search(self.get(path)[1])[1]
        data = urllib.parse.urlencode(
            fields | {"csrfmiddlewaretoken": self._cookies[FORM]}
        ).encode()
        return self._ask(urllib.request.Request(self.address + path, data=data))  # noqa: S310

    def add_person(self, login: str) -> bool:
        """Whether the site said that it has written down a new person."""
        fields = {
            "login": login,
            "name": f"Person {login}",
            "trade": "mechanic",
            "workshop": "1",
            "started": "2026-01-05",
            "is_active": "on",
        }
        return self.post("/people/new/", fields)[0] == 302

    def _ask(self, request: urllib.request.Request) -> tuple[int, str]:
        request.add_header(
            "Cookie", "; ".join(f"{name}={value}" for name, value in self._cookies.items())
        )
        try:
            with urllib.request.build_opener(Stay).open(request, timeout=60) as answer:
                return answer.status, answer.read().decode()
        except urllib.error.HTTPError as said:
            return said.code, said.read().decode(errors="replace")
        except OSError:
            return 0, ""


class Stay(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *_):
        return None


@contextmanager
def served(place: Place, *more: str):
    """The address of a real server on this place, which is ended afterwards."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        port = found.getsockname()[1]
    served_by = "--worker-class gthread --workers 1 --threads 4 --log-level critical"
    command = ["-m", "gunicorn", "training.site.wsgi", "--bind", f"127.0.0.1:{port}"]
    server = start_program([*command, *served_by.split(), *more], place.environment())
    address = f"http://127.0.0.1:{port}"
    try:
        for _ in range(1200):
            try:
                urllib.request.urlopen(address + "/healthz/", timeout=5)  # noqa: S310
                break
            except urllib.error.HTTPError:
                break
            except OSError:
                assert not server.is_over(), server.said()
                time.sleep(0.05)
        yield address
    finally:
        server.end()


def collect_static() -> None:
    """The static files where a server looks for them, without their packed forms: to pack them
    takes fifteen times as long, and on one machine there is no network to spare.
    """
    from django.conf import settings
    from django.core.management import call_command
    from django.test import override_settings

    plain = {"BACKEND": "django.contrib.staticfiles.storage.ManifestStaticFilesStorage"}
    with override_settings(STORAGES=settings.STORAGES | {"staticfiles": plain}):
        call_command("collectstatic", interactive=False, verbosity=0)


def main() -> None:
    import django

    django.setup()
    import time_machine
    from django.conf import settings
    from django.core.management import call_command
    from django.test import Client

    call_command("migrate", verbosity=0)
    collect_static()
    from procedures.records import files
    from tests.procedures.picture_files import photo_bytes
    from tests.training.shop import NOW, small_shop

    with time_machine.travel(NOW, tick=True):
        owner = small_shop().owner
        files.keep(photo_bytes())
    browser = Client()
    browser.force_login(owner, backend="training.access.sign_in.ShopBackend")
    (Path(settings.HOME) / "cookie").write_text(browser.cookies[settings.SESSION_COOKIE_NAME].value)


if __name__ == "__main__":
    main()
