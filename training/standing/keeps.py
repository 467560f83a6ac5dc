"""What, done by the day before, keeps a standing from falling on the day on which it lapses?"""

from collections.abc import Iterator
from datetime import date

from training.standing.entitlement import Asked, Asking
from training.standing.next_steps import NextStep, step_before
from training.standing.reasons import jobs_in_window, own_failures


def keeps(asking: Asking, asked: Asked, lapse: date) -> tuple[NextStep, ...]:
    """Return a step for each rule that fails on that day, at the level itself and at each level
    that comes before it.
    """
    return tuple(dict.fromkeys(_steps(asking, asked._replace(day=lapse))))


def _steps(asking: Asking, asked: Asked) -> Iterator[NextStep]:
    book = asking.books.on(asked.day)
    for level in (asked.level, *sorted(book.before.get(asked.level, ()))):
        rules = book.rules.get(level)
        if rules is None:
            continue
        there = asked._replace(level=level)
        for reason in own_failures(asking, there, rules):
            short = rules.practice_jobs - len(jobs_in_window(asking, there, rules))
            yield step_before(asked.day, reason.code, rules.title, short)
