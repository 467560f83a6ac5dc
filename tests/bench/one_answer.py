"""How many times as long as reading one person's rows does it take to answer who may, for one
person and one level?

`python -m tests.bench.one_answer` asks in a shop of 200 people and 40 levels (`standing_shop.py`
fills it). The floor reads, through the ORM and by their columns, the rows of that person that the
rules look at, and decides nothing. Ours is the whole answer with its reasons: once with nothing
written since the last question, and once just after something was, when the site reads its records
anew.
"""

import sys
from datetime import date

from tests.bench.own_database import own_database
from tests.bench.rounds import compare
from tests.bench.standing_shop import NOW, TODAY, fill

PEOPLE, LEVELS, TIMES = 200, 40, 20
GOAL = 2.8  # 3 ms beyond an ORM that takes 1.65 ms


def main() -> int:
    """0 comes back when the kindest round of an unchanged shop was within the goal, else 1."""
    with own_database("one_answer"):
        from django.db import connection
        from django.test.utils import CaptureQueriesContext

        from tests.bench.rounds import add_row
        from training.records.gathering import forget_records, gather
        from training.reports.who_may import LevelAsked, who_may

        print(f"{fill(PEOPLE, LEVELS)} entries of evidence")
        asked = [LevelAsked("level-3", TODAY, NOW, {})]

        def ours() -> object:
            return [who_may(asked, person="p20") for _ in range(TIMES)]

        def anew() -> None:
            forget_records()
            who_may(asked, person="p20")

        with CaptureQueriesContext(connection) as taken:
            ours()
        queries = len(taken) / TIMES
        print(f"{queries:g} queries an answer")
        add_row("one person, one level, queries", "8", f"{queries:g}")
        met = compare("one person, one level", lambda: _floor(TIMES), ours, GOAL)
        compare("the same just after something was written", lambda: _floor(1), anew)
        gather()
    return 0 if met else 1


def _floor(times: int) -> None:
    from training import models

    about = {"person__login": "p20", "happened_on__lte": date.max}
    for _ in range(times):
        for model, columns in (
            (models.SignOff, ("happened_on", "signer_id", "recorded_at", "founding")),
            (models.Job, ("happened_on", "watched_by_id", "recorded_at")),
            (models.StandDown, ("happened_on", "level_id", "recorded_at")),
        ):
            found = model.objects.filter(**about)
            if model is not models.StandDown:
                found = found.filter(level__name="level-3")
            list(found.order_by("happened_on", "pk").values_list(*columns))


if __name__ == "__main__":
    sys.exit(main())
