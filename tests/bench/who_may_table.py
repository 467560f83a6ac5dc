"""How many times as long as plain f-strings does the big table of 200 people and 40 levels take:
its cells, the whole page, and two of them at a time?

`python -m tests.bench.who_may_table` fills a database of its own (`standing_shop.py`) with 200
people, 40 levels and about 30,000 entries of evidence. The floor writes each cell of that same
table as one f-string with its texts escaped. Ours are the cells as the page has them; then the page
itself, asked for by somebody who is signed in, with nothing written since it was last asked for, so
that reading the evidence is not in it but every standing, reason and lapse is. Last, four tables by
two threads against four by one: where what is kept for writing cells is locked, two take longer.
"""

import sys
from concurrent.futures import ThreadPoolExecutor

from tests.bench.own_database import own_database
from tests.bench.rounds import compare
from tests.bench.standing_shop import NOW, TODAY, fill

PEOPLE, LEVELS = 200, 40
GOAL, GOAL_THREADS = 3.5, 1.2  # 25 ms beside a floor of 7 ms


def main() -> int:
    """0 comes back when the kindest rounds of cells and threads were within their goals, else 1."""
    with own_database("who_may_table"):
        from django.core.management import call_command
        from django.test import Client

        from tests.bench.signed_in_pages import cookies_of
        from training.models import User
        from training.reports.who_may import grid
        from training.reports.who_may_table import table_rows

        call_command("collectstatic", interactive=False, verbosity=0)
        print(f"{fill(PEOPLE, LEVELS)} entries of evidence")
        shown = grid(on=TODAY, known_at=NOW, variant={})
        browser = Client(headers={"host": "127.0.0.1"})
        browser.cookies.load(cookies_of(User.objects.get(login="p1")))

        many = sum(len(row.cells) for row in shown.rows)

        plain = _as_plain_values(shown)

        def floor(times: int = 1) -> list[str]:
            return [_plain(plain) for _ in range(times)]

        def cells(times: int = 1) -> list[str]:
            return [table_rows(shown, "on=2026-11-25") for _ in range(times)]

        def page() -> None:
            answer = browser.get("/who-may/", {"on": "2026-11-25"})
            assert answer.status_code == 200
            assert answer.text.count("<td") == many

        with ThreadPoolExecutor(2) as pool:
            met = [
                compare(f"cells of {PEOPLE} × {LEVELS}", floor, cells, GOAL),
                compare(
                    "the same by two threads, against one",
                    lambda: cells(4),
                    lambda: list(pool.map(cells, (2, 2))),
                    GOAL_THREADS,
                ),
            ]
        compare(f"the whole page of {PEOPLE} × {LEVELS}", floor, page)
    return 0 if all(met) else 1


def _as_plain_values(shown) -> list[tuple[str, ...]]:
    return [
        (cell.level, row.person.login, cell.answer.standing, cell.small, row.person.name)
        for row in shown.rows
        for cell in row.cells
    ]


def _plain(cells: list[tuple[str, ...]]) -> str:
    """The floor: one f-string a cell, with its texts escaped."""
    from django.utils.html import escape

    return "".join(
        f'<td><a href="/who-may/{escape(level)}/{escape(login)}/">{standing}'
        f"<small>{escape(small)}</small> {escape(name)}</a></td>"
        for level, login, standing, small, name in cells
    )


if __name__ == "__main__":
    sys.exit(main())
