"""How many times as long as reading its rows do the statistics of a quiz take, from the database?

`python -m tests.bench.quiz_statistics` fills a database of its own with 3,116 ended sittings of ten
questions each. The floor reads the rows of their answers: sitting, version, and what was given.
Ours is every figure of the page of statistics.
"""

import random
import sys

from tests.bench.own_database import own_database
from tests.bench.rounds import compare

SITTINGS, QUESTIONS = 3_116, 10
GOAL = 1.2


def main() -> int:
    """0 comes back when the kindest round was within the goal, else 1."""
    with own_database("quiz_statistics"):
        from django.db.models import TextField
        from django.db.models.functions import Cast

        from quizzes.models import Answer
        from quizzes.reports.statistics import quiz_figures

        quiz = _fill()
        ended = Answer.objects.filter(sitting__quiz=quiz, sitting__recorded_at__isnull=False)
        rows = ended.annotate(text=Cast("given", TextField()))

        def floor() -> object:
            return list(rows.values_list("sitting_id", "version_id", "text"))

        print(f"{SITTINGS} sittings, {len(floor())} answers")
        return 0 if compare("statistics of a quiz", floor, lambda: quiz_figures(quiz), GOAL) else 1


def _fill():
    """The quiz, with all its sittings."""
    from decimal import Decimal

    from django.db import connection

    from procedures.records.sealing import put_on, take_off
    from quizzes.models import Answer, QuestionVersion, Sitting
    from tests.quizzes.factories import TODAY, QuizFactory, ReleasedFactory, VersionFactory
    from tests.training.factories import UserFactory
    from tests.training.shop import NOW

    rng, writeup = random.Random(3), ReleasedFactory()
    for _ in range(QUESTIONS):
        VersionFactory(question__writeup=writeup)
    quiz = QuizFactory(writeups=[writeup], size=QUESTIONS)
    versions = list(QuestionVersion.objects.order_by("pk"))
    people = UserFactory.create_batch(40)
    take_off(connection)  # a sitting that has ended takes no answer
    Sitting.objects.bulk_create(
        Sitting(
            quiz=quiz,
            person=people[n % len(people)],
            seed=n,
            pass_percent=75,
            started_at=NOW,
            percent=Decimal(80),
            critical_right=True,
            happened_on=TODAY,
            recorded_at=NOW,
        )
        for n in range(SITTINGS)
    )
    Answer.objects.bulk_create(
        (
            Answer(
                sitting_id=key,
                place=place,
                version=version,
                shown={"order": [0, 1, 2]},
                given=(chosen := rng.choice((0, 0, 0, 1, 2))),
                given_at=NOW,
                marks=int(chosen == 0),
            )
            for key in Sitting.objects.values_list("pk", flat=True)
            for place, version in enumerate(versions, start=1)
        ),
        batch_size=2000,
    )
    put_on(connection)
    return quiz


if __name__ == "__main__":
    sys.exit(main())
