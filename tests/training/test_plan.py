"""Is a plan the best there is, by trying every other?

Held against an enumeration of every way to end (or leave out) each task; the seniors' hours are
then a flow, which is tried with `scipy.optimize.linprog`, a general-purpose solver of another kind
of problem. Invented shops, no outside source.
"""

import random
from datetime import date, timedelta
from itertools import product

import pytest
from scipy.optimize import linprog

from training.cover.gaps import DayCover
from training.cover.plan import (
    Capacity,
    Ground,
    Line,
    Task,
    best_plan,
    closes,
    covered,
    needed_by,
    why_short,
)

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
            tasks.append(
                Task(
                    person,
                    "lower",
                    chance.choice((1.0, 3.0)),
                    chance.choice((0.0, 1.0, 2.0)),
                    chance.randint(1, 2),
                )
            )
        if not has_lower and chance.random() < 0.25:
            # there as soon as the earlier level is
            tasks.append(Task(person, "air", 0.0, 0.0, 0, ("lower",)))
        elif chance.random() < 0.8 and len(tasks) < 4:
            tasks.append(
                Task(
                    person,
                    "air",
                    chance.choice((1.0, 2.5)),
                    chance.choice((1.0, 2.0)),
                    chance.randint(1, 2),
                    () if has_lower else ("lower",),
                )
            )
    days = tuple(
        DayCover(
            "main",
            level,
            MONDAY + timedelta(days=day),
            chance.randint(1, 2),
            ("sol",) if chance.random() < 0.5 else (),
        )
        for day in range(0, 7 * weeks, chance.choice((1, 2, 3)))
        for level in LEVELS
    )
    away = {
        (person, MONDAY + timedelta(days=day))
        for person in people
        for day in range(7 * weeks)
        if chance.random() < 0.2
    }
    capacity = Capacity(
        own_hours={
            (person, week): chance.choice((0.5, 2.0, 4.0))
            for person in people
            for week in range(weeks)
        },
        senior_hours={
            (senior, week): chance.choice((0.5, 1.0, 3.0))
            for senior in ("sol", "uma")
            for week in range(weeks)
        },
        able={
            (level, week): frozenset(chance.sample(("sol", "uma"), chance.randint(0, 2)))
            for level in LEVELS
            for week in range(weeks)
        },
        at_once=chance.randint(1, 2),
    )
    return Ground(
        MONDAY,
        weeks,
        tuple(tasks),
        days,
        lambda person, _place, day: (person, day) not in away,
        capacity,
    )


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
            if (
                len(own) > ground.capacity.at_once
                or hours > ground.capacity.own_hours[person, week] + 1e-9
            ):
                return False
        if not seniors_suffice(ground, running, week):
            return False
    return True


def seniors_suffice(ground, running, week):
    able = [
        (line, senior)
        for line in running
        for senior in ground.capacity.able[line.task.level, week]
        if senior != line.task.person
    ]
    wants = [line for line in running if line.task.senior_hours]
    if not wants:
        return True
    if not able:
        return False
    equal = [[1.0 if pair[0] is line else 0.0 for pair in able] for line in wants]
    seniors = sorted({senior for _, senior in able})
    most = [[1.0 if pair[1] == senior else 0.0 for pair in able] for senior in seniors]
    found = linprog(
        [0.0] * len(able),
        A_eq=equal,
        b_eq=[line.task.senior_hours / line.task.weeks for line in wants],
        A_ub=most,
        b_ub=[ground.capacity.senior_hours[senior, week] for senior in seniors],
    )
    return found.status == 0


def by_trying(ground):
    """The fewest missing, then the fewest hours, of every possible way."""
    best = None
    for ends in product(*([None, *range(ground.weeks)] for _ in ground.tasks)):
        lines = [
            Line(task, end - task.weeks + 1, end)
            for task, end in zip(ground.tasks, ends, strict=True)
            if end is not None
        ]
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
        assert days == {
            (a.workshop, a.level, a.day)
            for a, b in zip(rest, plan.days, strict=True)
            if a.missing > b.missing
        }
        assert days, "a line that closes nothing costs hours for nothing"
        left = Ground(
            here.first,
            here.weeks,
            tuple(task for task in here.tasks if task.key != line.task.key),
            here.days,
            here.is_at_work,
            here.capacity,
        )
        assert best_plan(here, leave_out={line.task.key}).missing == by_trying(left)[0]


def test_nothing_to_close_needs_no_plan():
    here = ground(1)
    enough = Ground(
        here.first,
        here.weeks,
        here.tasks,
        (DayCover("main", "air", MONDAY, 1, ("sol",)),),
        here.is_at_work,
        here.capacity,
    )
    plan = best_plan(enough)
    assert plan.lines == ()
    assert plan.is_proven


def test_a_shop_without_tasks_or_days_has_a_plan_of_nothing():
    for tasks, days in (((), ()), ((), ground(1).days), (ground(1).tasks, ())):
        assert (
            best_plan(Ground(MONDAY, 2, tasks, days, lambda *_: True, ground(1).capacity)).lines
            == ()
        )


def test_the_earlier_of_two_plans_as_good_is_taken():
    task = Task("ana", "lower", 1.0, 0.0, 1)
    last = MONDAY + timedelta(days=20)
    capacity = Capacity({("ana", week): 5.0 for week in range(3)}, {}, {}, 1)
    plan = best_plan(
        Ground(
            MONDAY, 3, (task,), (DayCover("main", "lower", last, 1, ()),), lambda *_: True, capacity
        )
    )
    assert [(line.begins, line.ends) for line in plan.lines] == [(0, 0)]


# --- each bound by itself, worked by hand: without it the plan of the small shop would be another
# one

SUNDAY = MONDAY + timedelta(days=6)


def small(*tasks, weeks=1, own=99.0, seniors=None, able=None, at_once=9, last=None, away=()):
    """A shop in which one person is missing at each level on the day after the last week; `own`
    hours for everybody.
    """
    people = {task.person for task in tasks}
    last = last or MONDAY + timedelta(weeks=weeks)
    days = tuple(
        DayCover("main", level, last, 9, ())
        for level in dict.fromkeys(task.level for task in tasks)
    )
    capacity = Capacity(
        own_hours={(person, week): own for person in people for week in range(weeks)},
        senior_hours=seniors
        if seniors is not None
        else {("sol", week): 99.0 for week in range(weeks)},
        able=able
        if able is not None
        else {(task.level, week): frozenset({"sol"}) for task in tasks for week in range(weeks)},
        at_once=at_once,
    )
    return Ground(
        MONDAY, weeks, tasks, days, lambda person, _place, day: (person, day) not in away, capacity
    )


def done(ground):
    return [
        (line.task.person, line.task.level, line.begins, line.ends)
        for line in best_plan(ground).lines
    ]


def test_nobody_learns_more_levels_at_once_than_the_owner_says():
    three = [Task("ana", level, 1.0, 0.0, 1) for level in ("lower", "air", "damper")]
    for at_once, weeks, many in ((1, 1, 1), (2, 1, 2), (3, 1, 3), (1, 3, 3), (1, 2, 2)):
        assert len(done(small(*three, at_once=at_once, weeks=weeks))) == many, (at_once, weeks)


def test_levels_at_once_are_counted_for_each_person():
    assert (
        len(
            done(small(Task("ana", "air", 1.0, 0.0, 1), Task("kim", "air", 1.0, 0.0, 1), at_once=1))
        )
        == 2
    )


def test_nobody_learns_in_more_hours_than_there_are():
    assert done(small(Task("ana", "air", 3.0, 0.0, 1), own=3.0)) == [("ana", "air", 0, 0)]
    assert done(small(Task("ana", "air", 3.0, 0.0, 1), own=2.9)) == []
    # 6 hours over two weeks are 3 in each
    assert done(small(Task("ana", "air", 6.0, 0.0, 2), weeks=2, own=3.0)) == [("ana", "air", 0, 1)]
    assert done(small(Task("ana", "air", 6.0, 0.0, 2), weeks=2, own=2.9)) == []
    # two levels in one week share its hours
    assert (
        len(
            done(small(Task("ana", "air", 2.0, 0.0, 1), Task("ana", "lower", 2.0, 0.0, 1), own=3.0))
        )
        == 1
    )


def test_hours_that_are_not_told_are_none():
    here = small(Task("ana", "air", 1.0, 1.0, 1))
    for capacity in (
        Capacity({}, here.capacity.senior_hours, here.capacity.able, 1),
        Capacity(here.capacity.own_hours, {}, here.capacity.able, 1),
        Capacity(here.capacity.own_hours, here.capacity.senior_hours, {}, 1),
    ):
        assert done(Ground(MONDAY, 1, here.tasks, here.days, here.is_at_work, capacity)) == []


def test_a_seniors_hours_are_given_once():
    two = [Task("ana", "air", 1.0, 2.0, 1), Task("kim", "air", 1.0, 2.0, 1)]
    assert len(done(small(*two, seniors={("sol", 0): 4.0}))) == 2
    assert len(done(small(*two, seniors={("sol", 0): 3.9}))) == 1
    assert [
        ends for *_, ends in done(small(*two, weeks=2, seniors={("sol", 0): 2.0, ("sol", 1): 2.0}))
    ] == [0, 1]


def test_two_seniors_share_what_one_cannot_give():
    both = {("air", 0): frozenset({"sol", "uma"})}
    assert done(
        small(
            Task("ana", "air", 1.0, 4.0, 1), seniors={("sol", 0): 2.0, ("uma", 0): 2.0}, able=both
        )
    ) == [("ana", "air", 0, 0)]
    assert (
        done(
            small(
                Task("ana", "air", 1.0, 4.0, 1),
                seniors={("sol", 0): 2.0, ("uma", 0): 1.9},
                able=both,
            )
        )
        == []
    )


def test_only_a_senior_who_is_appointed_in_that_week_watches():
    able = {("air", 0): frozenset(), ("air", 1): frozenset({"sol"})}
    assert done(small(Task("ana", "air", 1.0, 1.0, 1), weeks=2, able=able)) == [
        ("ana", "air", 1, 1)
    ]
    assert done(small(Task("ana", "air", 1.0, 1.0, 1), weeks=2, able={})) == []


def test_nobody_watches_themselves():
    assert done(small(Task("sol", "air", 1.0, 1.0, 1))) == []
    # what takes no senior needs none
    assert done(small(Task("sol", "air", 1.0, 0.0, 1))) == [("sol", "air", 0, 0)]


def test_a_level_is_begun_in_the_week_after_the_one_before_it():
    pair = [Task("ana", "lower", 1.0, 0.0, 1), Task("ana", "air", 1.0, 0.0, 2, ("lower",))]
    assert done(small(*pair, weeks=3)) == [("ana", "lower", 0, 0), ("ana", "air", 1, 2)]
    assert done(small(pair[1], weeks=3)) == []  # nothing mends the level before it


def test_training_that_ends_on_sunday_counts_from_monday():
    task = Task("ana", "air", 1.0, 0.0, 1)
    assert done(small(task, last=SUNDAY)) == []
    assert done(small(task, last=SUNDAY + timedelta(days=1))) == [("ana", "air", 0, 0)]
    # not at work on the day that is short
    assert done(small(task, away={("ana", SUNDAY + timedelta(days=1))})) == []


def test_the_cheaper_of_two_people_is_trained():
    two = small(Task("ana", "air", 2.0, 0.0, 1), Task("kim", "air", 1.9, 0.0, 1))
    one_missing = Ground(
        MONDAY,
        1,
        two.tasks,
        (DayCover("main", "air", MONDAY + timedelta(days=7), 1, ()),),
        two.is_at_work,
        two.capacity,
    )
    assert done(one_missing) == [("kim", "air", 0, 0)]


def test_one_person_less_missing_is_worth_any_hours():
    assert done(small(Task("ana", "air", 90.0, 90.0, 1))) == [("ana", "air", 0, 0)]


def why(day, *tasks, there=(), wanted=1, at_work=5):
    here = small(*tasks, weeks=4)
    return why_short(
        here, DayCover("main", "air", MONDAY + timedelta(days=day), wanted, there), at_work
    )


def test_why_a_day_stays_short():
    one = Task("ana", "air", 1.0, 0.0, 1)
    assert why(7, one, at_work=0) == "people"
    assert (why(6, one), why(7, one)) == ("time", "hours")
    assert (why(7, one, wanted=2), why(7, one, wanted=2, there=("sol",))) == ("time", "hours")
    assert why(7, one, there=("ana",), wanted=2) == "time"  # there already: not one more


def test_why_counts_the_levels_before():
    chain = (Task("ana", "lower", 1.0, 0.0, 1), Task("ana", "air", 1.0, 0.0, 2, ("lower",)))
    assert (why(20, *chain), why(21, *chain)) == ("time", "hours")
    assert why(27, chain[1]) == "time"  # nothing mends the level before it
    at_once = (Task("ana", "lower", 1.0, 0.0, 1), Task("ana", "air", 0.0, 0.0, 0, ("lower",)))
    assert (why(6, *at_once), why(7, *at_once)) == ("time", "hours")
    two = (
        Task("ana", "lower", 1.0, 0.0, 1),
        Task("ana", "damper", 1.0, 0.0, 2),
        Task("ana", "air", 1.0, 0.0, 1, ("lower", "damper")),
    )
    assert (why(20, *two), why(21, *two)) == ("time", "hours")
    assert why(27, two[1], two[2]) == "time"
