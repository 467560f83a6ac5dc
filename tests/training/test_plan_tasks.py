"""Does the plan know what somebody still needs, in hours and weeks, and whose hours there are?

Worked by hand from what the page of the plan tells: half an hour for a write-up, a quarter for a
quiz and for a signature, two hours for a watched job of which a senior watches one, an hour of both
for an observation; two watched jobs come by in a week. Invented shops, no outside source.
"""

from dataclasses import replace
from datetime import date

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
from training.cover.options import PlanSpan, ground_of
from training.cover.plan import Hours, Task
from training.cover.programme import best_plan
from training.cover.promise import plan_with_promise, shop_with_done
from training.cover.release import Standings
from training.cover.rota import Away, Rota, Shift
from training.cover.tasks import tasks_of
from training.standing.answer import hindrances_of_signer, reasons_against_signing
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


def hours(*rows, **more):
    """Level, own hours, seniors' hours and weeks of each."""
    return [(one.level, one.hours, one.senior_hours, one.weeks) for one in tasks(*rows, **more)]


def test_all_that_a_level_asks():
    # 0.5 + 0.25 + 3 × 2 + 2 × 1 + 0.25; of a senior 3 × 1 + 2 × 1 + 0.25; three jobs take two
    # weeks, and one for the rest
    assert tasks() == (Task("ana", "air", 9.0, 5.25, 3, jobs=3, seen=2),)


def test_what_is_done_is_not_asked_again():
    done = (*STUDIED, job("ana", "2026-11-04", watched_by="sol"), seen("ana", "2026-11-05"))
    (found,) = tasks(*done)
    assert (found.hours, found.senior_hours, found.weeks) == (5.25, 3.25, 2)
    assert (found.jobs, found.seen, found.seen_by) == (2, 1, {"sol"})


def test_more_than_enough_owes_nothing_back():
    jobs = [job("ana", days("2026-10-01", number), watched_by="sol") for number in range(5)]
    views = [seen("ana", days("2026-10-10", number)) for number in range(4)]
    assert hours(*STUDIED, *jobs, *views) == [("air", 0.25, 0.25, 1)]


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
    (found,) = tasks(seen("ana", "2026-11-05"), base=two)
    assert (found.hours, found.senior_hours, found.weeks) == (1.25, 1.25, 1)
    assert (found.observers, found.seen_by) == (1, {"sol"})


def test_each_option_wants_a_watched_job():
    each = shop(
        person("ana"),
        SENIORS,
        replace(AIR, watched_jobs=1, watched_per_option=True, observations=0),
        revision(1, "2026-01-01"),
        options={"sheet": (("ring", ("eyelet", "prong")),)},
    )
    assert hours(*STUDIED, base=each) == [("air", 4.25, 2.25, 2)]
    with_prong = job("ana", "2026-11-04", watched_by="sol", ring="prong")
    assert hours(*STUDIED, with_prong, base=each) == [("air", 2.25, 1.25, 2)]
    assert tasks(*STUDIED, with_prong, base=each)[0].lacking == (("ring", "eyelet"),)


def test_a_renewal_is_one_observation_and_a_signature():
    # signed off on 10 Dec 2024 for 24 months: the last good day lies within the four weeks
    assert tasks(*READY, sign("ana", "2024-12-10")) == (
        Task("ana", "air", 1.25, 1.25, 1, "renew", seen=1),
    )


def test_a_renewal_takes_what_a_signature_asks_and_paper_does_not_show():
    """Signed off on paper, with no watched job and no observation here: nobody could sign."""
    (found,) = tasks(*STUDIED, sign("ana", "2024-12-10"))
    assert (found.hours, found.senior_hours, found.weeks) == (8.25, 5.25, 3)  # 3 × 2 + 2 + 0.25
    assert (found.jobs, found.seen, found.is_renewal) == (3, 2, True)
    jobs = [job("ana", days("2026-10-01", number), watched_by="sol") for number in range(2)]
    views = [seen("ana", days("2026-10-10", number)) for number in range(2)]
    (less,) = tasks(*STUDIED, *jobs, *views, sign("ana", "2024-12-10"))
    # what was seen before a first sign-off is no look at a renewal
    assert (less.hours, less.senior_hours, less.jobs, less.seen) == (3.25, 2.25, 1, 1)


def test_what_a_renewal_leaves_on_record_can_be_signed():
    paper = (*STUDIED, sign("ana", "2024-12-10"))
    asked, here = asking(*paper), ground(*paper, weeks=4)
    line = next(one for one in best_plan(here).lines if one.key == ("ana", "air"))
    done = shop_with_done(asked, here, [line])
    at, signed_on = asked.known.at, line.option.signed_on
    assert reasons_against_signing(done, "ana", "air", signed_on, at) == ()


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


def test_an_earlier_level_comes_first():
    both = shop(person("ana"), SENIORS, AIR, DAMPER, revision(1, "2026-01-01"))
    assert [task.level for task in tasks(base=both, levels=("damper",))] == ["air", "damper"]
    held = with_rows(both, *STUDIED, sign("ana", "2026-01-10"))
    assert [task.level for task in tasks(base=held, levels=("damper",))] == ["damper"]


def test_what_only_waits_for_an_earlier_level_needs_nothing_itself():
    both = shop(person("ana"), SENIORS, AIR, DAMPER, revision(1, "2026-01-01"))
    waiting = with_rows(
        both,
        *READY,
        sat("ana", "2026-11-04", lvl="damper"),
        sign("ana", "2024-12-10"),
        sign("ana", "2026-01-10", lvl="damper"),
    )
    assert hours(base=waiting, levels=("damper",)) == [("air", 1.25, 1.25, 1)]


def test_a_level_without_rules_yet_is_left_out():
    assert tasks(levels=("air", "nowhere")) == tasks()


# --- in which ways it can be done


WANTED = {("main", "air"): (4,) * 7}


def ground(*rows, away=(), weeks=3, shifts=(), works=WORKDAYS, base=BASE, who="ana", hours=(2, 1)):
    """A ground of some weeks from MONDAY; ana and the seniors work from Monday to Friday."""
    names = ("ana", "sol", "uma", "tom")
    rota = Rota([Shift(name, "main", works) for name in names] + list(shifts), away)
    span = PlanSpan(MONDAY, MONDAY, weeks)
    return ground_of(asking(*rows, base=base), rota, WANTED, span, Hours(*hours, 1))


READY = (
    *STUDIED,
    *(job("ana", days("2026-10-01", number), watched_by="sol") for number in range(3)),
    *(seen("ana", days("2026-10-10", number)) for number in range(2)),
)


def ways(*rows, **more):
    """(last week, signer, day of signing) of each option of ana's."""
    found = ground(*READY, *rows, **more).options
    return [(one.ends, one.signer, one.signed_on) for one in found if one.task.person == "ana"]


def test_the_signature_falls_on_the_last_day_of_the_week_on_which_both_are_at_work():
    assert ways() == [(0, "sol", days(MONDAY, 4)), (1, "sol", days(MONDAY, 11))]
    gone = [Away("sol", days(MONDAY, 3), days(MONDAY, 5)), Away("ana", days(MONDAY, 2), MONDAY)]
    assert ways(away=gone)[0] == (0, "sol", days(MONDAY, 2))
    apart = [Away("sol", MONDAY, days(MONDAY, 2)), Away("ana", days(MONDAY, 3), days(MONDAY, 4))]
    assert ways(away=apart) == [(1, "sol", days(MONDAY, 11))]


def test_a_day_at_work_in_two_workshops_is_no_day_in_common():
    moved = [Shift("ana", "branch", frozenset(range(5))), Shift("sol", "main", WORKDAYS)]
    names = Rota(moved, ())
    assert not names.meet("ana", "sol", MONDAY)
    both = Rota([*moved, Shift("sol", "branch", frozenset({1}))], ())
    assert [both.meet("ana", "sol", days(MONDAY, day)) for day in range(3)] == [False, True, False]
    assert not both.meet("sol", "sol", days(MONDAY, 1))


def test_only_who_is_appointed_and_alone_may_sign():
    # uma is alone and not appointed, tom appointed and not alone; in five weeks he may become it
    rows = (sign("uma", "2026-01-05"), appoint("tom"))
    assert {signer for _, signer, _ in ways(*rows)} == {"sol"}
    assert {signer for _, signer, _ in ways(*rows, weeks=5)} == {"sol", "tom"}
    assert {signer for _, signer, _ in ways(sign("uma", "2026-01-05"), appoint("uma"))} == {
        "sol",
        "uma",
    }


def test_an_appointment_holds_to_the_end_of_the_week_or_not_at_all():
    alone = sign("uma", "2026-01-05")
    for until, weeks in ((6, {0}), (5, set()), (13, {0, 1}), (12, {0})):
        found = ways(alone, appoint("uma", until=days(MONDAY, until)))
        assert {week for week, signer, _ in found if signer == "uma"} == weeks, until


def test_who_falls_in_the_middle_of_a_week_does_not_sign_in_it():
    # a stand-down from Wednesday of the second week on
    down = stand_down("uma", days(MONDAY, 9), recorded=noon("2026-11-20"))
    found = ways(sign("uma", "2026-01-05"), appoint("uma"), down)
    assert [on for _, signer, on in found if signer == "uma"] == [days(MONDAY, 4)]


def test_a_mechanic_never_signs_and_an_owner_is_never_trained():
    there = [Shift(who, "main", WORKDAYS) for who in ("kim", "olaf")]
    more = [person("kim"), replace(person("olaf"), trade="owner"), person("zoe")]
    kim = with_rows(BASE, sign("kim", "2026-01-05"), appoint("kim"), *more)
    found = ground(*READY, base=kim, shifts=there)
    assert {one.signer for one in found.options} == {"sol"}
    assert "kim" in found.people
    assert not {"olaf", "zoe"} & set(found.people)  # zoe is on no rota
    assert not {"olaf", "zoe"} & {one.task.person for one in found.options}


def test_what_is_signed_counts_from_the_day_after_the_week_until_it_runs_out():
    month = replace(AIR, valid_months=1)
    short = shop(
        person("ana"),
        SENIORS,
        month,
        revision(1, "2026-01-01"),
        sign("sol", "2026-11-20"),
        appoint("sol"),
    )
    first = ground(*READY, weeks=6, base=short).options[0]
    # signed on Friday 4 December, good until 4 January
    assert (min(first.holds), max(first.holds)) == (days(MONDAY, 7), date(2027, 1, 4))


def test_a_training_that_runs_out_in_the_span_can_be_renewed():
    month = replace(AIR, valid_months=1)
    short = shop(
        person("ana"),
        SENIORS,
        month,
        revision(1, "2026-01-01"),
        sign("sol", "2026-11-27"),
        appoint("sol"),
    )
    kinds = {one.task.kind for one in ground(*READY, weeks=8, base=short).options}
    assert kinds == {"train", "renew"}
    assert {one.task.kind for one in ground(*READY, weeks=8).options} == {"train"}


def test_a_pass_that_runs_out_before_the_signature_is_sat_again():
    month = replace(AIR, valid_months=1)  # the pass of 3 November is good until 3 December
    short = shop(
        person("ana"),
        SENIORS,
        month,
        revision(1, "2026-01-01"),
        sign("sol", "2026-11-20"),
        appoint("sol"),
    )
    found = {one.ends: one.hours for one in ground(*READY, base=short).options}
    assert found == {0: 0.5, 1: 0.5}  # signed on the 4th: a quarter for the quiz, one to sign
    early = ground(*READY, base=short, works=frozenset({0, 1, 2, 3})).options
    assert {one.ends: one.hours for one in early} == {0: 0.25, 1: 0.5}  # signed on the 3rd


def test_who_starts_in_the_span_can_be_trained_from_the_first_day():
    starts = days(MONDAY, 8)
    later = shop(
        person("ana", started=starts),
        SENIORS,
        AIR,
        revision(1, "2026-01-01"),
        sign("sol", "2026-01-05"),
        appoint("sol"),
    )
    here = ground(*READY, base=later, weeks=4)
    assert min(here.learns["ana", "air"]) == starts
    assert [one.ends for one in here.options if one.task.person == "ana"] == [1, 2]
    assert not here.is_at_work("ana", "main", days(MONDAY, 7))
    assert not here.meet("ana", "sol", days(MONDAY, 7))


def test_who_leaves_in_the_span_counts_until_the_last_day():
    leaves = days(MONDAY, 9)
    soon = shop(
        person("ana", left=leaves),
        SENIORS,
        AIR,
        revision(1, "2026-01-01"),
        sign("sol", "2026-01-05"),
        appoint("sol"),
    )
    (only,) = [one for one in ground(*READY, base=soon, weeks=4).options if one.ends == 0]
    assert max(only.holds) == leaves


# --- what would stand if the plan were carried out


def test_what_a_line_leaves_on_record_is_all_that_is_asked_before_a_signature():
    asked = asking()
    here = ground(weeks=4)
    plan = best_plan(replace(here, tasks=here.tasks[:1], options=here.options[:1]))
    (line,) = plan.lines
    done = shop_with_done(asked, here, [line])
    signed_on = line.option.signed_on
    assert line.option.ends == 2
    assert signed_on == days(MONDAY, 18)
    at = asked.known.at
    assert reasons_against_signing(done, "ana", "air", signed_on, at) == ()
    assert hindrances_of_signer(done, line.seniors[0], "ana", "air", (), signed_on, at) == ()
    # on the days of its last week readings and quiz, in its weeks the rest
    assert [row.on for row in done.readings] == [days(MONDAY, 14)]
    assert [(row.on, row.percent, row.critical_right) for row in done.passings] == [
        (days(MONDAY, 14), 100, True)
    ]
    assert [(row.on, row.watched_by) for row in done.jobs] == [(MONDAY, "sol")] * 3
    assert [row.observer for row in done.observations if row.person == "ana"] == ["sol"] * 2
    assert not done.signoffs[-1].founding  # a founding one would count whoever signed
    held = Standings(Asking(done, at), MONDAY, LAST)
    assert not held.is_alone("ana", "air", days(MONDAY, 17))
    assert held.is_alone("ana", "air", days(MONDAY, 18))


def test_different_observers_are_told_apart_on_paper():
    two = replace(AIR, watched_jobs=0, observations=2, observers=2)
    eyes = shop(
        person("ana"),
        SENIORS,
        two,
        revision(1, "2026-01-01"),
        [sign(who, "2026-01-05") for who in ("sol", "uma")],
        appoint("sol"),
    )
    asked = asking(base=eyes)
    here = ground(base=eyes)
    line = next(one for one in best_plan(here).lines if one.key == ("ana", "air"))
    done = shop_with_done(asked, here, [line])
    assert {row.observer for row in done.observations} == {"sol", "uma"}
    signed_on = line.option.signed_on
    assert reasons_against_signing(done, "ana", "air", signed_on, asked.known.at) == ()


def test_what_the_standing_does_not_give_is_cut_from_the_promise_and_told():
    """A plan that says too much: its line is signed by somebody who may not."""
    asked, here = asking(*READY), ground(*READY)
    plan = best_plan(here)
    assert plan.missing < sum(day.missing for day in here.days)
    assert plan_with_promise(asked, here, plan) == plan
    wrong = [replace(line, option=replace(line.option, signer="uma")) for line in plan.lines]
    cut = plan_with_promise(asked, here, replace(plan, lines=tuple(wrong)))
    assert cut.days == here.days
    assert cut.cut == sum(day.missing for day in here.days) - plan.missing
    assert not cut.is_proven
