"""Are the spans of a standing, and the days off under other rules, what stepping through the days
one by one gives?

The outside check is `judge.py`, the second implementation of the rules, asked afresh for every
single day.
"""

import itertools
from datetime import date, timedelta

import pytest

from tests.training.folder_rows import read_folder
from tests.training.folder_shop import folder_shop
from tests.training.grow_shop import BROUGHT_AT, TODAY, grow_shop
from tests.training.judge import Known
from tests.training.standing_shop import days, job, level, noon, person, shop, sign, stand_down
from training.standing.days import spans
from training.standing.entitlement import Asked, Asking, as_question
from training.standing.other_rules import OtherRules, off_days, shop_under

FIRST, UNTIL = TODAY - timedelta(days=700), TODAY + timedelta(days=200)
OTHER = OtherRules(valid_months=12, practice_jobs=1, practice_months=6, grace_days=0)


def every_day(first=FIRST, until=UNTIL):
    return [first + timedelta(days=number) for number in range((until - first).days + 1)]


def judged(known, login, lvl, day):
    if known.is_alone(login, lvl, day, {}):
        return "alone"
    return "watched" if known.is_watched(login, lvl, day, {}) else "no"


@pytest.mark.parametrize("seed", [7, 11])
def test_every_day_of_a_span_has_the_standing_that_the_judge_gives(seed, tmp_path):
    grow_shop(seed, tmp_path)
    of, known = (
        folder_shop(tmp_path, BROUGHT_AT),
        Known(read_folder(tmp_path, BROUGHT_AT, "UTC"), BROUGHT_AT, "UTC"),
    )
    asking, seen = Asking(of, BROUGHT_AT), set()
    for login in list(known.people)[:4]:
        for lvl in known.levels:
            told = spans(asking, Asked(login, lvl, FIRST, as_question({})), UNTIL)
            by_day = [span.standing for span in told for _ in range(span.days)]
            assert by_day == [judged(known, login, lvl, day) for day in every_day()]
            assert all(one.standing != next_.standing for one, next_ in itertools.pairwise(told))
            seen.update(by_day)
    assert seen == {"alone", "watched", "no"}


def judged_off(known, login, lvl, day):
    signed = known.counting("signoffs", login, lvl, day)
    return bool(signed) and known.is_here(login, day) and not known.is_alone(login, lvl, day, {})


@pytest.mark.parametrize("seed", [5, 8])
def test_days_off_under_other_rules_are_those_that_the_judge_counts(seed, tmp_path):
    grow_shop(seed, tmp_path)
    of, rows = folder_shop(tmp_path, BROUGHT_AT), read_folder(tmp_path, BROUGHT_AT, "UTC")
    lvl = rows["levels"][0]["level"]
    as_is = Known(rows, BROUGHT_AT, "UTC")
    changed = {
        "valid_months": OTHER.valid_months,
        "practice_jobs": OTHER.practice_jobs,
        "practice_months": OTHER.practice_months,
        "grace_days": OTHER.grace_days,
    }
    levels = [{**row, **changed} if row["level"] == lvl else row for row in rows["levels"]]
    others = Known({**rows, "levels": levels}, BROUGHT_AT, "UTC")
    logins = list(as_is.people)
    total = 0
    for known, shop_ in ((as_is, of), (others, shop_under(of, lvl, OTHER))):
        for found in off_days(shop_, lvl, FIRST, UNTIL, BROUGHT_AT, logins):
            expected = {day for day in every_day() if judged_off(known, found.person, lvl, day)}
            assert {
                day for span in found.spans for day in every_day(span.first, span.until)
            } == expected
            assert found.days == len(expected)
            total += len(expected)
    assert total > 0


def test_six_months_of_practice_in_place_of_twelve():
    # ISO 9606-1, 9.2 (secondary account) confirms every six months; the last day's counting is a
    # choice of ours.
    worked = shop(
        person("ana"),
        level(practice_jobs=1, practice_months=12, valid_months=36),
        sign("ana", "2024-01-10"),
        job("ana", "2024-03-14"),
        job("ana", "2025-01-20"),
    )
    asked = (date(2024, 1, 1), date(2025, 3, 1), noon("2025-03-01"), ["ana"])
    assert off_days(worked, "air", *asked)[0].days == 0
    six = shop_under(worked, "air", OtherRules(36, 1, 6, 0))
    (off,) = off_days(six, "air", *asked)
    # confirmed 2024-03-14, good until 2024-09-14; worked again 2025-01-20
    assert [(span.first, span.until) for span in off.spans] == [
        (date(2024, 9, 15), date(2025, 1, 19))
    ]


def test_who_was_never_signed_off_is_not_off_and_nobody_is_off_outside_the_days():
    of = shop(
        person("ana", left="2024-06-30"),
        person("kim"),
        level(valid_months=1),
        sign("ana", "2024-01-10"),
        stand_down("ana", "2024-01-20", "2024-01-25"),
    )
    ana, kim = off_days(
        of, "air", date(2023, 1, 1), date(2025, 1, 1), noon("2025-01-01"), ["ana", "kim"]
    )
    assert kim.spans == ()
    assert [(span.first, span.until) for span in ana.spans] == [
        (date(2024, 1, 20), date(2024, 1, 24)),
        (date(2024, 2, 11), date(2024, 6, 30)),
    ]


def test_spans_leave_no_gap():
    of = shop(person("ana", started="2024-02-01"), level(valid_months=3), sign("ana", "2024-03-01"))
    told = spans(
        Asking(of, noon("2024-04-01")),
        Asked("ana", "air", date(2024, 1, 1), as_question({})),
        date(2024, 12, 31),
    )
    assert told[0].first == date(2024, 1, 1)
    assert told[-1].until == date(2024, 12, 31)
    assert all(days(one.until, 1) == after.first for one, after in itertools.pairwise(told))
