"""In which ways can each task be done, and what does a plan stand on?

Work together (a watched job, an observation, a signature) takes a day on which both are at work in
one workshop. The signature falls on the last such day of a line's last week on which the signer is
alone and appointed; the sign-off counts in the plan from the day after that week.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

from training.cover.days import Done, StandingDays
from training.cover.gaps import cover, days_between
from training.cover.plan import Ground, Hours, Key, Option, Task
from training.cover.release import Standings
from training.cover.rota import Rota, Wanted
from training.cover.tasks import count_resit, levels_with_earlier, renewal, tasks_of
from training.standing.entitlement import Asking
from training.standing.known import Known
from training.standing.rules.here import is_here


@dataclass(frozen=True, slots=True)
class PlanSpan:
    """The days whose cover is looked at, from `on`, and the weeks of the plan, from `first`."""

    on: date
    first: date
    weeks: int

    @property
    def until(self) -> date:
        """The last day."""
        return self.first + timedelta(weeks=self.weeks, days=-1)


def ground_of(asking: Asking, rota: Rota, wanted: Wanted, span: PlanSpan, hours: Hours) -> Ground:
    """What a plan stands on: the standings as they will be if nothing more is done, and everybody
    on the rota who works at the bench.
    """
    people = [
        person.login
        for person in asking.shop.people
        # Owners without bench work can teach and sign, but are no cover and are not trained.
        if person.trade != "owner" and rota.workshops_of(person.login)
    ]
    # Not by appointment: watching work asks for being alone only, and who signs is asked per day.
    seniors = tuple(one.login for one in asking.shop.people if one.is_senior_or_owner)
    levels = levels_with_earlier(asking, dict.fromkeys(level for _, level in wanted), span.on)
    tasks = tasks_of(asking, people, levels, span.on, span.until)
    days = StandingDays(asking, span.on, span.until)
    presence = _Presence(rota, asking.known)
    # From `on`, not from the first week: the days before the plan begins are cover that is shown.
    held = Standings(asking, span.on, span.until)
    everybody = dict.fromkeys((*people, *seniors))
    own = {(who, level): days.own(who, level) for who in everybody for level in levels}
    ground = Ground(
        first=span.first,
        weeks=span.weeks,
        tasks=tasks,
        options=(),
        days=tuple(cover(rota, wanted, days_between(span.on, span.until), held.is_alone)),
        people=tuple(people),
        seniors=seniors,
        own=own,
        learns={
            task.key: frozenset(day for day in days.free(*task.key) if rota.works(task.person, day))
            for task in tasks
        },
        earlier=lambda level, day: _earlier(asking, level, day),
        is_at_work=presence.is_at_work,
        meet=presence.meet,
        hours=hours,
    )
    ways = _Ways(ground, days)
    return replace(ground, options=tuple(way for task in tasks for way in ways.of(task)))


class _Presence:
    """Who is at work by the rota, and is employed on that day."""

    def __init__(self, rota: Rota, known: Known) -> None:
        self.rota, self.known = rota, known
        # A plan asks for the same two people and day once for each level.
        self._met: dict[tuple[str, str, date], bool] = {}

    def is_at_work(self, person: str, place: str, day: date) -> bool:
        return self.rota.is_at_work(person, place, day) and is_here(self.known.person(person), day)

    def meet(self, one: str, other: str, day: date) -> bool:
        key = (one, other, day)
        if key not in self._met:
            here = is_here(self.known.person(one), day) and is_here(self.known.person(other), day)
            self._met[key] = here and self.rota.meet(one, other, day)
        return self._met[key]


def _earlier(asking: Asking, level: str, day: date) -> tuple[str, ...]:
    rules = asking.books.on(day).rules.get(level)
    return tuple(dict.fromkeys(rules.earlier)) if rules else ()


class _Ways:
    """The options of each task on a ground."""

    def __init__(self, ground: Ground, days: StandingDays) -> None:
        self.ground, self.days, self.asking = ground, days, days.asking
        self._tasks: dict[Key, Task] = {task.key: task for task in ground.tasks}

    def of(self, task: Task) -> Iterator[Option]:
        """Every way in which it can be done, and, where a training runs out within the span, every
        way in which it can be renewed again.
        """
        trained = tuple(self._ways(task))
        yield from trained
        lasting = self.days.free(*task.key)
        # A validity shorter than the span would else leave a gap that no option could close.
        if task.kind == "train" and any(
            self._runs_out(one.holds, lasting, self.ground.holds_from(one.ends)) for one in trained
        ):
            rules = self.asking.books.on(self.ground.first).rules[task.level]
            again = renewal(self.asking, task.person, rules, self.days.first)
            yield from self._ways(again)

    @staticmethod
    def _runs_out(holds: frozenset[date], lasting: frozenset[date], first: date) -> bool:
        return any(day >= first and day not in holds for day in lasting)

    def _ways(self, task: Task) -> Iterator[Option]:
        # A task takes whole weeks, so that the first in which it can end is its own length.
        for ends in range(task.weeks - 1, self.ground.weeks):
            for signer in self.ground.seniors:
                signed_on = self._signed_on(task, ends, signer)
                if signed_on is not None and (option := self._way(task, ends, signer, signed_on)):
                    yield option

    def _way(self, task: Task, ends: int, signer: str, signed_on: date) -> Option | None:
        """The option; None for one that helps on no day."""
        done = Done(pick_study_day(self.ground, task, ends), signed_on, signer)
        from_ = self.ground.holds_from(ends)
        holds = frozenset(day for day in self.days.own(*task.key, done) if day >= from_)
        # A column that helps nobody only makes the programme slower.
        if not holds - self.ground.own.get(task.key, frozenset()):
            return None
        more = count_resit(self.asking, task, self.days.first, signed_on)
        begins = ends - task.weeks + 1
        also = dict(self._also(task, done, from_))
        return Option(task, begins, ends, signer, signed_on, holds, task.hours + more, also)

    def _also(self, task: Task, done: Done, first: date) -> Iterator[tuple[str, frozenset[date]]]:
        """The days on which the rules of other levels hold because of what is read for this one."""
        rules = self.asking.books.on(done.signed_on).rules
        for other in self._tasks.values():
            if other.person != task.person or other.level == task.level:
                continue
            # Reading is all that two levels share; each has its own quiz, jobs and signature.
            if set(rules[other.level].writeups).intersection(rules[task.level].writeups):
                held = self.days.own(*other.key, done, at=task.level)
                more = held - self.ground.own.get(other.key, frozenset())
                # From the week after, as the line itself:
                # readings are promised no earlier than it ends.
                yield other.level, frozenset(day for day in more if day >= first)

    def _signed_on(self, task: Task, ends: int, signer: str) -> date | None:
        """The last day of a week on which they meet and the signer may sign: alone as things are,
        else appointed and perhaps alone by a line of the plan. The signer may still do so on the
        last day of the week, so that a signature that comes later in it holds as well.
        """
        learns, last = self.ground.learns[task.key], self.ground.week(ends)[-1]
        # On the last day too: the signature may slip to it.
        if self.asking.appointment(signer, task.level, last) is None:
            return None
        days = [
            day
            for day in self.ground.week(ends)
            if day in learns
            and self.ground.meet(task.person, signer, day)
            and self.asking.appointment(signer, task.level, day) is not None
        ]
        alone = [day for day in days if self._is_alone(signer, task.level, day)]
        if alone and self._is_alone(signer, task.level, last):
            return alone[-1]
        # The programme decides then whether the signer is alone by it (`_needs`).
        return days[-1] if days and self._may_become(signer, task.level) else None

    def _is_alone(self, person: str, level: str, day: date) -> bool:
        return day in self.ground.own.get((person, level), ()) and all(
            self._is_alone(person, earlier, day) for earlier in self.ground.earlier(level, day)
        )

    def _may_become(self, person: str, level: str) -> bool:
        """Whether the plan could make somebody alone at a level."""
        before = self.asking.books.on(self.ground.first).before.get(level, ())
        return any((person, name) in self._tasks for name in (level, *before))


def pick_study_day(ground: Ground, task: Task, ends: int) -> date:
    """The day on which readings and quiz are done: the first at work of the last week."""
    week, learns = ground.week(ends), ground.learns.get(task.key, frozenset())
    # Without a day at work the line is not possible anyway; any day will do to work that out.
    return next((day for day in week if day in learns), week[0])
