"""Is a plan the best there is, by trying every other?

Held against an enumeration of every way to end (or leave out) each task; the seniors' hours are then a flow, which is
tried with `scipy.optimize.linprog`, a general-purpose solver of another kind of problem. Invented shops, no outside source.
"""

import random
from datetime import date, timedelta
from itertools import product

import pytest
from scipy.optimize import linprog

from training.cover.gaps import DayCover
from training.cover.plan import Capacity, Ground, Line, Task, best_plan, closes, covered, needed_by

MONDAY = date(2026, 11, 30)
LEVELS = ("lower", "air")


def ground(seed):
    chance = random.Random(seed)
    weeks = chance.randint(2, 4)
    people = ("ana", "kim", "tom")[: chance.randint(1, 3)]
    tasks = []
    for person in people:
        has_lower = chance.random() < 0.5
        if not has_lower:
            tasks.append(Task(person, "lower", chance.choice((1.0, 3.0)), chance.choice((0.0, 1.0, 2.0)), chance.randint(1, 2)))
        if not has_lower and chance.random() < 0.25:
            tasks.append(Task(person, "air", 0.0, 0.0, 0, ("lower",)))  # there as soon as the earlier level is
        elif chance.random() < 0.8 and len(tasks) < 4:
            tasks.append(Task(person, "air", chance.choice((1.0, 2.5)), chance.choice((1.0, 2.0)), chance.randint(1, 2), () if has_lower else ("lower",)))
    days = tuple(
        DayCover("main", level, MONDAY + timedelta(days=day), chance.randint(1, 2), ("sol",) if chance.random() < 0.5 else ())
        for day in range(0, 7 * weeks, chance.choice((1, 2, 3)))
        for level in LEVELS
    )  # fmt: skip
    away = {(person, MONDAY + timedelta(days=day)) for person in people for day in range(7 * weeks) if chance.random() < 0.2}
    capacity = Capacity(
        own_hours={(person, week): chance.choice((0.5, 2.0, 4.0)) for person in people for week in range(weeks)},
        senior_hours={(senior, week): chance.choice((0.5, 1.0, 3.0)) for senior in ("sol", "uma") for week in range(weeks)},
        able={(level, week): frozenset(chance.sample(("sol", "uma"), chance.randint(0, 2))) for level in LEVELS for week in range(weeks)},
        at_once=chance.randint(1, 2),
    )
    return Ground(MONDAY, weeks, tuple(tasks), days, lambda person, _place, day: (person, day) not in away, capacity)


def is_possible(ground, lines):
    """Each rule by itself, in the words of the design."""
    by_key = {line.task.key: line for line in lines}
    for line in lines:
        if line.begins < 0:
            return False
        for level in line.task.after:
            earlier = by_key.get((line.task.person, level))
            if earlier is None or earlier.ends >= line.begins:
                return False
    for week in range(ground.weeks):
        running = [line for line in lines if line.begins <= week <= line.ends]
        for person in {line.task.person for line in running}:
            own = [line for line in running if line.task.person == person]
            hours = sum(line.task.hours / line.task.weeks for line in own)
            if len(own) > ground.capacity.at_once or hours > ground.capacity.own_hours[person, week] + 1e-9:
                return False
        if not seniors_suffice(ground, running, week):
            return False
    return True


def seniors_suffice(ground, running, week):
    able = [(line, senior) for line in running for senior in ground.capacity.able[line.task.level, week] if senior != line.task.person]
    wants = [line for line in running if line.task.senior_hours]
    if not wants:
        return True
    if not able:
        return False
    equal = [[1.0 if pair[0] is line else 0.0 for pair in able] for line in wants]
    seniors = sorted({senior for _, senior in able})
    most = [[1.0 if pair[1] == senior else 0.0 for pair in able] for senior in seniors]
    found = linprog(
        [0.0] * len(able), A_eq=equal, b_eq=[line.task.senior_hours / line.task.weeks for line in wants],
        A_ub=most, b_ub=[ground.capacity.senior_hours[senior, week] for senior in seniors],
    )
    return found.status == 0


def by_trying(ground):
    """The fewest missing, then the fewest hours, of every possible way."""
    best = None
    for ends in product(*([None, *range(ground.weeks)] for _ in ground.tasks)):
        lines = [Line(task, end - task.weeks + 1, end) for task, end in zip(ground.tasks, ends, strict=True) if end is not None]
        if is_possible(ground, lines):
            missing = sum(day.missing for day in covered(ground, lines))
            hours = sum(line.task.hours + line.task.senior_hours for line in lines)
            if best is None or (missing, hours) < best:
                best = (missing, hours)
    return best


@pytest.mark.parametrize("seed", range(60))
def test_no_possible_plan_is_better(seed):
    here = ground(seed)
    plan = best_plan(here)
    assert plan.is_proven
    assert is_possible(here, plan.lines)
    assert (plan.missing, plan.hours) == pytest.approx(by_trying(here))


def test_the_seeds_try_what_they_should():
    plans = [(here, best_plan(here)) for here in map(ground, range(60))]
    assert sum(1 for _, plan in plans if plan.lines) > 20
    assert any(len(plan.lines) > 2 for _, plan in plans)
    assert any(plan.missing for _, plan in plans)
    assert any(not line.task.weeks for _, plan in plans for line in plan.lines)
    assert any(line.task.after for _, plan in plans for line in plan.lines)


@pytest.mark.parametrize("seed", range(0, 60, 3))
def test_what_a_line_closes_and_what_dropping_it_costs(seed):
    here = ground(seed)
    plan = best_plan(here)
    for line in plan.lines:
        gone = needed_by(plan, line)
        rest = covered(here, [one for one in plan.lines if one.task.key not in gone])
        days = {(day.workshop, day.level, day.day) for day in closes(here, plan, line)}
        assert days == {(a.workshop, a.level, a.day) for a, b in zip(rest, plan.days, strict=True) if a.missing > b.missing}
        assert days, "a line that closes nothing costs hours for nothing"
        left = Ground(here.first, here.weeks, tuple(task for task in here.tasks if task.key != line.task.key), here.days, here.is_at_work, here.capacity)
        assert best_plan(here, leave_out={line.task.key}).missing == by_trying(left)[0]


def test_nothing_to_close_needs_no_plan():
    here = ground(1)
    enough = Ground(here.first, here.weeks, here.tasks, (DayCover("main", "air", MONDAY, 1, ("sol",)),), here.is_at_work, here.capacity)
    assert best_plan(enough).lines == ()


def test_the_earlier_of_two_plans_as_good_is_taken():
    task = Task("ana", "lower", 1.0, 0.0, 1)
    last = MONDAY + timedelta(days=20)
    capacity = Capacity({("ana", week): 5.0 for week in range(3)}, {}, {}, 1)
    plan = best_plan(Ground(MONDAY, 3, (task,), (DayCover("main", "lower", last, 1, ()),), lambda *_: True, capacity))
    assert [(line.begins, line.ends) for line in plan.lines] == [(0, 0)]
