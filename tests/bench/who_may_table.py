"""How many times as long as plain f-strings does writing the big table of 200 people and 40 levels
take?

`python -m tests.bench.who_may_table` needs no database. The floor writes each cell as one f-string
with its texts escaped.
"""

import os
import sys
import tempfile
from datetime import UTC, date, datetime

PEOPLE, LEVELS, GOAL = 200, 40, 3.5  # 25 ms beside a floor of 7 ms
TODAY = date(2026, 11, 25)


def main() -> int:
    """0 comes back when the kindest round was within the goal, else 1."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["BENCHRIGHT_HOME"] = folder
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "training.site.settings")
        import django

        django.setup()
        from django.utils.html import escape

        from tests.bench.rounds import compare
        from training.reports.who_may_table import table_rows

        grid = _grid()

        def floor() -> str:
            return "".join(
                "<td><a "
                f'href="/who-may/{escape(cell.level)}/{escape(row.person.login)}/">{cell.answer.standing}'
                f"<small>{escape(cell.small)}</small> {escape(row.person.name)}</a></td>"
                for row in grid.rows
                for cell in row.cells
            )

        return (
            0 if compare("big table", floor, lambda: table_rows(grid, "on=2026-11-25"), GOAL) else 1
        )


def _grid():
    from django.core.paginator import Paginator

    from training.reports.who_may import Cell, Grid, Row
    from training.standing.answer import Answer, Reason
    from training.standing.evidence import Person

    words = ("alone", "watched", "no")
    levels = tuple((f"level-{n}", f"Level {n}") for n in range(LEVELS))
    people = [
        Person(f"p{n}", f"Person {n}", "Bench Works", "mechanic", None, None) for n in range(PEOPLE)
    ]

    def cell(n, m):
        word = words[(n + m) % 3]
        why = () if word == "alone" else (Reason("no-sign-off", (("title", f"Level {m}"),)),)
        lapse = date(2027, 1 + n % 12, 1 + m % 28) if word == "alone" else None
        return Cell(
            *levels[m], Answer(people[n].login, levels[m][0], TODAY, word, why, lapse, None, (), ())
        )

    rows = tuple(
        Row(person, True, tuple(cell(n, m) for m in range(LEVELS)))
        for n, person in enumerate(people)
    )
    now = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
    nobody = (0,) * LEVELS
    page = Paginator(people, PEOPLE).get_page(1)
    return Grid(TODAY, now, {}, levels, rows, nobody, nobody, False, False, None, page)


if __name__ == "__main__":
    sys.exit(main())
