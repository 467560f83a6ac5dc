"""Do the rules give what published rules give, where they have the same form?

Those rules bind other trades and are yardsticks only. Where a source is silent on the last day, the
choice is ours: the last day counts.
"""

from datetime import timedelta

import pytest

from tests.training.standing_shop import (
    appoint,
    ask,
    codes,
    day,
    days,
    job,
    level,
    named,
    noon,
    person,
    read,
    revision,
    sat,
    shop,
    sign,
    stand_down,
    void,
)


@pytest.mark.parametrize(("on", "expected"), [("2025-09-14", "alone"), ("2025-09-15", "no")])
def test_work_is_confirmed_every_six_months(on, expected):
    # ISO 9606-1, 9.2 (secondary account): confirmed 2025-03-14 and not again, lapsed after six
    # months, whatever the end of the certificate. The last day's counting is a choice.
    confirmed = shop(
        person("ana"),
        level(practice_jobs=1, practice_months=6, valid_months=36, pass_percent=80),
        sign("ana", "2024-03-01"),
        job("ana", "2025-03-14"),
    )
    assert ask(confirmed, on=on).standing == expected


def test_a_process_not_used_for_seven_months_lapses_alone():
    # ASME IX QW-322.1 (secondary account): each process by itself lapses when not used in six
    # months.
    rules = {"practice_jobs": 1, "practice_months": 6, "valid_months": 60}
    monthly = [job("ana", f"2026-{month:02}-10", lvl="weekly") for month in range(1, 12)]
    used = shop(
        person("ana"),
        level("weekly", **rules),
        level("seldom", **rules),
        sign("ana", "2025-01-01", lvl="weekly"),
        sign("ana", "2025-01-01", lvl="seldom"),
        monthly,
        job("ana", "2026-04-20", lvl="seldom"),
    )
    assert ask(used, lvl="weekly").standing == "alone"
    assert codes(ask(used, lvl="seldom"))[:1] == ["out-of-practice"]


@pytest.mark.parametrize(
    ("on", "lost"), [("2025-06-30", 0), ("2025-07-01", 0), ("2025-07-02", 1), ("2025-07-11", 10)]
)
def test_a_window_of_recent_work_falls_off_day_by_day(on, lost):
    # 145.A.35(c), any consecutive two-year period: work on each day of 2023-07-01 to 2023-12-31
    # counts fully until 2025-07-01, then falls off day by day (day count: choice).
    worked = [job("ana", days("2023-07-01", number)) for number in range(184)]
    assert worked[-1].on == day("2023-12-31")
    asks = {"practice_months": 24, "valid_months": 60}
    enough, one_more = (
        shop(
            person("ana"),
            level(practice_jobs=184 - lost + more, **asks),
            sign("ana", "2022-07-01"),
            worked,
        )
        for more in (0, 1)
    )
    assert ask(enough, on=on).standing == "alone"
    assert codes(ask(one_more, on=on)) == ["out-of-practice"]


def test_evaluation_every_three_years_is_not_moved_by_training():
    # 29 CFR 1910.178(l)(4)(iii): evaluated 2023-06-10, due 2026-06-10; training on 2025-01-05
    # doesn't move it.
    evaluated = shop(
        person("ana"),
        level(valid_months=36, pass_percent=80),
        sign("ana", "2023-06-10"),
        sat("ana", "2025-01-05"),
    )
    assert ask(evaluated, on="2026-06-10").standing == "alone"
    late = ask(evaluated, on="2026-06-11")
    assert (late.standing, codes(late)) == ("watched", ["sign-off-ended"])
    assert ask(evaluated, on="2025-02-01").lapses_on == day("2026-06-11")


def test_after_three_years_work_done_does_not_stand_in_for_the_test():
    # ISO 9606-1, 9.3 a (secondary account): three years elapsed, a test is needed, production does
    # not help.
    working = shop(
        person("ana"),
        level(valid_months=36, practice_jobs=1, practice_months=6),
        sign("ana", "2023-06-10"),
        job("ana", "2026-06-01"),
    )
    assert codes(ask(working, on="2026-06-11")) == ["sign-off-ended"]


def test_an_event_acts_at_once_though_the_date_is_far_off():
    # 29 CFR 1910.178(l)(4)(ii): after a near miss, refresher and evaluation are owed at once.
    near_miss = shop(
        person("ana"),
        level(valid_months=36),
        sign("ana", "2026-01-05"),
        stand_down("ana", "2026-02-03"),
    )
    assert ask(near_miss, on="2026-02-02").standing == "alone"
    assert codes(ask(near_miss, on="2026-02-03")) == ["stood-down"]


def test_a_task_not_done_for_over_a_year_is_owed_a_review():
    # NFPA 70E 110.2(A)(3)(3): last done 13 months ago, owed even inside three years.
    rules = level(valid_months=36, practice_jobs=1, practice_months=12)
    last_done = job("ana", "2025-06-01")
    assert codes(
        ask(shop(person("ana"), rules, sign("ana", "2025-01-05"), last_done), on="2026-07-01")
    ) == ["out-of-practice"]


def test_whoever_is_not_trained_on_a_changed_procedure_is_refused_from_its_effective_day():
    # 29 CFR 1910.119(l)(3), 1910.147(c)(7)(iii): trained before the change takes effect, else
    # refused. Here the change takes effect when the days of grace after the release are over.
    changed = [
        person("ana"),
        level(writeups=("sheet",), grace_days=14),
        sign("ana", "2026-01-05"),
        revision(1, "2025-01-01"),
        revision(2, "2026-03-10", "read again"),
    ]
    assert ask(shop(*changed), on="2026-03-24").standing == "alone"
    assert codes(ask(shop(*changed), on="2026-03-25"))[:1] == ["change-not-read"]
    assert ask(shop(*changed, read("ana", 2, "2026-03-24")), on="2026-03-25").standing == "alone"


def test_nobody_signs_for_their_own_work():
    # 14 CFR 121.371(c): nobody inspects what they did themselves.
    own = shop(
        person("ana"),
        level(),
        appoint("ana"),
        sign("ana", "2026-01-05"),
        sign("ana", "2026-02-05", "ana"),
    )
    voided = void("signoff", "ana", "air", "2026-01-05", noon("2026-01-06"))
    found = named(ask(own, on="2026-03-01").evidence)
    assert found == ("first sign-off of 5 Jan 2026 by the owner, owner",)
    only_own = shop(own.people, own.levels, own.appointments, own.signoffs, voided)
    assert codes(ask(only_own, on="2026-03-01")) == ["signer-not-entitled"]


def test_a_signer_never_signed_off_may_not_sign_others_off():
    # 14 CFR 65.81(a): may not approve work not earlier done satisfactorily.
    rows = [person("ana"), person("sol"), level(), appoint("sol"), sign("ana", "2026-02-05", "sol")]
    assert codes(ask(shop(rows), on="2026-03-01")) == ["signer-not-entitled"]
    assert ask(shop(rows, sign("sol", "2026-01-05")), on="2026-03-01").standing == "alone"


def test_a_void_stands_and_saying_it_twice_changes_nothing():
    # xAPI part 2, 2.3.2: a voided statement stays voided; there is no voiding of a void.
    rows = [person("ana"), level(), sign("ana", "2026-01-05")]
    once = void("signoff", "ana", "air", "2026-01-05", noon("2026-02-01"))
    twice = void("signoff", "ana", "air", "2026-01-05", noon("2026-02-02"))
    assert ask(shop(rows), on="2026-03-01").standing == "alone"
    first, second = (
        ask(shop(rows, once), on="2026-03-01"),
        ask(shop(rows, once, twice), on="2026-03-01"),
    )
    assert codes(first) == ["no-sign-off"]
    assert first == second
    afresh = sign("ana", "2026-01-05", recorded=noon("2026-02-02") + timedelta(minutes=1))
    assert ask(shop(rows, once, twice, afresh), on="2026-03-01").standing == "alone"


@pytest.mark.parametrize(
    ("first", "expected"), [("2025-03-01", ["out-of-practice"]), ("2025-05-01", [])]
)
def test_two_tested_jobs_in_the_last_six_months_renew_and_one_does_not(first, expected):
    # ISO 9606-1, 9.3 b (secondary account): revalidated 2023-10-01 for two years; the jobs of
    # 2025-05-01 and 2025-08-20 lie in the last six months before 2025-10-01, that of 2025-03-01
    # does not.
    rules = level(valid_months=24, practice_jobs=2, practice_months=6)
    tested = shop(
        person("ana"), rules, sign("ana", "2023-10-01"), job("ana", first), job("ana", "2025-08-20")
    )
    assert codes(ask(tested, on="2025-10-01")) == expected


@pytest.mark.parametrize(("worked", "expected"), [(99, ["out-of-practice"]), (100, [])])
def test_a_hundred_days_of_work_in_two_years_keep_a_privilege(worked, expected):
    # 66.A.20(b)2 and its AMC: six months of relevant work in the last 24, shown by 100 logged days.
    rules = level(valid_months=60, practice_jobs=100, practice_months=24)
    logged = shop(
        person("ana"),
        rules,
        sign("ana", "2022-07-01"),
        [job("ana", days("2025-01-02", n)) for n in range(worked)],
    )
    assert codes(ask(logged, on="2026-06-30")) == expected


def test_three_years_from_a_leap_day_end_on_the_last_of_february():
    # Common practice, no source; the choice is ours: the month has no 29th, so its last day it is.
    signed = shop(person("ana"), level(valid_months=36), sign("ana", "2024-02-29"))
    assert ask(signed, on="2027-02-28").standing == "alone"
    assert codes(ask(signed, on="2027-03-01")) == ["sign-off-ended"]


@pytest.mark.parametrize(
    ("done", "expected"),
    [
        ([("prong", 11)], True),  # 11 of 20 tasks, but none from one paragraph: not complete
        ([("prong", 9), ("eyelet", 1)], False),  # 10 of 20 with every paragraph touched: complete
    ],
)
def test_practice_counts_only_when_every_part_of_it_was_touched(done, expected):
    # AMC to Part-66, appendix III, section 6: at least half of the tasks, and some from every
    # paragraph. A paragraph is here an option of the fork.
    asks = level(writeups=("sheet",), watched_jobs=10, watched_per_option=True)
    jobs = [
        job("ana", days("2026-01-02", n), watched_by="sol", ring=ring)
        for ring, number in done
        for n in range(number)
    ]
    options = {"sheet": (("ring", ("prong", "eyelet")),)}
    of = shop(person("ana"), person("sol"), asks, jobs, options=options)
    assert ("too-few-watched-jobs" in codes(ask(of, on="2026-03-01"))) is expected


def test_only_what_the_scope_names_may_be_done():
    # AMC 21.A.145(d)(3), 145.A.35(h): the authorisation makes its scope clear; each process stands
    # by itself.
    limited = shop(person("ana"), level(), sign("ana", "2026-01-05", ring="prong"))
    assert ask(limited, on="2026-03-01", ring="prong").standing == "alone"
    assert codes(ask(limited, on="2026-03-01", ring="eyelet")) == ["variant-not-covered"]
    assert codes(ask(limited, on="2026-03-01")) == ["variant-not-covered"]
