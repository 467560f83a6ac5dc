"""Does an answer tell each rule with its evidence or its gap, and exactly what would keep it?

Expectations are the shop's own rules of standing; dates are counted by hand.
"""

from dataclasses import fields
from datetime import date, timedelta

import pytest

from tests.training.standing_shop import (
    appoint,
    ask,
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
from training.records.wording.asks import say_rule
from training.records.wording.reasons import say_reason
from training.records.wording.steps import say_step
from training.standing import evidence as ev
from training.standing.changed import changes_between
from training.standing.entitlement import Asked, Asking, as_question
from training.standing.rules.ruleset import RULES
from training.standing.told import explain


def told(of, on, lvl="air", **variant):
    asking = Asking(of, noon(on) + timedelta(hours=11))
    return {
        rule.name: say_rule(rule)
        for rule in explain(asking, Asked("ana", lvl, date.fromisoformat(on), as_question(variant)))
    }


def full_shop():
    rules = {
        "writeups": ("sheet",),
        "practice_jobs": 2,
        "practice_months": 6,
        "pass_percent": 80,
        "watched_jobs": 1,
        "observations": 1,
        "grace_days": 7,
    }
    return shop(
        person("ana"),
        person("sol"),
        level(**rules),
        revision(1, "2025-01-01"),
        revision(2, "2026-03-02", "read again"),
        sign("sol", "2026-01-02"),
        appoint("sol"),
        sign("ana", "2026-01-05", "sol"),
        job("ana", "2026-02-01"),
        job("ana", "2026-01-20", watched_by="sol"),
        read("ana", 2, "2026-03-05"),
        sat("ana", "2026-01-03"),
        seen("ana", "2026-01-04"),
    )


def test_for_somebody_alone_every_rule_holds_and_names_its_evidence_in_the_order_of_the_days():
    rules = told(full_shop(), "2026-04-01")
    assert all(rule.holds and not rule.gap for rule in rules.values())
    assert rules["sign-off"].evidence == ("sign-off of 5 Jan 2026 by Sol, valid until 5 Jan 2028",)
    assert rules["signer"].evidence == ("appointed by owner from 1 Jan 2020",)
    assert rules["practice"].evidence == (
        "job of 20 Jan 2026",
        "job of 1 Feb 2026",
        "enough until 20 Jul 2026",
    )
    read_again = ("read sheet revision 2 on 5 Mar 2026",)
    assert rules["changes"].evidence == rules["readings"].evidence == read_again
    assert rules["watched-jobs"].evidence == ("job of 20 Jan 2026",)
    assert rules["quiz"].evidence == ("sitting of 3 Jan 2026: 100 %",)
    assert rules["observations"].evidence == ("observed by Sol on 4 Jan 2026",)


def test_each_gap_stands_with_its_own_rule():
    of = shop(
        person("ana"),
        level(writeups=("sheet",), practice_jobs=1, practice_months=6),
        revision(1, "2025-01-01"),
        sign("ana", "2025-01-05"),
        stand_down("ana", "2026-02-01"),
    )
    rules = told(of, "2026-03-01")
    assert {name for name, rule in rules.items() if not rule.holds} == {
        "stood-down",
        "practice",
        "readings",
    }
    assert rules["stood-down"].gap == ("Stood down from all work since 1 Feb 2026, by sol.",)
    assert rules["practice"].gap == (
        "Not current: 0 of 1 job done since 1 Sep 2025, and no sign-off since then.",
    )
    assert rules["readings"].gap == ("Not read yet: sheet (revision 1).",)


def test_without_a_sign_off_nothing_is_said_of_its_signer_or_of_what_came_after_it():
    of = shop(person("ana"), level(writeups=("sheet",)), revision(1, "2025-01-01"))
    assert set(told(of, "2026-03-01")) == {"here", "stood-down", "sign-off", "readings"}


def test_write_ups_go_by_their_titles():
    of = shop(
        person("ana"),
        level(writeups=("sheet",)),
        revision(1, "2025-01-01"),
        revision(2, "2026-02-01", "read again"),
    )
    kept = {f.name: getattr(of, f.name) for f in fields(of) if f.init}
    of = ev.Shop(**kept | {"titles": {"sheet": "Release the air"}})
    texts = [
        say_reason(reason)
        for reason in ask(with_rows(of, sign("ana", "2026-01-05")), on="2026-03-01").reasons
    ]
    assert texts == [
        "Not read yet: Release the air (revision 2 of 1 Feb 2026).",
        "Not read yet: Release the air (revision 2).",
    ]


@pytest.mark.parametrize(("asked", "said"), [(1, "do 1 more job"), (3, "do 3 more jobs")])
def test_what_keeps_a_standing_is_counted_exactly(asked, said):
    rules = level(practice_jobs=asked, practice_months=6, valid_months=36)
    worked = [job("ana", "2026-06-14") for _ in range(asked)]
    of = shop(person("ana"), rules, sign("ana", "2025-01-05"), worked)
    answered = ask(of, on="2026-11-25")
    assert answered.lapses_on == date(2026, 12, 15)
    assert [say_step(step) for step in answered.next] == [f"By 14 Dec 2026: {said} at Level air."]
    enough = with_rows(of, *[job("ana", "2026-12-14") for _ in range(asked)])
    assert ask(enough, on="2026-12-15").standing == "alone"
    too_few = with_rows(of, *[job("ana", "2026-12-14") for _ in range(asked - 1)])
    assert ask(too_few, on="2026-12-15").standing != "alone"


def test_what_keeps_a_standing_may_lie_at_an_earlier_level():
    of = shop(
        person("ana"),
        level("lower", practice_jobs=1, practice_months=6, valid_months=36),
        level(earlier=("lower",), valid_months=36),
        sign("ana", "2025-01-05", lvl="lower"),
        sign("ana", "2025-01-05"),
        job("ana", "2026-06-14", lvl="lower"),
    )
    texts = [say_step(step) for step in ask(of, on="2026-11-25").next]
    assert "By 14 Dec 2026: do 1 more job at Level lower." in texts


def test_only_standings_that_differ_are_told_with_the_reasons_that_came_and_went():
    of = shop(
        person("ana"),
        person("kim"),
        person("sol"),
        level(valid_months=3),
        sign("ana", "2026-01-05"),
        sign("kim", "2026-04-20"),
        sign("sol", "2026-04-20"),
        stand_down("sol", "2026-05-01"),
    )
    rows = changes_between(of, date(2026, 4, 1), date(2026, 5, 2), noon("2026-05-02"), {})
    assert [(row.person, row.before, row.after) for row in rows] == [
        ("ana", "alone", "watched"),
        ("kim", "watched", "alone"),
        ("sol", "watched", "no"),
    ]
    ana, kim, sol = rows
    assert [reason.code for reason in ana.came] == ["sign-off-ended"]
    assert ana.went == ()
    assert kim.came == ()
    assert [reason.code for reason in kim.went] == ["no-sign-off"]
    assert [reason.code for reason in sol.came] == ["stood-down"]
    assert [reason.code for reason in sol.went] == ["no-sign-off"]


def test_nothing_has_changed_between_a_day_and_itself():
    of = full_shop()
    assert changes_between(of, date(2026, 4, 1), date(2026, 4, 1), noon("2026-04-01"), {}) == ()


def test_every_yardstick_names_a_rule_that_is_told():
    named = set(told(full_shop(), days("2026-04-01", 0).isoformat())) | {"earlier"}
    yardsticks = {rule.name for rule in (*RULES.alone, *RULES.before) if rule.yardstick}
    assert yardsticks
    assert yardsticks <= named
