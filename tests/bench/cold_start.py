"""How many times as long as bare Django does the site take to its first page after a cold start?

`python -m tests.bench.cold_start` starts a fresh interpreter for each page, on both sides with
compiled modules: load the application as a server does, answer one request of somebody who is
signed in, end. No server and no network are in it.
"""

import os
import subprocess
import sys
from importlib import import_module
from io import BytesIO

from tests.bench.own_database import address_of, own_database
from tests.bench.rounds import compare
from tests.bench.served import TOP
from tests.bench.signed_in_pages import cookies_of, prepared_floor

GOAL = 2.0


def main() -> int:
    """0 comes back when the kindest round of each page was within the goal, else 1."""
    with own_database("cold_start") as name:
        senior = _cookies()
        bare = f"sessionid={prepared_floor(name)}"
        # a shop's site is compiled once, on its first start
        environment = {**os.environ, "DATABASE_URL": address_of(name)}
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        met = [
            compare(
                f"cold start to the {said}",
                lambda: _start("tests.bench.bare", "/", bare, environment),
                lambda path=path, cookie=cookie: _start(
                    "training.site.wsgi", path, cookie, environment
                ),
                GOAL,
            )
            for path, said, cookie in (
                ("/sign-in/", "sign-in page", ""),
                ("/", "page My bench", senior),
                ("/who-may/", "page Who may", senior),
            )
        ]
    return 0 if all(met) else 1


def _start(module: str, path: str, cookie: str, environment: dict[str, str]) -> None:
    command = [sys.executable, "-m", "tests.bench.cold_start", module, path, cookie]
    subprocess.run(command, cwd=TOP, env=environment, check=True)


def ask_once(module: str, path: str, cookie: str) -> int:
    """0 comes back when the application of a module answers the request with a page, else 1."""
    application = import_module(module).application
    said = []
    asked = {
        "REQUEST_METHOD": "GET",
        "PATH_INFO": path,
        "SERVER_NAME": "127.0.0.1",
        "SERVER_PORT": "8000",
        "SERVER_PROTOCOL": "HTTP/1.1",
        "HTTP_COOKIE": cookie,
        "wsgi.url_scheme": "http",
        "wsgi.input": BytesIO(),
        "wsgi.errors": sys.stderr,
    }
    answer = application(asked, lambda status, headers: said.append(status))
    length = len(b"".join(answer))
    answer.close()
    if said != ["200 OK"] or not length:
        sys.stderr.write(f"{path} of {module} answers {said}.\n")
        return 1
    return 0


def _cookies() -> str:
    """The cookies of a senior of a small shop."""
    import time_machine
    from django.db import connections

    from tests.training.shop import NOW, busy_shop

    with time_machine.travel(NOW, tick=True):
        shop = busy_shop()
    cookies = cookies_of(shop.senior)
    connections.close_all()
    return "; ".join(f"{name}={value}" for name, value in cookies.items())


if __name__ == "__main__":
    sys.exit(ask_once(*sys.argv[1:]) if len(sys.argv) > 1 else main())
