"""Who is trained or renewed for which level, and when, so that the cover reaches what is wanted,
early and cheaply?

A mixed-integer programme, solved by HiGHS through `scipy.optimize.milp`. What is decided is the
week in which each piece of training ends; whose hours carry it is left continuous, since the hours
of the seniors spread like goods in a transport problem. Fewest missing people and days come first;
among the plans with as few, the fewest hours; among those, the earliest.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any, Literal

from training.cover.gaps import DayCover

IsAtWork = Callable[[str, str, date], bool]
"""Person, workshop, day: does the rota have them there?"""
Key = tuple[str, str]
WhyShort = Literal["people", "time", "hours"]
SECONDS = 15.0  # the longest time for one answer


@dataclass(frozen=True, slots=True)
class Task:
    """All that somebody still needs for a level: own and seniors' hours, the weeks that it takes at
    least, and the levels that have to be finished before it is begun. With no weeks it is there as
    soon as they are.
    """

    person: str
    level: str
    hours: float
    senior_hours: float
    weeks: int
    after: tuple[str, ...] = ()

    @property
    def key(self) -> Key:
        """Person and level."""
        return self.person, self.level


@dataclass(frozen=True, slots=True)
class Capacity:
    """What there is to train with: hours by person and week, by senior and week, which seniors may
    watch a level in a week, and how many levels somebody takes up at once.
    """

    own_hours: Mapping[tuple[str, int], float]
    senior_hours: Mapping[tuple[str, int], float]
    able: Mapping[tuple[str, int], frozenset[str]]
    at_once: int


@dataclass(frozen=True, slots=True)
class Ground:
    """What a plan stands on: the Monday of its first week, its weeks, what could be trained, and
    the cover without it.
    """

    first: date
    weeks: int
    tasks: tuple[Task, ...]
    days: tuple[DayCover, ...]
    is_at_work: IsAtWork
    capacity: Capacity

    def holds_from(self, ends: int) -> date:
        """The first day after a week."""
        return self.first + timedelta(weeks=ends + 1)


@dataclass(frozen=True, slots=True)
class Line:
    """One piece of training, from the beginning of one week to the end of another (counted from 0);
    what takes no weeks begins after its end.
    """

    task: Task
    begins: int
    ends: int


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
class Plan:
    """The lines, the earliest first, and the cover that they would give. A plan that is not proven
    is the best that was found in the time that there was.
    """

    lines: tuple[Line, ...]
    days: tuple[DayCover, ...]
    is_proven: bool = True

    @property
    def missing(self) -> int:
        """How many people are still missing, added over the days."""
        return sum(day.missing for day in self.days)

    @property
    def hours(self) -> float:
        """Everybody's hours, own and seniors'."""
        return sum(line.task.hours + line.task.senior_hours for line in self.lines)


class NoAnswerError(Exception):
    """The programme was not solved in the time that it had."""


def covered(ground: Ground, lines: Collection[Line]) -> tuple[DayCover, ...]:
    """Return the cover with these lines: whoever has finished is there on every day at work,
    once.
    """
    return tuple(
        replace(
            day,
            there=(
                *day.there,
                *(
                    line.task.person
                    for line in lines
                    if _adds(ground, line.task, day) and day.day >= ground.holds_from(line.ends)
                ),
            ),
        )
        for day in ground.days
    )


def _adds(ground: Ground, task: Task, day: DayCover) -> bool:
    """Whether somebody who holds the level would be one more on that day."""
    return (
        task.level == day.level
        and task.person not in day.there
        and ground.is_at_work(task.person, day.workshop, day.day)
    )


def best_plan(ground: Ground, leave_out: Collection[Key] = ()) -> Plan:
    """Return the best plan without the tasks that are left out. Raises NoAnswerError where none is
    found in time.
    """
    tasks = [task for task in ground.tasks if task.key not in leave_out]
    short = [day for day in ground.days if day.missing]
    if not tasks or not short:
        return Plan((), ground.days)
    ends, is_proven = _Programme(ground, tasks, short).solve()
    lines = sorted(
        (Line(task, week - task.weeks + 1, week) for task, week in ends),
        key=lambda line: (line.ends, line.begins, line.task.key),
    )
    return Plan(tuple(lines), covered(ground, lines), is_proven)


def needed_by(plan: Plan, line: Line) -> frozenset[Key]:
    """Return the line and every other that could not be without it."""
    found = {line.task.key}
    while True:
        more = {
            one.task.key
            for one in plan.lines
            if any((one.task.person, level) in found for level in one.task.after)
        } - found
        if not more:
            return frozenset(found)
        found |= more


def closes(ground: Ground, plan: Plan, line: Line) -> tuple[DayCover, ...]:
    """Return the days that are short, or shorter, where this line (and what needs it) is taken out
    and the rest stays.
    """
    gone = needed_by(plan, line)
    without = covered(ground, [one for one in plan.lines if one.task.key not in gone])
    return tuple(
        after
        for before, after in zip(plan.days, without, strict=True)
        if after.missing > before.missing
    )


def why_short(ground: Ground, day: DayCover, at_work: int) -> WhyShort:
    """Say why a day stays short in the best plan: too few people are at work at all, nobody more
    can be ready by then, or there are not the hours (or they are spent better elsewhere). `at_work`
    is how many work there on that day, whoever they are.
    """
    if at_work < day.wanted:
        return "people"
    ready = sum(
        _adds(ground, task, day) and ground.holds_from(_soonest(ground, task)) <= day.day
        for task in ground.tasks
    )
    return "hours" if len(day.there) + ready >= day.wanted else "time"


def _soonest(ground: Ground, task: Task) -> int:
    """The first week at whose end a task could be finished, were there hours enough."""
    by_key = {one.key: one for one in ground.tasks}
    before = [by_key.get((task.person, level)) for level in task.after]
    if any(one is None for one in before):
        # an earlier level that nothing mends: any week behind the last one
        return ground.weeks + 53
    last = max((_soonest(ground, one) for one in before if one is not None), default=-1)
    return max(last + task.weeks, 0)


class _Programme:
    """The matrix of one programme: columns x (a task ends in a week), y (a senior's hours for a
    task in a week), s (missing).
    """

    def __init__(self, ground: Ground, tasks: Sequence[Task], short: Sequence[DayCover]) -> None:
        self.ground, self.tasks, self.short = ground, tasks, short
        self.by_key = {task.key: place for place, task in enumerate(tasks)}
        self.cost: list[float] = []
        self.upper: list[float] = []
        self.whole: list[int] = []
        self.rows: list[tuple[dict[int, float], float, float]] = []
        # more than any plan costs; how much more is no matter
        everything = 1 + sum(task.hours + task.senior_hours for task in tasks)
        self.x = {
            (place, week): self._column(
                task.hours + task.senior_hours + week / (1000 * ground.weeks * len(tasks)), 1, 1
            )
            for place, task in enumerate(tasks)
            for week in range(max(task.weeks - 1, 0), ground.weeks)
        }
        self.s = [self._column(everything, day.missing, 0) for day in short]
        self._once()
        self._earlier_levels()
        self._people()
        self._seniors()
        self._cover()

    def _column(self, cost: float, upper: float, whole: int) -> int:
        self.cost.append(cost)
        self.upper.append(upper)
        self.whole.append(whole)
        return len(self.cost) - 1

    def _row(self, terms: Mapping[int, float], low: float, high: float) -> None:
        if terms:
            self.rows.append((dict(terms), low, high))

    def _ends(self, place: int, until: int) -> dict[int, float]:
        """The columns in which a task has ended by the end of a week."""
        return {self.x[place, week]: 1.0 for week in range(until + 1) if (place, week) in self.x}

    def _running(self, place: int, week: int) -> dict[int, float]:
        """The columns in which a task is under way in a week."""
        weeks = self.tasks[place].weeks
        return {
            self.x[place, end]: 1.0 for end in range(week, week + weeks) if (place, end) in self.x
        }

    def _once(self) -> None:
        for place in range(len(self.tasks)):
            self._row(self._ends(place, self.ground.weeks), 0, 1)

    def _earlier_levels(self) -> None:
        """A level is begun when those before it are finished; where one of them cannot be, neither
        can it.
        """
        for place, task in enumerate(self.tasks):
            for level in task.after:
                earlier = self.by_key.get((task.person, level))
                for week in range(self.ground.weeks):
                    before = {} if earlier is None else self._ends(earlier, week - task.weeks)
                    self._row({**self._ends(place, week), **dict.fromkeys(before, -1.0)}, -1, 0)

    def _people(self) -> None:
        """So many levels at once, and no more own hours than there are."""
        for person in dict.fromkeys(task.person for task in self.tasks):
            own = [place for place, task in enumerate(self.tasks) if task.person == person]
            for week in range(self.ground.weeks):
                self._row(
                    {column: 1.0 for place in own for column in self._running(place, week)},
                    0,
                    self.ground.capacity.at_once,
                )
                hours = {
                    column: self.tasks[place].hours / self.tasks[place].weeks
                    for place in own
                    for column in self._running(place, week)
                }
                self._row(hours, 0, self.ground.capacity.own_hours.get((person, week), 0))

    def _seniors(self) -> None:
        """Each task's hours in a week come from seniors who may watch it, and no senior gives more
        than there are.
        """
        given: dict[tuple[str, int], dict[int, float]] = {}
        for place, task in enumerate(self.tasks):
            for week in range(self.ground.weeks):
                running = self._running(place, week)
                if not running or not task.senior_hours:
                    continue
                wanted = dict.fromkeys(running, -task.senior_hours / task.weeks)
                for senior in sorted(
                    self.ground.capacity.able.get((task.level, week), frozenset()) - {task.person}
                ):
                    column = self._column(0, task.senior_hours, 0)
                    wanted[column] = 1.0
                    given.setdefault((senior, week), {})[column] = 1.0
                self._row(wanted, 0, 0)
        for key, terms in given.items():
            self._row(terms, 0, self.ground.capacity.senior_hours.get(key, 0))

    def _cover(self) -> None:
        """What is missing on a day is at least what was, less whoever has finished and is at
        work.
        """
        for day, column in zip(self.short, self.s, strict=True):
            last = (day.day - self.ground.first).days // 7 - 1
            terms = {column: 1.0}
            for place, task in enumerate(self.tasks):
                if _adds(self.ground, task, day):
                    terms |= self._ends(place, last)
            self._row(terms, day.missing, float("inf"))

    def solve(self) -> tuple[list[tuple[Task, int]], bool]:
        """The tasks that are done, each with its last week, and whether no plan is better."""
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import csr_array

        where = [
            (number, column, value)
            for number, (terms, _, _) in enumerate(self.rows)
            for column, value in terms.items()
        ]
        numbers, columns, values = zip(*where, strict=True)
        matrix: Any = csr_array(
            (values, (numbers, columns)), shape=(len(self.rows), len(self.cost))
        )
        found = milp(
            self.cost,
            integrality=self.whole,
            bounds=Bounds(0, self.upper),
            constraints=LinearConstraint(
                matrix, [low for _, low, _ in self.rows], [high for _, _, high in self.rows]
            ),
            options={"time_limit": SECONDS, "mip_rel_gap": 0},
        )
        if found.x is None:
            raise NoAnswerError(f"No plan was found in {SECONDS:.0f} seconds.")
        return [
            (self.tasks[place], week)
            for (place, week), column in self.x.items()
            if found.x[column] > 0.5
        ], found.status == 0
