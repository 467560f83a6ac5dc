"""On which day does a standing fall by itself, and which of a person's sign-offs is then told?

Expectations follow from the shop's own written rules.
"""

import pytest

from tests.training.standing_shop import (
    NOON,
    appoint,
    ask,
    codes,
    day,
    job,
    level,
    noon,
    person,
    revision,
    sat,
    shop,
    sign,
    stand_down,
    void,
)
from training.records.wording.steps import say_step

ANA = person("ana")


def lapse(of, on="2026-03-01", known_at=NOON, **variant):
    told = ask(of, on=on, known_at=known_at, **variant)
    return told.lapses_on and told.lapses_on.isoformat(), told.lapses_because


def test_a_last_day_of_work_already_known():
    leaving = shop(person("ana", left="2026-05-31"), level(), sign("ana", "2026-01-10"))
    assert lapse(leaving) == ("2026-06-01", "not-here")


@pytest.mark.parametrize(
    ("down", "expected"),
    [
        (
            stand_down("ana", "2026-03-09", recorded=noon("2026-03-01")),
            ("2026-03-09", "stood-down"),
        ),
        (
            stand_down("ana", "2026-03-09", "2026-03-09", recorded=noon("2026-03-01")),
            ("2028-01-11", "sign-off-ended"),
        ),
        (
            stand_down("ana", "2026-03-09", lvl="other", recorded=noon("2026-03-01")),
            ("2028-01-11", "sign-off-ended"),
        ),
        (
            stand_down("ana", "2026-03-09", recorded=noon("2026-12-01")),
            ("2028-01-11", "sign-off-ended"),
        ),
    ],
)
def test_a_stand_down_from_a_later_day_counts_when_it_is_known(down, expected):
    assert lapse(shop(ANA, level(), sign("ana", "2026-01-10"), down)) == expected


def test_a_stand_down_of_the_earlier_level_takes_this_one_along():
    rows = [ANA, level("lower"), level(earlier=("lower",)), sign("ana", "2026-01-10")]
    rows.append(sign("ana", "2026-01-10", lvl="lower"))
    down = stand_down("ana", "2026-03-09", lvl="lower", recorded=noon("2026-03-01"))
    assert lapse(shop(rows, down)) == ("2026-03-09", "earlier-level")


def test_a_further_sign_off_already_recorded_carries_on_without_a_gap():
    rows = [ANA, level(valid_months=6), sign("ana", "2026-01-10")]
    for on, expected in (("2026-07-11", "2027-01-12"), ("2026-07-12", "2026-07-11")):
        assert lapse(shop(rows, sign("ana", on, recorded=noon("2026-02-01"))))[0] == expected


def test_jobs_already_recorded_with_a_later_day_count_from_that_day():
    rows = [
        ANA,
        level(practice_jobs=1, practice_months=2, valid_months=36),
        sign("ana", "2025-01-10"),
    ]
    done, early = job("ana", "2026-02-10"), job("ana", "2026-04-10", recorded=noon("2026-02-11"))
    assert lapse(shop(rows, done)) == ("2026-04-11", "out-of-practice")
    assert lapse(shop(rows, done, early)) == ("2026-06-11", "out-of-practice")
    too_late = job("ana", "2026-04-12", recorded=noon("2026-02-11"))
    assert lapse(shop(rows, done, too_late)) == ("2026-04-11", "out-of-practice")


def test_a_change_in_its_days_of_grace():
    rows = [ANA, level(writeups=("sheet",), grace_days=10), sign("ana", "2026-01-10")]
    assert lapse(shop(rows, revision(2, "2026-02-25", "read again"))) == (
        "2026-03-08",
        "change-not-read",
    )


def test_the_end_is_told_for_the_variant_that_is_asked_about():
    both = shop(
        ANA,
        level(valid_months=6),
        sign("ana", "2026-01-10"),
        sign("ana", "2026-02-20", ring="prong"),
    )
    assert lapse(both) == ("2026-07-11", "variant-not-covered")
    assert lapse(both, ring="prong") == ("2026-08-21", "sign-off-ended")


@pytest.mark.parametrize(
    ("valid", "expected"), [(598, "2075-11-11"), (601, "2076-02-11"), (602, None), (130_000, None)]
)
def test_nothing_is_told_beyond_fifty_years(valid, expected):
    # Fifty years after 1 Mar 2026 is 1 Mar 2076.
    assert lapse(shop(ANA, level(valid_months=valid), sign("ana", "2026-01-10")))[0] == expected


def test_only_alone_lapses_and_what_keeps_it_is_said():
    held = ask(shop(ANA, level(valid_months=6), sign("ana", "2026-01-10")), on="2026-03-01")
    assert [(step.code, step.who) for step in held.next] == [("renew-sign-off", "senior")]
    # The day before the lapse is the last that helps.
    assert "By 10 Jul 2026" in say_step(held.next[0])
    assert ask(shop(ANA, level())).lapses_on is None


def test_the_end_as_known_before_and_after_a_void():
    rows = [ANA, level(valid_months=6), sign("ana", "2026-01-10"), sign("ana", "2026-02-10")]
    voided = shop(rows, void("signoff", "ana", "air", "2026-02-10", noon("2026-04-01")))
    assert lapse(voided, known_at=noon("2026-03-31"))[0] == "2026-08-11"
    assert lapse(voided, known_at=noon("2026-04-01"))[0] == "2026-07-11"


def test_of_sign_offs_none_of_which_holds_the_latest_is_told_with_all_its_faults():
    ended = sign("ana", "2026-01-10")
    rows = shop(
        ANA,
        person("sol"),
        level(valid_months=6),
        ended,
        sign("ana", "2026-09-01", "sol", ring="prong"),
    )
    assert codes(ask(rows, on="2026-09-10", ring="coil"))[:2] == [
        "signer-not-entitled",
        "variant-not-covered",
    ]
    assert codes(ask(rows, on="2027-06-01", ring="prong"))[:2] == [
        "signer-not-entitled",
        "sign-off-ended",
    ]


def test_of_one_days_sign_offs_the_one_nearest_to_holding_is_told():
    split = shop(
        ANA,
        level(valid_months=6),
        sign("ana", "2026-01-10", ring="prong"),
        sign("ana", "2026-01-10", ring="coil"),
    )
    for ring in ("prong", "coil"):
        assert codes(ask(split, on="2026-09-10", ring=ring)) == ["sign-off-ended"]


def test_of_one_days_sign_offs_with_one_fault_each_the_entitled_one_is_told():
    late = sign("ana", "2026-01-10", "sol", recorded=noon("2026-01-12"))
    split = shop(ANA, person("sol"), level(), sign("ana", "2026-01-10", ring="prong"), late)
    assert codes(ask(split, on="2026-02-10", ring="coil")) == ["variant-not-covered"]


def test_whoever_has_a_sign_off_is_not_told_what_comes_before_a_first_one():
    rules = level(valid_months=6, pass_percent=80, watched_jobs=3, observations=1)
    rows = [ANA, rules, sign("ana", "2026-01-10")]
    assert codes(ask(shop(rows), on="2026-09-10")) == ["sign-off-ended", "quiz-not-passed"]
    assert codes(ask(shop(rows, sat("ana", "2026-09-09")), on="2026-09-10")) == ["sign-off-ended"]


def test_a_signers_own_lapse_takes_nothing_away_from_what_was_signed_before():
    rows = [ANA, person("sol"), level(valid_months=6), appoint("sol"), sign("sol", "2026-01-10")]
    held = shop(rows, sign("ana", "2026-06-10", "sol"))
    assert lapse(held, on="2026-06-11") == ("2026-12-11", "sign-off-ended")
    assert day("2026-07-11") == ask(held, "sol", on="2026-06-11").lapses_on
