"""What has happened to one person at one level, entry by entry?"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from training.records.gathering import days_late
from training.records.sheets import forks_text
from training.records.wording import lines as said
from training.records.wording.signoffs import say_signed
from training.standing.evidence import (
    Job,
    Observation,
    Passing,
    Reading,
    Shop,
    SignOff,
    StandDown,
    Void,
)

IsVoid = Callable[[str, str, Passing | Job | Observation | SignOff | Reading], bool]
"""Kind, level or write-up, row: was it declared never to have counted?"""


@dataclass(frozen=True, slots=True)
class Happened:
    """One entry about this person and level, for the list."""

    on: date
    text: str
    void: bool


def entries_of(shop: Shop, login: str, level: str, known_at: datetime) -> tuple[Happened, ...]:
    """Every entry about a person at a level that was known then, in the order of their days, void
    ones marked.
    """
    is_void = _voids_of([row for row in shop.voids if row.person == login], known_at)
    people = {person.login: person.name for person in shop.people}
    found = [
        *_work(shop, login, level, known_at, people, is_void),
        *_readings(shop, login, level, known_at, is_void),
    ]
    found += [
        Happened(row.first, describe_standdown(row, people), void=False)
        for row in shop.files.standdowns.get(login, ())
        if row.level in (level, None) and row.recorded_at <= known_at
    ]
    return tuple(sorted(found, key=lambda entry: (entry.on, entry.text)))


def _voids_of(rows: list[Void], known_at: datetime) -> IsVoid:
    voids = [row for row in rows if row.recorded_at <= known_at]

    def is_void(
        kind: str, about: str, row: Passing | Job | Observation | SignOff | Reading
    ) -> bool:
        return any(
            (void.kind, void.about, void.on) == (kind, about, row.on)
            and row.recorded_at <= void.recorded_at
            for void in voids
        )

    return is_void


def _work(
    shop: Shop,
    login: str,
    level: str,
    known_at: datetime,
    people: Mapping[str, str],
    is_void: IsVoid,
) -> Iterator[Happened]:
    """Quizzes, jobs, observations and sign-offs, which are entered for the level itself."""
    files, late = shop.files, days_late(shop.time_zone)
    described: dict[str, Callable[[Any], str]] = {
        "pass": describe_sitting,
        "job": lambda row: describe_job(row, people, known_at, late(row.on, row.recorded_at)),
        "observation": lambda row: describe_observation(row, people, late(row.on, row.recorded_at)),
        "signoff": lambda row: describe_signoff(row, people),
    }
    for kind, rows in (
        ("pass", files.passings.rows(login, level)),
        ("job", files.jobs.rows(login, level)),
        ("observation", files.observations.rows(login, level)),
        ("signoff", files.signoffs.rows(login, level)),
    ):
        for row in rows:
            if row.recorded_at <= known_at:
                yield Happened(row.on, described[kind](row), is_void(kind, level, row))


def _readings(
    shop: Shop, login: str, level: str, known_at: datetime, is_void: IsVoid
) -> Iterator[Happened]:
    """What was read of the write-ups that the level covers by any version of its rules."""
    # Any version, for a write-up that the level no longer covers was read for it all the same.
    for name in {name for rules in shop.levels if rules.level == level for name in rules.writeups}:
        for row in shop.files.readings.rows(login, name):
            if row.recorded_at <= known_at:
                text = said.say_reading(shop.titles.get(name, name), row.revision)
                yield Happened(row.on, text, is_void("reading", name, row))


def describe_sitting(row: Passing) -> str:
    """A quiz in a line: the result, and whether every critical question was right."""
    return said.say_quiz(row.percent, critical_right=row.critical_right)


def describe_job(row: Job, people: Mapping[str, str], known_at: datetime, late: int = 0) -> str:
    """A job in a line: how, on which fork, whether it came back, whether it counts yet."""
    watcher = people[row.watched_by] if row.watched_by else ""
    counts = row.counts_from is not None and row.counts_from <= known_at
    rest = "" if counts else said.say_unconfirmed()
    if row.taken_back_at is not None and row.taken_back_at <= known_at:
        rest = said.say_taken_back()
    told = (
        said.say_job(watcher, dict(row.variant)),
        said.say_came_back() if row.came_back else "",
        rest,
        said.say_late(late),
    )
    return " ".join(filter(None, told))


def describe_observation(row: Observation, people: Mapping[str, str], late: int = 0) -> str:
    """An observation in a line: by whom, and whether it was right."""
    told = (said.say_observation(people[row.observer], {}, right=row.right), said.say_late(late))
    return " ".join(filter(None, told))


def describe_signoff(row: SignOff, people: Mapping[str, str]) -> str:
    """A sign-off in a line: of which kind, by whom, for which forks."""
    signed = say_signed(people[row.signer], founding=row.founding, own=row.signer == row.person)
    return said.say_sign_off(signed, forks_text(dict(row.limits)))


def describe_standdown(row: StandDown, people: Mapping[str, str]) -> str:
    """A stand-down in a line: by whom, and since when the work is allowed again."""
    told = said.say_stand_down(people[row.by])
    return f"{told} {said.say_allowed(row.lifted_on)}" if row.lifted_on else told
