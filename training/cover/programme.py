"""Which of the options make the best plan?

A mixed-integer programme, solved by HiGHS through `scipy.optimize.milp`. What is decided is which
options are done; the seniors' hours that carry them are left continuous, since hours spread over
days like goods in a transport problem. Days of a week that are alike (the same people meet, the
same may teach) are one.
"""

from __future__ import annotations

from collections.abc import Collection, Hashable, Iterator
from datetime import date
from typing import Any

from training.cover.columns import INF, ColumnNumber, Columns, NoAnswerError
from training.cover.effect import cover_with, follows_training
from training.cover.gaps import DayCover
from training.cover.plan import SHOW, SIGN, Ground, Key, Line, Option, Plan, TaskKind

HeldIf = ColumnNumber | bool
"""Is somebody alone: known without the plan, or a column of it."""
Work = tuple[str, str, TaskKind]


def best_plan(ground: Ground, leave_out: Collection[Key] = ()) -> Plan:
    """Return the best plan without the tasks that are left out. Raises NoAnswerError where none is
    found in time.
    """
    options = [one for one in ground.options if one.task.key not in leave_out]
    # Where nothing is missing, nobody has to be trained; the solver need not prove it.
    if not options or not any(day.missing for day in ground.days):
        return Plan((), ground.days)
    lines, is_proven = _Programme(ground, options).solve()
    lines.sort(key=lambda line: (line.option.ends, line.option.begins, line.key))
    return Plan(tuple(lines), cover_with(ground, lines), is_proven)


class _Programme:
    """One programme: x (an option is done), a (somebody is alone on days that are alike), y (hours
    that a senior spends with somebody), s (people missing).
    """

    def __init__(self, ground: Ground, options: list[Option]) -> None:
        self.ground, self.options, self.made = ground, options, Columns()
        keys = dict.fromkeys(option.task.key for option in options)
        # Two lines for each key, a training and a renewal: their lateness stays below 0.04 in all.
        last = 2 * ground.weeks * len(keys)
        self.x = [
            # hours are told to a twentieth at the finest; which is earlier weighs less than that
            self.made.column(option.cost + 0.04 * option.ends / last, 1, 1)
            for option in options
        ]
        self.of: dict[Key, list[int]] = {key: [] for key in keys}
        # Told apart by person, level and day once: a question is asked of each of them many times.
        self.ways: dict[Key, dict[date, list[int]]] = {}
        for place, option in enumerate(options):
            self.of[option.task.key].append(place)
            for level in (option.task.level, *option.also):
                given = self.ways.setdefault((option.task.person, level), {})
                for day in option.gives(level):
                    given.setdefault(day, []).append(place)
        self.held: dict[Hashable, ColumnNumber] = {}
        self.asked: dict[tuple[str, str, date], HeldIf] = {}
        self.y: dict[tuple[Work, int, str, tuple[date, ...]], ColumnNumber] = {}
        for place in range(len(options)):
            self._needs(place)
        self._at_once()
        self._work()
        self._cover()

    def _needs(self, place: int) -> None:
        """An option is done only where its signer may sign, and the levels before are held when it
        begins and when it is signed.
        """
        option, ground = self.options[place], self.ground
        person, level = option.task.key
        begins = ground.first_at_it(option)
        needs: list[HeldIf] = [
            begins is not None,
            self._alone(option.signer, level, option.signed_on),
            self._alone(option.signer, level, ground.week(option.ends)[-1]),
            *(
                self._alone(person, earlier, day)
                for day in (begins or option.signed_on, option.signed_on)
                for earlier in ground.earlier(level, day)
            ),
        ]
        for need in needs:
            # Bound to 0 and not left out: places in `options`
            # are what the other columns are found by.
            if need is False:
                self.made.upper[self.x[place]] = 0
            elif need is not True:
                self.made.at_most(self.x[place], {need: 1.0})
        if follows_training(ground, option):
            trained = {
                self.x[other]: 1.0
                for other in self.of[option.task.key]
                if self.options[other].task.kind == "train"
                and self.options[other].ends < option.begins
            }
            # Nothing trained before it means an empty sum, and so never.
            self.made.at_most(self.x[place], trained)

    def _alone(self, person: str, level: str, day: date) -> HeldIf:
        """Whether somebody is alone on a day: a column where the plan decides it."""
        key = (person, level, day)
        if key not in self.asked:
            self.asked[key] = self._work_out(person, level, day)
        return self.asked[key]

    def _work_out(self, person: str, level: str, day: date) -> HeldIf:
        is_own = day in self.ground.own.get((person, level), ())
        possible = {} if is_own else self.ways.get((person, level), {})
        ways = frozenset(possible.get(day, ()))
        if not is_own and not ways:
            return False
        before = [self._alone(person, name, day) for name in self.ground.earlier(level, day)]
        if any(one is False for one in before):
            return False
        # By what decides it and not by its day: days decided by the same options share one column.
        open_ones = frozenset(one for one in before if one is not True)
        if is_own and not open_ones:
            return True
        key = (person, level, ways, open_ones)
        if key not in self.held:
            # Not whole: it is held down by whole ones, and what pushes it up is the cover.
            column = self.held[key] = self.made.column(0, 1, 0)
            if not is_own:
                self.made.at_most(column, {self.x[place]: 1.0 for place in ways})
            for one in open_ones:
                self.made.at_most(column, {one: 1.0})
        return self.held[key]

    def _running(self, places: Collection[int], week: int) -> list[int]:
        """The options that are under way in a week."""
        return [place for place in places if week in self.options[place].span]

    def _at_once(self) -> None:
        """So many levels at once, one thing at a time for each, and no more own hours than there
        are. Nobody is trained twice for a level.
        """
        for key, places in self.of.items():
            trained = [p for p in places if self.options[p].task.kind == "train"]
            self.made.row(dict.fromkeys((self.x[place] for place in trained), 1.0), 0, 1)
            for week in range(self.ground.weeks):
                running = self._running(self.of[key], week)
                self.made.row(dict.fromkeys((self.x[place] for place in running), 1.0), 0, 1)
        for person in dict.fromkeys(person for person, _ in self.of):
            own = [place for key, places in self.of.items() if key[0] == person for place in places]
            for week in range(self.ground.weeks):
                running = self._running(own, week)
                self.made.row(
                    dict.fromkeys((self.x[place] for place in running), 1.0),
                    0,
                    self.ground.hours.at_once,
                )
                # The days of all levels together: a day on which
                # one level cannot be learnt may serve another.
                days = {day for key in self.of if key[0] == person for day in self._days(key, week)}
                self.made.row(
                    {
                        self.x[p]: self.options[p].hours / self.options[p].task.weeks
                        for p in running
                    },
                    0,
                    self.ground.hours.own_a_day * len(days),
                )

    def _days(self, key: Key, week: int) -> list[date]:
        learns = self.ground.learns.get(key, frozenset())
        return [day for day in self.ground.week(week) if day in learns]

    def _alike(self, week: int) -> Iterator[tuple[date, ...]]:
        """The days of a week, those together on which the same people meet and the same may
        teach.
        """
        levels = dict.fromkeys(level for _, level in self.of)
        people = dict.fromkeys(person for person, _ in self.of)
        groups: dict[Hashable, list[date]] = {}
        for day in self.ground.week(week):
            # What tells days apart for the programme, and no more: a week is then one or two
            # columns, not seven.
            looks = (
                *(self.ground.meet(p, s, day) for p in people for s in self.ground.seniors),
                *(self._alone(s, level, day) for s in self.ground.seniors for level in levels),
                *(day in self.ground.learns.get(key, ()) for key in self.of),
            )
            # True and 1 are equal, a column is told from an answer by its type
            groups.setdefault(tuple((type(one), one) for one in looks), []).append(day)
        return (tuple(days) for days in groups.values())

    def _work(self) -> None:
        """The hours of each option are spent with seniors who are alone, on days on which they
        meet; nobody learns or teaches more in a day than there is.
        """
        works: dict[Work, list[int]] = {}
        for place, option in enumerate(self.options):
            works.setdefault((*option.task.key, option.task.kind), []).append(place)
        for week in range(self.ground.weeks):
            groups = tuple(self._alike(week))
            for work, places in works.items():
                self._together(work, places, week, groups)
        for work, places in works.items():
            self._observers(work, places)
        self._limits()

    def _together(
        self, work: Work, places: list[int], week: int, groups: tuple[tuple[date, ...], ...]
    ) -> None:
        person, level, _ = work
        running = self._running(places, week)
        if not running:
            return
        learns = self.ground.learns.get((person, level), frozenset())
        # Hours together count for both, so that the shorter day bounds them.
        day_long = min(self.ground.hours.own_a_day, self.ground.hours.senior_a_day)
        given: dict[ColumnNumber, float] = {}
        by_senior: dict[str, dict[ColumnNumber, float]] = {}
        for days in groups:
            for senior in self.ground.seniors:
                # The first stands for all of a group: they are alike in exactly this.
                if days[0] not in learns or not self.ground.meet(person, senior, days[0]):
                    continue
                may = self._alone(senior, level, days[0])
                if may is False:
                    continue
                most = day_long * len(days)
                column = self.y[work, week, senior, days] = self.made.column(0, most, 0)
                if may is not True:
                    self.made.at_most(column, {may: most})
                given[column] = 1.0
                by_senior.setdefault(senior, {})[column] = 1.0
        needed = {
            self.x[p]: -self.options[p].task.senior_hours / self.options[p].task.weeks
            for p in running
        }
        # Equal and not at least: hours beyond what is needed would be free, and would look like a
        # plan.
        self.made.row({**given, **needed}, 0, 0)
        for senior in self.ground.seniors:
            signs = {
                self.x[p]: -SIGN
                for p in running
                if self.options[p].ends == week and self.options[p].signer == senior
            }
            if signs:
                # In the last week, with the signer: other hours can be anybody's, the signature
                # cannot.
                self.made.row({**by_senior.get(senior, {}), **signs}, 0, INF)

    def _observers(self, work: Work, places: list[int]) -> None:
        """Where a level asks for different observers, so many new ones have an hour each."""
        task = self.options[places[0]].task
        # One observer who may be anybody is the signer: no column is needed to choose.
        if task.observers < 2 and not (task.observers and task.seen_by):
            return
        chosen: dict[ColumnNumber, float] = {}
        for senior in self.ground.seniors:
            hours = {
                column: 1.0
                for (of, _, who, _), column in self.y.items()
                if of == work and who == senior
            }
            # They have seen it done already and are no further pair of eyes.
            if senior in task.seen_by:
                continue
            # Whole: half of two observers is not one.
            column = self.made.column(0, 1, 1)
            chosen[column] = 1.0
            signs = {self.x[p]: -SIGN for p in places if self.options[p].signer == senior}
            self.made.row({**hours, **signs, column: -SHOW}, 0, INF)
        self.made.row({**chosen, **{self.x[p]: -float(task.observers) for p in places}}, 0, INF)

    def _limits(self) -> None:
        taught: dict[tuple[str, tuple[date, ...]], dict[ColumnNumber, float]] = {}
        learnt: dict[tuple[str, tuple[date, ...]], dict[ColumnNumber, float]] = {}
        for ((person, _, _), _, senior, days), column in self.y.items():
            taught.setdefault((senior, days), {})[column] = 1.0
            learnt.setdefault((person, days), {})[column] = 1.0
        for (_, days), terms in taught.items():
            self.made.row(terms, 0, self.ground.hours.senior_a_day * len(days))
        for (_, days), terms in learnt.items():
            self.made.row(terms, 0, self.ground.hours.own_a_day * len(days))

    def _cover(self) -> None:
        """What is missing on a day is at least what was, less whoever is alone by then and at work.
        One person less missing is worth any hours.
        """
        most: dict[Work, float] = {}
        for option in self.options:
            work = (*option.task.key, option.task.kind)
            # A renewal can come again and again, a training once; the sum must be dearer than all
            # of them.
            often = self.ground.weeks if option.task.kind == "renew" else 1
            most[work] = max(most.get(work, 0), often * option.cost)
        # Fewest person-days missing, then fewest hours: a person-day outweighs every hour there is.
        everything = 1 + sum(most.values())
        alike: dict[Hashable, list[DayCover]] = {}
        for day in self.ground.days:
            if day.missing:
                more = self._more(day)
                # A gap that no option touches is the same in each plan and adds nothing to choose
                # by.
                if more:
                    alike.setdefault((day.workshop, day.level, day.missing, more), []).append(day)
        for days in alike.values():
            missing = self.made.column(everything * len(days), days[0].missing, 0)
            terms = {missing: 1.0, **dict.fromkeys(self._more(days[0]), 1.0)}
            self.made.row(terms, days[0].missing, INF)

    def _more(self, day: DayCover) -> frozenset[ColumnNumber]:
        """Who would be one more on a day."""
        held = (
            self._alone(who, day.level, day.day)
            for who in self.ground.people
            if who not in day.there and self.ground.is_at_work(who, day.workshop, day.day)
        )
        # True is known without the plan and changes nothing by it; False is nobody.
        return frozenset(one for one in held if one is not True and one is not False)

    def solve(self) -> tuple[list[Line], bool]:
        """The lines, and whether no plan is better."""
        found = self.made.solved()
        # Whole numbers come back as 0.9999997 or so.
        chosen = {column: float(found.x[column] > 0.5) for column in self.x}
        spent = self._few_hands(chosen, found.x)
        lines = []
        for option, column in zip(self.options, self.x, strict=True):
            if chosen[column]:
                work = (*option.task.key, option.task.kind)
                helping = {
                    senior
                    for (of, week, senior, _), hours in self.y.items()
                    # The solver's own tolerance: an hour of 1e-9 is none.
                    if of == work and week in option.span and spent[hours] > 1e-6
                }
                lines.append(Line(option, (option.signer, *sorted(helping - {option.signer}))))
        # Status 0 is optimal; out of time the best found comes with another.
        return lines, found.status == 0

    def _few_hands(self, chosen: dict[ColumnNumber, float], spent: Any) -> Any:
        """The hours once more, with the same options done: as many as can be from who signs, so
        that people have to do with few.
        """
        signs = {
            ((*option.task.key, option.task.kind), week, option.signer)
            for option, column in zip(self.options, self.x, strict=True)
            if chosen[column]
            for week in option.span
        }
        self.made.cost = [0.0] * len(self.made.cost)
        for (work, week, senior, _), column in self.y.items():
            self.made.cost[column] = float((work, week, senior) not in signs)
        try:
            return self.made.solved(chosen).x
        except NoAnswerError:  # the hours as they were found do as well
            return spent
