"""How many times as long as the solver alone does a plan for 40 people and 12 levels take?

`python -m tests.bench.plan_model` needs no database: a made-up shop of 40 people, of whom eight
sign, and 12 levels with too few who may work alone, planned for eight weeks. The floor is HiGHS on
the very programme of that plan, already put together: one call of the solver for the plan and one
for its hours. Ours is the way from the evidence to the promise: the cover without a plan, what each
person could do, the programme, both calls, and the plan fed back into the standing.
"""

import random
import sys
from dataclasses import replace
from datetime import date, timedelta

from tests.bench.own_database import set_up
from tests.bench.rounds import ROUNDS, compare

PEOPLE, SENIORS, LEVELS, WEEKS, WANTED = 40, 8, 12, 8, 6
GOAL = 1.3
MONDAY = date(2026, 11, 30)


def main() -> int:
    """0 comes back when the kindest round was within the goal, else 1."""
    set_up()
    from training.cover.columns import Columns

    calls: list[tuple[Columns, object]] = []
    solved = Columns.solved

    def noted(self, fixed=None):
        kept = Columns()
        kept.cost, kept.upper = list(self.cost), list(self.upper)
        kept.whole, kept.rows = list(self.whole), list(self.rows)
        calls.append((kept, fixed))
        return solved(self, fixed)

    shop = _shop()
    Columns.solved = noted
    plan = _plan(shop)
    Columns.solved = solved
    print(
        f"{PEOPLE} people, {LEVELS} levels, {WEEKS} weeks: {len(calls[0][0].cost)} columns, "
        f"{len(calls[0][0].rows)} rows; {len(plan.lines)} lines, {plan.missing} missing of "
        f"{sum(day.wanted for day in plan.days)}, proven: {plan.is_proven}"
    )

    def floor():
        return [model.solved(fixed) for model, fixed in calls]

    rounds = min(ROUNDS, 3)  # each takes as long as many rounds of the others
    met = compare(f"plan, {PEOPLE} × {LEVELS}", floor, lambda: _plan(shop), GOAL, rounds)
    return 0 if met else 1


def _plan(shop):
    from datetime import UTC, datetime

    from training.cover.options import PlanSpan
    from training.reports.plan import PlanAsked, draft

    records, rota, wanted = shop
    asked = PlanAsked(WEEKS, 2.0, 2.0, 2)
    now = datetime(2026, 11, 30, 6, tzinfo=UTC)
    # A new shop each time: what was worked out for the last one is not to be had again.
    return draft(replace(records), rota, wanted, asked, PlanSpan(MONDAY, MONDAY, WEEKS), now).plan()


def _shop():
    """Evidence, rota and how many are wanted."""
    from tests.training.standing_shop import appoint, level, person, read, revision, sign
    from tests.training.standing_shop import shop as written
    from training.cover.rota import Rota, Shift

    rng = random.Random(11)
    names = [f"level-{n}" for n in range(LEVELS)]
    levels = [
        level(
            name,
            earlier=(names[n - 1],) if n % 3 == 2 else (),
            writeups=("safety", f"sheet-{n}") if n % 4 == 0 else (f"sheet-{n}",),
            watched_jobs=2,
            observations=1,
            pass_percent=80,
        )
        for n, name in enumerate(names)
    ]
    people = [
        replace(person(f"p{n}"), trade="senior" if n < SENIORS else "mechanic")
        for n in range(PEOPLE)
    ]
    sheets = ["safety", *(f"sheet-{n}" for n in range(LEVELS))]
    rows = [revision(1, "2026-01-05", writeup=sheet) for sheet in sheets]
    for n, one in enumerate(people):
        rows += [
            read(one.login, 1, "2026-01-06", writeup=sheet)
            for sheet in sheets
            if n < SENIORS or rng.random() < 0.5
        ]
        for name in names:
            if n < SENIORS:
                rows.append(appoint(one.login, name))
            if n < SENIORS // 2 or rng.random() < 0.12:
                rows.append(
                    sign(one.login, MONDAY - timedelta(days=rng.randrange(30, 600)), lvl=name)
                )
    shifts = [Shift(one.login, "main", frozenset(rng.sample(range(5), 4))) for one in people]
    wanted = {("main", name): (WANTED,) * 5 + (0, 0) for name in names}
    return written(people, levels, rows), Rota(shifts, ()), wanted


if __name__ == "__main__":
    sys.exit(main())
