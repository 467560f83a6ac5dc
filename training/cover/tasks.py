"""What is still missing for each level, in hours and weeks?

The hours are assumptions, told where they are used: a write-up read, a quiz sat, a job watched, an
observation, a signature.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from datetime import date, timedelta
from math import ceil

from training.cover.days import StandingDays
from training.cover.plan import SHOW, SIGN, Task
from training.standing.entitlement import Asked, Asking
from training.standing.evidence import LevelRules
from training.standing.question import NOTHING_NAMED
from training.standing.rules.observations import observations_done_right, observers_of
from training.standing.rules.quiz import has_latest_passed
from training.standing.rules.readings import unread_revisions
from training.standing.rules.watched_jobs import options_of_level, watched_jobs

# hours: a write-up, a quiz, a watched job (own, senior's)
# A watched job takes the learner longer than the senior has to stand beside it.
READ, SIT, WORK, WATCH = (0.5, 0.25, 2.0, 1.0)
JOBS_A_WEEK = 2  # watched jobs that come by in a week


def tasks_of(
    asking: Asking, people: Collection[str], levels: Collection[str], on: date, until: date
) -> tuple[Task, ...]:
    """What each of these people still needs for each of these levels, and for those before them, to
    be alone from then to a last day, on the days on which they are here.
    """
    days, book = StandingDays(asking, on, until), asking.books.on(on)
    return tuple(
        task
        for person in people
        for level in levels_with_earlier(asking, levels, on)
        if (task := _task(days, person, book.rules[level])) is not None
    )


def levels_with_earlier(asking: Asking, levels: Collection[str], on: date) -> tuple[str, ...]:
    """These levels and all that come before them, the earlier ones first; only those with rules."""
    book = asking.books.on(on)
    every = (level for name in levels for level in (*sorted(book.before.get(name, ())), name))
    return tuple(dict.fromkeys(level for level in every if level in book.rules))


def _task(days: StandingDays, person: str, rules: LevelRules) -> Task | None:
    """What one person needs for one level; None where nothing is missing at the level itself, or
    training does not mend it: whoever leaves, or is stood down, before it could help.
    """
    free = days.free(person, rules.level)
    # Days on which nobody could work anyway are no gap that training closes.
    if not free - days.own(person, rules.level):
        return None
    asking, on = days.asking, days.first
    asked = Asked(person, rules.level, on, NOTHING_NAMED)
    # Signed off once, they know the work: what ran out is renewed and not learnt anew.
    is_signed = bool(asking.signoffs(asked))
    task = (_renewal_now if is_signed else _training)(asking, person, rules, on)
    # It counts after its last week; whoever has left by then is trained for nothing.
    return task if max(free) >= on + timedelta(weeks=task.weeks) else None


def renewal(asking: Asking, person: str, rules: LevelRules, on: date) -> Task:
    """What renews a sign-off: what is not studied, an observation and a signature."""
    # A signer signs for what was seen: a renewal without a look would be a stamp.
    hours = _study(asking, person, rules, on) + SHOW + SIGN
    return Task(person, rules.level, hours, SHOW + SIGN, 1, "renew", seen=1)


def _renewal_now(asking: Asking, person: str, rules: LevelRules, on: date) -> Task:
    """What renews a sign-off, with what a signature asks and is not on record: whoever was signed
    off on paper may have no watched job here, and nobody could sign.
    """
    task = _training(asking, person, rules, on, least_seen=1)
    lacks_more = task.jobs or task.seen > 1 or (task.observers and task.seen_by)
    return replace(task, renews=True) if lacks_more else renewal(asking, person, rules, on)


def _study(asking: Asking, person: str, rules: LevelRules, on: date) -> float:
    quiz = 0.0 if has_latest_passed(asking.known, person, rules, on) else SIT
    return READ * len(unread_revisions(asking.known, person, rules, on)) + quiz


def _training(
    asking: Asking, person: str, rules: LevelRules, on: date, *, least_seen: int = 0
) -> Task:
    """What comes before a first sign-off, and the signature."""
    options = options_of_level(asking.shop, rules)
    watched = watched_jobs(asking.known, person, rules, on, options)
    # One job can fill the number and bring a missing option; the larger of the two is enough.
    jobs = max(rules.watched_jobs - len(watched.jobs), len(watched.options_lacking), 0)
    rows = observations_done_right(asking.known, person, rules, on)
    observers = max(rules.observers - len(observers_of(rows)), 0)
    # In the same way one observation counts and brings a new observer.
    seen = max(rules.observations - len(rows), observers, least_seen)
    return Task(
        person,
        rules.level,
        _study(asking, person, rules, on) + jobs * WORK + seen * SHOW + SIGN,
        jobs * WATCH + seen * SHOW + SIGN,
        # One week for study, observation and signature.
        1 + ceil(jobs / JOBS_A_WEEK),
        jobs=jobs,
        seen=seen,
        observers=observers,
        seen_by=observers_of(rows),
        lacking=watched.options_lacking,
    )


def count_resit(asking: Asking, task: Task, on: date, signed_on: date) -> float:
    """The hours of one more sitting, where the pass there is does not last until the signature."""
    then, now = asking.books.on(signed_on).rules[task.level], asking.books.on(on).rules[task.level]
    has_pass = has_latest_passed(asking.known, task.person, now, on)
    lasts = has_latest_passed(asking.known, task.person, then, signed_on)
    # Without a pass now the sitting is in the task's hours already.
    return SIT if has_pass and not lasts else 0.0
