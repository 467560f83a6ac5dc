"""Who is trained or renewed for which level, and when, so that the cover reaches what is wanted,
early and cheaply?

A plan is chosen among *options*: one piece of training that ends in one week and is signed by one
senior, with the days on which the rules of its level then hold. Fewest missing people and days come
first; among the plans with as few, the fewest hours; among those, the earliest. `programme.py`
finds it; here stands what a plan is and what follows from it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Literal

from training.cover.gaps import DayCover

IsAtWork = Callable[[str, str, date], bool]
"""Person, workshop, day: are they employed, and does the rota have them there?"""
Meet = Callable[[str, str, date], bool]
"""Two people and a day: are both at work in one workshop?"""
Key = tuple[str, str]
Kind = Literal["train", "renew"]
WhyShort = Literal["people", "time", "senior", "hours"]
SHOW, SIGN = 1.0, 0.25
"""Hours of an observation and of a signature, for both people; assumed (common practice, no
source).
"""
NEVER = 10_000


@dataclass(frozen=True, slots=True)
class Task:
    """All that somebody still needs for a level: own and seniors' hours (the seniors' are spent
    together, so they are among the own) and the weeks that it takes at least.

    `observers` different people still have to see it done right, none of them in `seen_by`.
    """

    person: str
    level: str
    hours: float
    senior_hours: float
    weeks: int
    kind: Kind = "train"
    jobs: int = 0
    seen: int = 0
    observers: int = 0
    seen_by: frozenset[str] = frozenset()
    lacking: tuple[tuple[str, str], ...] = ()

    @property
    def key(self) -> Key:
        """Person and level."""
        return self.person, self.level


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
    signed_on: date
    holds: frozenset[date]
    hours: float
    also: Mapping[str, frozenset[date]] = field(default_factory=dict)

    def gives(self, level: str) -> frozenset[date]:
        """The days on which the rules of a level hold by it."""
        return self.holds if level == self.task.level else self.also.get(level, frozenset())

    @property
    def cost(self) -> float:
        """Everybody's hours."""
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


@dataclass(slots=True)
class Alone:
    """Is somebody alone at a level on a day, with some of the options done?"""

    ground: Ground
    options: Collection[Option]
    _of: dict[str, list[Option]] = field(init=False, default_factory=dict)
    _known: dict[tuple[str, str, date], bool] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        """File the options."""
        for option in self.options:
            self._of.setdefault(option.task.person, []).append(option)

    def __call__(self, person: str, level: str, day: date) -> bool:
        """Say so."""
        asked = (person, level, day)
        if asked not in self._known:
            self._known[asked] = self._holds(person, level, day) and all(
                self(person, earlier, day) for earlier in self.ground.earlier(level, day)
            )
        return self._known[asked]

    def _holds(self, person: str, level: str, day: date) -> bool:
        return day in self.ground.own.get((person, level), ()) or any(
            day in option.gives(level) for option in self._of.get(person, ())
        )


def covered(ground: Ground, lines: Collection[Line]) -> tuple[DayCover, ...]:
    """Return the cover with these lines: whoever is alone by then is there on every day at work."""
    alone = Alone(ground, [line.option for line in lines])
    gained = dict.fromkeys(who for who, _ in (line.key for line in lines))
    return tuple(
        replace(
            day,
            there=(
                *day.there,
                *(
                    who
                    for who in ground.people
                    if who in gained and _is_more(ground, alone, who, day)
                ),
            ),
        )
        for day in ground.days
    )


def _is_more(ground: Ground, alone: Alone, person: str, day: DayCover) -> bool:
    """Whether somebody is one more on that day than without a plan."""
    return (
        person not in day.there
        and ground.is_at_work(person, day.workshop, day.day)
        and alone(person, day.level, day.day)
    )


def kept(ground: Ground, lines: Sequence[Line]) -> tuple[Line, ...]:
    """Return the lines that can be done when there are no others: earlier levels held, the signer
    and everybody who teaches alone when they do.
    """
    while True:
        alone = Alone(ground, [line.option for line in lines])
        left = tuple(line for line in lines if _can_be(ground, alone, line, lines))
        if len(left) == len(lines):
            return left
        lines = left


def _can_be(ground: Ground, alone: Alone, line: Line, lines: Sequence[Line]) -> bool:
    option, (person, level) = line.option, line.key
    begins = ground.first_at_it(option)
    if begins is None or not alone(option.signer, level, option.signed_on):
        return False
    if not all(
        alone(person, earlier, day)
        for day in (begins, option.signed_on)
        for earlier in ground.earlier(level, day)
    ):
        return False
    if follows_training(ground, option) and not any(
        one.key == line.key and one.task.kind == "train" and one.option.ends < option.begins
        for one in lines
    ):
        return False
    return all(
        any(
            ground.meet(person, senior, day) and alone(senior, level, day)
            for week in range(option.begins, option.ends + 1)
            for day in ground.week(week)
        )
        for senior in line.seniors
    )


def follows_training(ground: Ground, option: Option) -> bool:
    """Say whether an option renews what only a training of this plan gives."""
    return option.task.kind == "renew" and any(
        task.key == option.task.key and task.kind == "train" for task in ground.tasks
    )


def closes(ground: Ground, plan: Plan, line: Line) -> tuple[DayCover, ...]:
    """Return the days that are short, or shorter, where this line (and what cannot be without it)
    is taken out and the rest stays.
    """
    without = covered(ground, kept(ground, [one for one in plan.lines if one != line]))
    with_all = covered(ground, plan.lines)
    return tuple(
        after
        for before, after in zip(with_all, without, strict=True)
        if after.missing > before.missing
    )


def why_short(ground: Ground, day: DayCover, at_work: int) -> WhyShort:
    """Say why a day stays short in the best plan: too few people are at work at all; nobody more
    can be ready by then; nobody who may teach and sign is at work with them; or there are not the
    hours (or they are spent better elsewhere). `at_work` is how many work there on that day,
    whoever they are.
    """
    if at_work < day.wanted:
        return "people"
    others = [
        who
        for who in ground.people
        if who not in day.there and ground.is_at_work(who, day.workshop, day.day)
    ]
    soon = sum(
        ground.holds_from(_soonest(ground, who, day.level, day.day)) <= day.day for who in others
    )
    if len(day.there) + soon < day.wanted:
        return "time"
    alone = Alone(ground, ground.options)
    could = sum(alone(who, day.level, day.day) for who in others)
    return "hours" if len(day.there) + could >= day.wanted else "senior"


def _soonest(ground: Ground, person: str, level: str, day: date) -> int:
    """The first week at whose end somebody could have a level, were there seniors and hours
    enough; -1 where nothing is missing on that day.
    """
    before = [_soonest(ground, person, name, day) for name in ground.earlier(level, day)]
    last = max(before, default=-1)
    if day in ground.own.get((person, level), ()):
        return last
    task = next((one for one in ground.tasks if one.key == (person, level)), None)
    begins = min(ground.learns.get((person, level), ()), default=None)
    if task is None or begins is None:
        return min(NEVER, 53 + ground.weeks)
    return min(NEVER, max(last, (begins - ground.first).days // 7 - 1) + task.weeks)
