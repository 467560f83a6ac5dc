"""What is still missing for each level, in hours and weeks, and what would the standing be if a
plan were carried out?

The hours are assumptions, told where they are used: a write-up read, a quiz sat, a job watched, an
observation, a signature.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from math import ceil

from training.cover.gaps import days_between
from training.cover.plan import Capacity, Ground, Line, Task
from training.cover.release import Standings
from training.cover.rota import Rota
from training.standing.days import spans
from training.standing.entitlement import Asked, Asking
from training.standing.evidence import LevelRules, Observation, Passing, Reading, Shop, SignOff
from training.standing.question import NOTHING_NAMED
from training.standing.rules.observations import observers_of, seen_right
from training.standing.rules.quiz import has_latest_passed
from training.standing.rules.readings import current_revisions, unread_revisions
from training.standing.rules.watched_jobs import watched_jobs

# hours: a write-up, a quiz, a watched job (own, senior's), an observation, a signature
READ, SIT, WORK, WATCH, SHOW, SIGN = (0.5, 0.25, 2.0, 1.0, 1.0, 0.25)
JOBS_A_WEEK = 2  # watched jobs that come by in a week
CLOSED = {"not-here", "stood-down"}  # what no training mends


def tasks_of(
    asking: Asking, people: Collection[str], levels: Collection[str], on: date, until: date
) -> tuple[Task, ...]:
    """What each of these people still needs for each of these levels, and for those before them, to
    be alone from then to a last day.
    """
    book = asking.books.on(on)
    every = dict.fromkeys(
        level
        for name in levels
        for level in (*sorted(book.before.get(name, ())), name)
        if level in book.rules
    )
    return tuple(
        task
        for person in people
        for level in every
        if (task := _task(asking, person, book.rules[level], on, until)) is not None
    )


def _task(asking: Asking, person: str, rules: LevelRules, on: date, until: date) -> Task | None:
    """What one person needs for one level; None where nothing is missing, or training does not mend
    it.
    """
    fallen = _first_days_not_alone(asking, person, rules.level, on, until)
    if not fallen:
        return None
    failing = {code for day in fallen for code in _failures(asking, person, rules, day)}
    if CLOSED & (
        failing | _failures(asking, person, rules, until)
    ):  # also who leaves or is stood down before the plan ends
        return None
    after = tuple(
        level
        for level in dict.fromkeys(rules.earlier)
        if _first_days_not_alone(asking, person, level, on, until)
    )
    if not failing:  # it only waits for an earlier level
        return Task(person, rules.level, 0.0, 0.0, 0, after)
    study = READ * len(unread_revisions(asking.known, person, rules, on)) + (
        0 if has_latest_passed(asking.known, person, rules, on) else SIT
    )
    if asking.signoffs(Asked(person, rules.level, on, NOTHING_NAMED)):
        return Task(person, rules.level, study + SHOW + SIGN, SHOW + SIGN, 1, after)
    options = asking.shop.options.get(rules.level, ())
    watched = watched_jobs(asking.known, person, rules, on, options)
    jobs = max(rules.watched_jobs - len(watched.jobs), len(watched.options_lacking), 0)
    rows = seen_right(asking.known, person, rules, on)
    seen = max(rules.observations - len(rows), rules.observers - len(observers_of(rows)), 0)
    return Task(
        person,
        rules.level,
        study + jobs * WORK + seen * SHOW + SIGN,
        jobs * WATCH + seen * SHOW + SIGN,
        1 + ceil(jobs / JOBS_A_WEEK),
        after,
    )


def _failures(asking: Asking, person: str, rules: LevelRules, day: date) -> set[str]:
    case = asking.case_at(Asked(person, rules.level, day, NOTHING_NAMED))
    return {reason.code for reason in asking.own_reasons(case)}


def _first_days_not_alone(
    asking: Asking, person: str, level: str, on: date, until: date
) -> list[date]:
    return [
        span.first
        for span in spans(asking, Asked(person, level, on, NOTHING_NAMED), until)
        if span.standing != "alone"
    ]


def capacity_of(
    asking: Asking,
    rota: Rota,
    levels: Collection[str],
    first: date,
    weeks: int,
    *,
    own_a_day: float,
    senior_a_day: float,
    at_once: int,
) -> Capacity:
    """Hours by the days at work of each week, and who may watch a level in it: alone on every day
    of it and appointed at its end.
    """
    until = first + timedelta(weeks=weeks, days=-1)
    held = Standings(asking, first, until)
    seniors = [person.login for person in asking.shop.people if person.trade == "senior"]
    spans = [
        tuple(days_between(first + timedelta(weeks=week), first + timedelta(weeks=week, days=6)))
        for week in range(weeks)
    ]

    def hours(person: str, a_day: float) -> Iterator[tuple[tuple[str, int], float]]:
        for week, days in enumerate(spans):
            at_work = sum(
                any(rota.is_at_work(person, place, day) for place in rota.workshops_of(person))
                for day in days
            )
            yield (person, week), a_day * at_work

    return Capacity(
        own_hours=dict(
            pair for person in asking.shop.people for pair in hours(person.login, own_a_day)
        ),
        senior_hours=dict(pair for senior in seniors for pair in hours(senior, senior_a_day)),
        able={
            (level, week): frozenset(
                senior
                for senior in seniors
                if asking.appointment(senior, level, days[-1]) is not None
                and all(held.is_alone(senior, level, day) for day in days)
            )
            for level in levels
            for week, days in enumerate(spans)
        },
        at_once=at_once,
    )


def as_if_done(shop: Shop, ground: Ground, lines: Collection[Line], asking: Asking) -> Shop:
    """The shop with what these lines would leave on record at the end of their last day, so that
    the standing itself can be asked.
    """
    readings, passings, seen, signed = (
        list[Reading](),
        list[Passing](),
        list[Observation](),
        list[SignOff](),
    )
    at = asking.known.at
    for line in sorted(lines, key=lambda one: one.ends):
        person, level = line.task.key
        if not line.task.senior_hours:
            continue
        day = ground.holds_from(line.ends) - timedelta(days=1)
        rules = asking.books.on(day).rules[level]
        # any of them would do, so always the same one
        senior = min(ground.capacity.able[level, line.ends] - {person})
        readings += [
            Reading(person, row.writeup, row.number, day, at)
            for row in current_revisions(asking.known, rules, day)
        ]
        passings.append(
            Passing(person, level, day, Decimal(100), critical_right=True, recorded_at=at)
        )
        seen.append(Observation(person, level, day, senior, right=True, recorded_at=at))
        signed.append(SignOff(person, level, day, senior, (), founding=False, recorded_at=at))
    return replace(
        shop,
        readings=(*shop.readings, *readings),
        passings=(*shop.passings, *passings),
        observations=(*shop.observations, *seen),
        signoffs=(*shop.signoffs, *signed),
    )
