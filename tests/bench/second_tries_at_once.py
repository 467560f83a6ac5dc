"""How many second tries are opened when the same is sent many times at one moment?

`python -m tests.bench.second_tries_at_once` makes a database of its own (SQLite: a file; or beside
what DATABASE_URL names), lets threads wait for one starting shot, and prints how many second tries
are there afterwards.
"""

import sys
import threading

from tests.bench.own_database import own_database

TIMES = 16


def main() -> int:
    """0 comes back when no question got more than one second try, whatever was sent at once."""
    with own_database("second_tries"):
        from quizzes.actions.second_tries import open_second_tries
        from quizzes.actions.sittings import save_answer
        from tests.quizzes.factories import wrong_answer
        from tests.training.shop import NOW

        same = _race(
            lambda sitting, first, _: save_answer(
                sitting=sitting, place=first.place, given=wrong_answer(first), now=NOW
            )
        )
        # Half of the threads send one wrong answer, half another one.
        other = _race(
            lambda sitting, first, number: save_answer(
                sitting=sitting, place=first.place, given=1 + number % 2, now=NOW
            )
        )
        ended = _race(lambda sitting, first, _: open_second_tries(sitting=sitting, now=NOW), kept=1)
    print(f"the same wrong answer: {same} second try")
    print(f"different wrong answers: {other} second try")
    print(f"asking for the end: {ended} second try")
    return 0 if (same, other, ended) == (1, 1, 1) else 1


def _race(act, kept=None) -> int:
    """How many second tries there are after all threads have acted; -1 where one of them broke."""
    from django.db import connection

    from procedures.records.refused import Refused
    from quizzes.actions.sittings import save_answer, start_sitting
    from tests.quizzes.factories import TODAY, QuizFactory, ReleasedFactory, VersionFactory
    from tests.training.factories import UserFactory
    from tests.training.shop import NOW

    writeup = ReleasedFactory()
    asked = VersionFactory(question__writeup=writeup, critical=True)
    for _ in range(3):
        VersionFactory(question__writeup=writeup)
    sitting = start_sitting(
        quiz=QuizFactory(writeups=[writeup], size=1),
        person=UserFactory(),
        pass_percent=75,
        now=NOW,
        today=TODAY,
    )
    first = sitting.answers.select_related("version").get(version=asked)
    if kept is not None:
        save_answer(sitting=sitting, place=1, given=kept, now=NOW, is_handed_in=False)
    gate, broken = threading.Barrier(TIMES), []

    def one(number):
        gate.wait()
        try:
            act(sitting, first, number)
        except Refused:
            pass
        except Exception as error:
            broken.append(error)
            print(f"{type(error).__name__}: {error}", file=sys.stderr)
        finally:
            connection.close()

    threads = [threading.Thread(target=one, args=(number,)) for number in range(TIMES)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return -1 if broken else sitting.answers.filter(second_to__isnull=False).count()


if __name__ == "__main__":
    sys.exit(main())
