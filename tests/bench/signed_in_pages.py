"""How many times as long as a bare view of 500 cells do the site's ordinary pages take?

`python -m tests.bench.signed_in_pages` serves both from one worker each and asks them in turn, over
one open connection, as somebody who is signed in. The floor has a session, a person and a template
of 500 cells, and no more middleware than that needs. The shop has some thirty people with evidence.
"""

import subprocess
import sys

from tests.bench.own_database import address_of, own_database
from tests.bench.rounds import measure, tell
from tests.bench.served import TOP, Browser, served

GOAL = 1.67  # at least 0.6 of its rate
TIMES = 20
MORE_PEOPLE = 24
PAGES = (
    ("trainee", "/"),
    ("senior", "/"),
    ("trainee", "/study/air-spring-service/"),
    ("trainee", "{question}"),
    ("senior", "/who-may/"),
    ("senior", "/who-may/air-spring/tilda/"),
    ("senior", "/today/"),
    ("owner", "/people/"),
    ("owner", "/people/tilda/"),
    ("owner", "/levels/"),
    ("owner", "/book/"),
    ("owner", "/cover/"),
)


def main() -> int:
    """0 comes back when the kindest round of every page was within the goal, else 1."""
    with own_database("signed_in_pages") as name:
        sessions, question = _shop()
        floor_session = prepared_floor(name)
        with (
            served("tests.bench.bare:application", name) as bare,
            served("tests.bench.site_then:application", name) as site,
        ):
            floor = Browser(bare, {"sessionid": floor_session})
            people = {who: Browser(site, cookies) for who, cookies in sessions.items()}
            found = [
                measure(
                    f"page {path.format(question='of a question')} ({who})",
                    lambda: [floor.get("/cells/") for _ in range(TIMES)],
                    lambda who=who, path=path: [
                        people[who].get(path.format(question=question)) for _ in range(TIMES)
                    ],
                    GOAL,
                )
                for who, path in PAGES
            ]
    met = [tell(one) for one in found]
    return 0 if all(met) else 1


def prepared_floor(name: str) -> str:
    """The key of a session of the bare project in this database."""
    import os

    return subprocess.run(
        [
            sys.executable,
            "-c",
            "from tests.bench import bare, bare_views; print(bare_views.prepare())",
        ],
        env={**os.environ, "DATABASE_URL": address_of(name)},
        cwd=TOP,
        check=True,
        stdout=subprocess.PIPE,
        text=True,
    ).stdout.strip()


def cookies_of(person) -> dict[str, str]:
    """The cookies of somebody who has just signed in."""
    from django.test import Client

    browser = Client()
    browser.force_login(person, backend="training.access.sign_in.ShopBackend")
    return {name: morsel.value for name, morsel in browser.cookies.items()}


def _shop():
    """The cookies of three people by what they do here, and the address of an open question."""
    import time_machine
    from django.db import connections

    from tests.training.shop import NOW, busy_shop
    from tests.training.test_queries import grow

    with time_machine.travel(NOW, tick=True):
        shop = busy_shop()
        grow(shop, MORE_PEOPLE)
        sessions = {who: cookies_of(getattr(shop, who)) for who in ("trainee", "senior", "owner")}
    connections.close_all()
    return sessions, f"/sitting/{shop.args['open_sitting']}/1/"


if __name__ == "__main__":
    sys.exit(main())
