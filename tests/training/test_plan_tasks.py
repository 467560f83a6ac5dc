"""Does the plan know what somebody still needs, in hours and weeks, and whose hours there are?

Worked by hand from what the page of the plan tells: half an hour for a write-up, a quarter for a
quiz and for a signature, two hours for a watched job of which a senior watches one, an hour of both
for an observation; two watched jobs come by in a week. Invented shops, no outside source.
"""

from dataclasses import replace
from datetime import timedelta

import pytest

from tests.training.standing_shop import (
    appoint,
    days,
    job,
    level,
    noon,
    person,
    read,
    revision,
    sat,
    seen,
    shop,
    sign,
    stand_down,
    with_rows,
)
from training.cover.plan import Capacity, Ground, Line, Task
from training.cover.release import Standings
from training.cover.rota import Away, Rota, Shift
from training.cover.tasks import as_if_done, capacity_of, tasks_of
from training.standing.entitlement import Asking

MONDAY = days("2026-11-30", 0)
LAST = days(MONDAY, 27)
AIR = level(writeups=("sheet",), pass_percent=75, watched_jobs=3, observations=2)
SENIORS = [replace(person(name), trade="senior") for name in ("sol", "uma", "tom")]
BASE = shop(
    person("ana"),
    SENIORS,
    AIR,
    revision(1, "2026-01-01"),
    sign("sol", "2026-01-05"),
    appoint("sol"),
)
STUDIED = (read("ana", 1, "2026-11-02"), sat("ana", "2026-11-03"))
WORKDAYS = frozenset(range(5))


def asking(*rows, base=BASE):
    return Asking(with_rows(base, *rows), noon("2026-11-27"))


def tasks(*rows, base=BASE, who="ana", levels=("air",)):
    return tasks_of(asking(*rows, base=base), [who], levels, MONDAY, LAST)


def test_all_that_a_level_asks():
    # 0.5 + 0.25 + 3 × 2 + 2 × 1 + 0.25; of a senior 3 × 1 + 2 × 1 + 0.25; three jobs take two
    # weeks, and one for the rest
    assert tasks() == (Task("ana", "air", 9.0, 5.25, 3),)


def test_what_is_done_is_not_asked_again():
    done = (*STUDIED, job("ana", "2026-11-04", watched_by="sol"), seen("ana", "2026-11-05"))
    assert tasks(*done) == (Task("ana", "air", 5.25, 3.25, 2),)


def test_more_than_enough_owes_nothing_back():
    jobs = [job("ana", days("2026-10-01", number), watched_by="sol") for number in range(5)]
    views = [seen("ana", days("2026-10-10", number)) for number in range(4)]
    assert tasks(*STUDIED, *jobs, *views) == (Task("ana", "air", 0.25, 0.25, 1),)


def test_a_second_observer_is_an_observation_more():
    two = with_rows(
        shop(
            person("ana"),
            SENIORS,
            replace(AIR, watched_jobs=0, observations=1, observers=2),
            revision(1, "2026-01-01"),
        ),
        *STUDIED,
    )
    assert tasks(seen("ana", "2026-11-05"), base=two) == (Task("ana", "air", 1.25, 1.25, 1),)


def test_each_option_wants_a_watched_job():
    each = shop(
        person("ana"),
        SENIORS,
        replace(AIR, watched_jobs=1, watched_per_option=True, observations=0),
        revision(1, "2026-01-01"),
        options={"air": (("ring", ("eyelet", "prong")),)},
    )
    assert tasks(*STUDIED, base=each) == (Task("ana", "air", 4.25, 2.25, 2),)
    assert tasks(*STUDIED, job("ana", "2026-11-04", watched_by="sol", ring="prong"), base=each) == (
        Task("ana", "air", 2.25, 1.25, 2),
    )


def test_a_renewal_is_one_observation_and_a_signature():
    # signed off on 10 Dec 2024 for 24 months: the last good day lies within the four weeks
    assert tasks(*STUDIED, sign("ana", "2024-12-10")) == (Task("ana", "air", 1.25, 1.25, 1),)


def test_who_is_alone_to_the_end_needs_nothing():
    assert tasks(*STUDIED, sign("ana", "2026-01-10")) == ()


def test_the_last_day_counts():
    """24 months from 27 Dec 2024 end on 27 Dec 2026, the last of the four weeks; a day earlier is
    too short.
    """
    assert days(LAST, 0).isoformat() == "2026-12-27"
    assert tasks(*STUDIED, sign("ana", "2024-12-27")) == ()
    assert len(tasks(*STUDIED, sign("ana", "2024-12-26"))) == 1


@pytest.mark.parametrize(
    "closed",
    [stand_down("ana", "2026-11-20"), stand_down("ana", "2026-12-10", recorded=noon("2026-11-20"))],
)
def test_training_mends_no_stand_down(closed):
    assert tasks(closed) == ()


def test_nobody_is_trained_who_leaves():
    leaving = shop(person("ana", left="2026-12-10"), SENIORS, AIR, revision(1, "2026-01-01"))
    assert tasks(base=leaving) == ()


DAMPER = level("damper", earlier=("air",), pass_percent=75)


def test_an_earlier_level_comes_first_and_is_named():
    both = shop(person("ana"), SENIORS, AIR, DAMPER, revision(1, "2026-01-01"))
    assert [(task.level, task.after) for task in tasks(base=both, levels=("damper",))] == [
        ("air", ()),
        ("damper", ("air",)),
    ]
    held = with_rows(both, *STUDIED, sign("ana", "2026-01-10"))
    assert [(task.level, task.after) for task in tasks(base=held, levels=("damper",))] == [
        ("damper", ())
    ]


def test_what_only_waits_takes_no_hours():
    both = shop(person("ana"), SENIORS, AIR, DAMPER, revision(1, "2026-01-01"))
    waiting = with_rows(
        both,
        *STUDIED,
        sat("ana", "2026-11-04", lvl="damper"),
        sign("ana", "2024-12-10"),
        sign("ana", "2026-01-10", lvl="damper"),
    )
    assert tasks(base=waiting, levels=("damper",)) == (
        Task("ana", "air", 1.25, 1.25, 1),
        Task("ana", "damper", 0.0, 0.0, 0, ("air",)),
    )


def test_a_level_without_rules_yet_is_left_out():
    assert tasks(levels=("air", "nowhere")) == tasks()


# --- whose hours there are


def capacity(*rows, away=(), weeks=2, shifts=()):
    rota = Rota(
        [Shift(who, "main", WORKDAYS) for who in ("ana", "sol", "uma", "tom")] + list(shifts), away
    )
    return capacity_of(
        asking(*rows), rota, ("air",), MONDAY, weeks, own_a_day=2.0, senior_a_day=0.5, at_once=3
    )


def test_hours_are_those_of_the_days_at_work():
    found = capacity(
        away=[Away("sol", days(MONDAY, 8), days(MONDAY, 9)), Away("ana", MONDAY, days(MONDAY, 6))]
    )
    assert {week: found.own_hours["ana", week] for week in (0, 1)} == {0: 0.0, 1: 10.0}
    assert {week: found.senior_hours["sol", week] for week in (0, 1)} == {0: 2.5, 1: 1.5}
    assert ("ana", 0) not in found.senior_hours
    assert found.at_once == 3


def test_a_day_in_two_workshops_is_one_day():
    assert capacity(shifts=[Shift("ana", "branch", WORKDAYS)]).own_hours["ana", 0] == 10.0


def test_only_who_is_appointed_and_alone_may_watch():
    # uma is alone and not appointed, tom appointed and not alone
    found = capacity(sign("uma", "2026-01-05"), appoint("tom"))
    assert found.able == {("air", 0): {"sol"}, ("air", 1): {"sol"}}
    assert capacity(sign("uma", "2026-01-05"), appoint("uma")).able["air", 0] == {"sol", "uma"}


def test_an_appointment_holds_to_the_end_of_the_week_or_not_at_all():
    alone = sign("uma", "2026-01-05")
    for until, weeks in ((6, {0}), (5, set()), (13, {0, 1}), (12, {0})):
        found = capacity(alone, appoint("uma", until=days(MONDAY, until)))
        assert {week for week in (0, 1) if "uma" in found.able["air", week]} == weeks, until


def test_who_falls_in_the_middle_of_a_week_does_not_watch_in_it():
    # a stand-down from Wednesday of the second week on
    found = capacity(
        sign("uma", "2026-01-05"),
        appoint("uma"),
        stand_down("uma", days(MONDAY, 9), recorded=noon("2026-11-20")),
    )
    assert ["uma" in found.able["air", week] for week in (0, 1)] == [True, False]


def test_a_mechanic_never_watches():
    assert "ana" not in capacity(sign("ana", "2026-01-05"), appoint("ana")).able["air", 0]


# --- what would stand if the plan were carried out


def test_the_standing_follows_from_the_first_day_after_the_last_week():
    task = Task("ana", "air", 9.0, 5.25, 3)
    asked = asking()
    ground = Ground(
        MONDAY,
        4,
        (task,),
        (),
        lambda *_: True,
        Capacity({}, {}, {("air", 2): frozenset({"sol"})}, 1),
    )
    done = Standings(
        Asking(as_if_done(asked.shop, ground, [Line(task, 0, 2)], asked), noon("2026-11-27")),
        MONDAY,
        LAST,
    )
    assert ground.holds_from(2) == days(MONDAY, 21)
    # everything is on record at the end of Sunday, the last day of the third week
    assert not done.is_alone("ana", "air", days(MONDAY, 19))
    assert done.is_alone("ana", "air", days(MONDAY, 21))


def test_nobody_signs_for_themselves_in_a_plan_either():
    task = Task("sol", "air", 1.25, 1.25, 1)
    ground = Ground(
        MONDAY,
        4,
        (task,),
        (),
        lambda *_: True,
        Capacity({}, {}, {("air", 0): frozenset({"sol", "uma"})}, 1),
    )
    done = as_if_done(BASE, ground, [Line(task, 0, 0)], asking())
    assert done.signoffs[-1].signer == done.observations[-1].observer == "uma"
    assert done.signoffs[-1].on == MONDAY + timedelta(days=6)
    assert done.observations[-1].right
    assert [(row.person, row.writeup, row.revision, row.on) for row in done.readings] == [
        ("sol", "sheet", 1, MONDAY + timedelta(days=6))
    ]
    assert [
        (row.person, row.level, row.on, row.percent, row.critical_right) for row in done.passings
    ] == [("sol", "air", MONDAY + timedelta(days=6), 100, True)]
    assert not done.signoffs[-1].founding  # a founding one would count whoever signed


def test_what_follows_by_itself_writes_nothing():
    task = Task("ana", "damper", 0.0, 0.0, 0, ("air",))
    ground = Ground(MONDAY, 4, (task,), (), lambda *_: True, Capacity({}, {}, {}, 1))
    done = as_if_done(BASE, ground, [Line(task, 1, 0)], asking())
    assert (done.readings, done.passings, done.observations, done.signoffs) == (
        BASE.readings,
        BASE.passings,
        BASE.observations,
        BASE.signoffs,
    )


def test_a_day_in_either_workshop_counts():
    saturday = Shift("ana", "branch", frozenset({5}))
    assert capacity(shifts=[saturday]).own_hours["ana", 0] == 12.0
