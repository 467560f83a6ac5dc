"""Who is trained or renewed for which level, and when, so that the cover reaches what is wanted,
early and cheaply?

A plan is chosen among *options*: one piece of training that ends in one week and is signed by one
senior, with the days on which the rules of its level then hold. Fewest missing people and days come
first; among the plans with as few, the fewest hours; among those, the earliest. `programme.py`
finds it, `effect.py` says what follows from it; here stands what it is.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Literal

from training.cover.gaps import DayCover

IsAtWork = Callable[[str, str, date], bool]
"""Person, workshop, day: are they employed, and does the rota have them there?"""
Meet = Callable[[str, str, date], bool]
"""Two people and a day: are both at work in one workshop?"""
Key = tuple[str, str]
TaskKind = Literal["train", "renew"]
WhyShort = Literal["people", "time", "senior", "hours"]
# A signature has hours of its own: the signer has to be there, and it must not be free to spread.
SHOW, SIGN = 1.0, 0.25
"""Hours of an observation and of a signature, for both people; assumed (common practice, no
source).
"""


@dataclass(frozen=True, slots=True)
class Task:
    """All that somebody still needs for a level: own and seniors' hours (the seniors' are spent
    together, so they are among the own) and the weeks that it takes at least.

    `observers` different people still have to see it done right, none of them in `seen_by`. A
    `train` that `renews` is of somebody who was signed off before, and lacks more than a look.
    """

    person: str
    level: str
    hours: float
    senior_hours: float
    weeks: int
    kind: TaskKind = "train"
    jobs: int = 0
    seen: int = 0
    observers: int = 0
    seen_by: frozenset[str] = frozenset()
    # Not only how many: carried out on paper, each job must have an option that is missing.
    lacking: tuple[tuple[str, str], ...] = ()
    renews: bool = False

    @property
    def key(self) -> Key:
        """Person and level."""
        return self.person, self.level

    @property
    def is_renewal(self) -> bool:
        """Whether the person was signed off for the level before."""
        return self.kind == "renew" or self.renews


@dataclass(frozen=True, slots=True)
class Option:
    """One way in which a task can be done: from one week to another (counted from 0), signed by a
    senior on a day of the last one. `holds` are the days behind it on which the rules of the level
    itself then hold (whether earlier levels do is asked besides), `also` such days of other levels:
    a write-up that is read for one may be all that another lacks.
    """

    task: Task
    begins: int
    ends: int
    signer: str
    # A day, since validity, practice and appointments count in days, whatever a plan counts in.
    signed_on: date
    holds: frozenset[date]
    hours: float
    also: Mapping[str, frozenset[date]] = field(default_factory=dict)

    @property
    def span(self) -> range:
        """Its weeks."""
        return range(self.begins, self.ends + 1)

    def gives(self, level: str) -> frozenset[date]:
        """The days on which the rules of a level hold by it."""
        return self.holds if level == self.task.level else self.also.get(level, frozenset())

    @property
    def cost(self) -> float:
        """Everybody's hours."""
        # A senior's hour stands in `hours` as the learner's and here as the senior's: two are paid.
        return self.hours + self.task.senior_hours


@dataclass(frozen=True, slots=True)
class Line:
    """An option that was chosen, with everybody who teaches, watches or signs; the signer first."""

    option: Option
    seniors: tuple[str, ...]

    @property
    def task(self) -> Task:
        """What is done."""
        return self.option.task

    @property
    def key(self) -> Key:
        """Person and level."""
        return self.option.task.key


@dataclass(frozen=True, slots=True)
class PlannedLine:
    """A line by its days: who is to have which level, from the first day of learning to the
    last.
    """

    login: str
    level: str
    first: date
    until: date


@dataclass(frozen=True, slots=True)
class Hours:
    """How many hours a day somebody learns, a senior teaches, and how many levels somebody takes up
    at once.
    """

    own_a_day: float
    senior_a_day: float
    at_once: int


@dataclass(frozen=True, slots=True)
class Ground:
    """What a plan stands on: the first day of its first week, its weeks, what could be trained and
    how, and the cover without it.

    `own` are the days on which the rules of a level itself hold for somebody if nothing is done,
    `learns` those on which somebody can work at a level (at work, here, not stood down), `earlier`
    the levels that a level names on a day.
    """

    first: date
    weeks: int
    tasks: tuple[Task, ...]
    options: tuple[Option, ...]
    days: tuple[DayCover, ...]
    people: tuple[str, ...]
    seniors: tuple[str, ...]
    own: Mapping[Key, frozenset[date]]
    learns: Mapping[Key, frozenset[date]]
    earlier: Callable[[str, date], tuple[str, ...]]
    is_at_work: IsAtWork
    meet: Meet
    hours: Hours

    def week(self, number: int) -> tuple[date, ...]:
        """The seven days of a week."""
        return tuple(self.first + timedelta(days=7 * number + day) for day in range(7))

    def holds_from(self, ends: int) -> date:
        """The first day after a week."""
        return self.first + timedelta(weeks=ends + 1)

    def first_at_it(self, option: Option) -> date | None:
        """The first day on which somebody works at an option; None for none in its first week."""
        days = self.learns.get(option.task.key, frozenset())
        return next((day for day in self.week(option.begins) if day in days), None)


@dataclass(frozen=True, slots=True)
class Plan:
    """The lines, the earliest first, and the cover that they would give. A plan that is not proven
    is the best that was found in the time that there was. `cut` are the person-days that its model
    gave and the standing does not; they are not among the cover any more.
    """

    lines: tuple[Line, ...]
    days: tuple[DayCover, ...]
    is_proven: bool = True
    cut: int = 0

    @property
    def missing(self) -> int:
        """How many people are still missing, added over the days."""
        return sum(day.missing for day in self.days)

    @property
    def hours(self) -> float:
        """Everybody's hours, own and seniors'."""
        return sum(line.option.cost for line in self.lines)
