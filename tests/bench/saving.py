"""How many times as long as one row through Django does it take to save an answer, and to write
down evidence with its entry in the record book?

`python -m tests.bench.saving` works in one process, without HTTP. Each write is a transaction of
its own that is on the disk when it returns. The floor changes one row by its key in a transaction;
ours are the site's own actions with all that they check.
"""

import sys
from datetime import timedelta

from tests.bench.own_database import own_database
from tests.bench.rounds import compare

TIMES = 50
GOAL, GOAL_WITH_ENTRY = 2.0, 3.33  # 0.5 and 0.3 of the floor's rate


def main() -> int:
    """0 comes back when the kindest round of both was within its goal, else 1."""
    with own_database("saving"):
        from django.db import transaction

        from quizzes.actions.sittings import save_answer
        from quizzes.models import Answer
        from tests.training.shop import NOW, TODAY, busy_shop
        from training.actions.entries import record_job

        shop = busy_shop()
        first = Answer.objects.filter(
            sitting_id=shop.args["open_sitting"], version__kind="choose one"
        ).get()
        sitting, turn = first.sitting, iter(range(10**9))

        def floor() -> None:
            for _ in range(TIMES):
                with transaction.atomic():
                    Answer.objects.filter(pk=first.pk).update(given=next(turn) % 2)

        def answers() -> None:
            for _ in range(TIMES):
                save_answer(sitting=sitting, place=first.place, given=next(turn) % 2, now=NOW)

        def jobs() -> None:
            for _ in range(TIMES):
                # each of another minute: the same job twice is one
                record_job(
                    person=shop.senior,
                    level=shop.level,
                    revision=shop.revision,
                    on=TODAY,
                    today=TODAY,
                    watched_by=None,
                    variant={"ring": "prong"},
                    by=shop.senior,
                    now=NOW + timedelta(minutes=next(turn)),
                )

        met = [
            compare("saving an answer", floor, answers, GOAL),
            compare("a job with its entry in the book", floor, jobs, GOAL_WITH_ENTRY),
        ]
    return 0 if all(met) else 1


if __name__ == "__main__":
    sys.exit(main())
