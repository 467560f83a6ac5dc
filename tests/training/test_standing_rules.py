"""Does each rule of a level fail when it should, and not a day or a piece of evidence earlier?

The days and counts follow from the shop's own written rules; where a fact of the trade is used it
is common practice, no source.
"""

from datetime import UTC, datetime

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
    seen,
    shop,
    sign,
    stand_down,
    void,
)
from training.records.wording.reasons import say_reason
from training.records.wording.steps import say_step
from training.standing.answer import NotInShopError, answers, standings
from training.standing.entitlement import Asking
from training.standing.results import Reason
from training.standing.rules.ruleset import RULES
from training.standing.told import steps_for

ANA, SOL = person("ana"), person("sol")


def signed(*rows, on="2026-01-10", **rules):
    return shop(ANA, SOL, level(**rules), sign("ana", on), *rows)


def test_both_the_first_and_the_last_day_of_work_count_as_here():
    here = shop(person("ana", "2026-02-02", "2026-02-20"), level(), sign("ana", "2026-01-10"))
    standing = {
        on: codes(ask(here, on=on))
        for on in ("2026-02-01", "2026-02-02", "2026-02-20", "2026-02-21")
    }
    assert standing == {
        "2026-02-01": ["not-here"],
        "2026-02-02": [],
        "2026-02-20": [],
        "2026-02-21": ["not-here"],
    }
    assert "20 Feb 2026" in say_reason(ask(here, on="2026-02-21").reasons[0])


@pytest.mark.parametrize(("lvl", "touched"), [("air", True), (None, True), ("other", False)])
def test_a_stand_down_counts_for_its_level_or_for_all_until_the_day_of_lifting(lvl, touched):
    down = signed(level("other"), stand_down("ana", "2026-03-02", "2026-03-09", lvl=lvl))
    standing = [
        ask(down, on=on).standing for on in ("2026-03-01", "2026-03-02", "2026-03-08", "2026-03-09")
    ]
    assert standing == (["alone", "no", "no", "alone"] if touched else ["alone"] * 4)


def test_a_lifting_counts_only_once_it_is_known():
    down = signed(stand_down("ana", "2026-03-02", "2026-03-09", lift_recorded=noon("2026-03-12")))
    assert codes(ask(down, on="2026-03-10", known_at=noon("2026-03-11"))) == ["stood-down"]
    assert codes(ask(down, on="2026-03-10", known_at=noon("2026-03-12"))) == []


def test_without_a_sign_off_the_reasons_say_what_is_missing_before_one():
    bare = shop(
        ANA,
        level(writeups=("sheet",), pass_percent=80, watched_jobs=3, observations=2, observers=2),
        revision(1, "2025-01-01"),
        job("ana", "2026-02-01", watched_by="sol"),
        job("ana", "2026-02-02", watched_by="sol"),
        job("ana", "2026-02-02"),
        seen("ana", "2026-02-03"),
        seen("ana", "2026-02-04", right=False),
    )
    told = ask(bare)
    assert codes(told) == [
        "no-sign-off",
        "not-read",
        "quiz-not-passed",
        "too-few-watched-jobs",
        "not-observed",
    ]
    assert "2 of 3 supervised jobs" in say_reason(told.reasons[3])
    assert "1 of 2 observations" in say_reason(told.reasons[4])
    assert [step.who for step in told.next] == ["person", "person", "person", "senior", "senior"]
    assert told.next[-1].code == "sign-off"


def test_a_sign_off_counts_from_its_day_on():
    assert codes(ask(signed(), on="2026-01-09")) == ["no-sign-off"]
    assert codes(ask(signed(), on="2026-01-10")) == []


@pytest.mark.parametrize(
    ("variant", "expected"),
    [
        ({"ring": "prong"}, []),
        ({"ring": "eyelet"}, []),
        ({"ring": "coil"}, ["variant-not-covered"]),
        ({}, ["variant-not-covered"]),
        ({"bumper": "none"}, ["variant-not-covered"]),
        ({"ring": "prong", "bumper": "none"}, []),
    ],
)
def test_a_limited_sign_off_covers_what_the_question_names(variant, expected):
    limited = shop(ANA, level(), sign("ana", "2026-01-10", ring=("prong", "eyelet")))
    assert codes(ask(limited, **variant)) == expected


def test_two_limited_variants_must_both_be_named():
    limited = shop(ANA, level(), sign("ana", "2026-01-10", ring="prong", bumper="none"))
    assert codes(ask(limited, ring="prong")) == ["variant-not-covered"]
    assert codes(ask(limited, ring="prong", bumper="none")) == []


@pytest.mark.parametrize(
    ("signed_on", "valid", "last"),
    [
        ("2026-01-31", 1, "2026-02-28"),
        ("2024-02-29", 12, "2025-02-28"),
        ("2025-05-15", 18, "2026-11-15"),
    ],
)
def test_the_last_day_of_a_sign_off_counts(signed_on, valid, last):
    ended = shop(ANA, level(valid_months=valid), sign("ana", signed_on))
    assert codes(ask(ended, on=last)) == []
    assert codes(ask(ended, on=days(last, 1))) == ["sign-off-ended"]
    assert ask(ended, on=signed_on).lapses_on == days(last, 1)


def test_a_later_sign_off_carries_on_and_is_the_one_named():
    renewed = signed(sign("ana", "2026-06-10"), valid_months=6)
    found = named(ask(renewed, on="2026-07-10").evidence)
    assert found == ("first sign-off of 10 Jun 2026 by the owner, owner",)
    assert ask(renewed, on="2026-12-10").standing == "alone"
    assert codes(ask(renewed, on="2026-12-11")) == ["sign-off-ended"]


def test_where_no_sign_off_holds_the_latest_is_told():
    limited_later = signed(sign("ana", "2026-09-01", ring="prong"), valid_months=6)
    assert codes(ask(limited_later, on="2026-09-10", ring="eyelet")) == ["variant-not-covered"]
    assert ask(limited_later, on="2026-09-10", ring="prong").standing == "alone"


def test_one_and_the_same_sign_off_must_cover_and_be_valid_and_be_up_to_date():
    split = signed(
        sign("ana", "2026-04-01", ring="prong"),
        revision(1, "2025-01-01"),
        revision(2, "2026-03-01", "show again"),
        writeups=("sheet",),
    )
    assert ask(split, on="2026-04-02", ring="prong").standing == "alone"
    assert ask(split, on="2026-04-02", ring="eyelet").standing == "no"


class TestPractice:
    RULES = {"practice_jobs": 2, "practice_months": 3, "valid_months": 60}

    def test_enough_jobs_in_the_window_keep_one_in_practice(self):
        worked = signed(
            job("ana", "2026-08-31"), job("ana", "2026-10-01", watched_by="sol"), **self.RULES
        )
        # Three months before 30 Nov is 30 Aug, before 1 Dec it is 1 Sep: between them 31 Aug falls
        # out.
        assert codes(ask(worked, on="2026-11-30")) == []
        assert codes(ask(worked, on="2026-12-01")) == ["out-of-practice"]
        assert ask(worked, on="2026-11-25").lapses_on == day("2026-12-01")
        assert ask(worked, on="2026-11-25").lapses_because == "out-of-practice"

    def test_a_fork_that_came_back_counts_as_work_done(self):
        worked = signed(
            job("ana", "2026-10-01"), job("ana", "2026-10-02", came_back=True), **self.RULES
        )
        assert ask(worked).standing == "alone"

    def test_a_fresh_sign_off_stands_in_for_jobs_whatever_it_covers(self):
        fresh = signed(sign("ana", "2026-09-01", ring="prong"), **self.RULES)
        assert ask(fresh, on="2026-12-01", ring="coil").standing == "alone"
        assert codes(ask(fresh, on="2026-12-02", ring="coil")) == ["out-of-practice"]

    def test_a_sign_off_by_somebody_not_entitled_does_not(self):
        assert codes(ask(signed(sign("ana", "2026-09-01", "sol"), **self.RULES))) == [
            "out-of-practice"
        ]

    def test_jobs_of_a_level_count_for_each_level_before_it(self):
        first, second = (
            level("lower", **self.RULES),
            level("air", earlier=("lower",), valid_months=60),
        )
        third = level("damper", earlier=("air",), valid_months=60)
        both = [job("ana", "2026-10-01", lvl="damper"), job("ana", "2026-10-02", lvl="damper")]
        held = [ANA, first, second, third, sign("ana", "2026-01-10", lvl="lower")]
        assert ask(shop(held, both), lvl="lower").standing == "alone"
        assert codes(ask(shop(held), lvl="lower")) == ["out-of-practice"]

    def test_jobs_of_an_earlier_level_do_not_count_for_a_later_one(self):
        later = level("air", earlier=("lower",), **self.RULES)
        rows = [
            ANA,
            later,
            level("lower"),
            sign("ana", "2026-01-10", lvl="lower"),
            sign("ana", "2026-01-10"),
        ]
        below = [job("ana", "2026-10-01", lvl="lower"), job("ana", "2026-10-02", lvl="lower")]
        assert codes(ask(shop(rows, below))) == ["out-of-practice"]

    @pytest.mark.parametrize(
        "rules", [{"practice_jobs": 0, "practice_months": 3}, {"practice_jobs": 2}]
    )
    def test_nothing_asked_nothing_failed(self, rules):
        assert ask(signed(**rules)).standing == "alone"


class TestChanges:
    RULES = {"writeups": ("sheet",), "pass_percent": 80, "grace_days": 7}
    FIRST = revision(1, "2025-01-01")

    def change(self, asks, *rows, **rules):
        return signed(self.FIRST, revision(2, "2026-03-10", asks), *rows, **{**self.RULES, **rules})

    @pytest.mark.parametrize(
        ("asks", "expected"),
        [
            ("nothing", []),
            ("read again", ["change-not-read"]),
            ("answer again", ["change-not-read", "change-not-answered"]),
            ("show again", ["change-not-read", "change-not-answered", "change-not-shown"]),
        ],
    )
    def test_what_is_asked_counts_when_grace_is_over(self, asks, expected):
        changed = self.change(asks)
        assert codes(ask(changed, on="2026-03-17")) == []
        told = [code for code in codes(ask(changed, on="2026-03-18")) if code.startswith("change")]
        assert told == expected
        assert ask(changed, on="2026-03-12").lapses_on == (
            day("2026-03-18") if expected else day("2028-01-11")
        )

    def test_reading_a_later_revision_will_do(self):
        later = revision(3, "2026-04-10")
        assert (
            ask(
                self.change("read again", later, read("ana", 3, "2026-04-11")), on="2026-04-12"
            ).standing
            == "alone"
        )
        assert "change-not-read" in codes(
            ask(self.change("read again", read("ana", 1, "2026-04-11")), on="2026-04-12")
        )

    def test_an_answer_counts_from_the_day_after_the_release(self):
        reading = read("ana", 2, "2026-03-11")
        early = self.change("answer again", reading, sat("ana", "2026-03-10"))
        same_day = self.change("answer again", reading, sat("ana", "2026-03-11"))
        failed = self.change("answer again", reading, sat("ana", "2026-03-11", percent=79))
        critical = self.change(
            "answer again", reading, sat("ana", "2026-03-11", critical_right=False)
        )
        told = [
            codes(ask(each, on="2026-03-20"))[:1] for each in (early, same_day, failed, critical)
        ]
        assert told == [
            ["change-not-answered"],
            [],
            ["change-not-answered"],
            ["change-not-answered"],
        ]

    def test_without_a_quiz_there_is_nothing_to_answer_again(self):
        changed = self.change("show again", read("ana", 2, "2026-03-11"), pass_percent=0)
        assert codes(ask(changed, on="2026-03-20")) == ["change-not-shown"]

    @pytest.mark.parametrize(
        ("observation", "expected"),
        [
            (seen("ana", "2026-03-11"), []),
            (seen("ana", "2026-03-09"), ["change-not-shown"]),
            (seen("ana", "2026-03-11", right=False), ["change-not-shown"]),
            (seen("ana", "2026-03-11", observer="ana"), ["change-not-shown"]),
            (seen("ana", "2026-03-11", lvl="other"), ["change-not-shown"]),
        ],
    )
    def test_showing_counts_when_somebody_else_saw_it_right_since_the_release(
        self, observation, expected
    ):
        done = [read("ana", 2, "2026-03-11"), sat("ana", "2026-03-11")]
        told = ask(self.change("show again", *done, observation), on="2026-03-20")
        assert codes(told) == expected

    def test_a_sign_off_on_a_day_after_the_release_is_after_the_change(self):
        assert (
            ask(self.change("show again", sign("ana", "2026-03-11")), on="2026-06-01").standing
            == "alone"
        )
        assert (
            ask(self.change("show again", sign("ana", "2026-03-10")), on="2026-06-01").standing
            == "no"
        )

    @pytest.mark.parametrize(
        ("zone", "known_at", "expected"),
        [
            # Offsets of the IANA time zone database: Berlin is one hour ahead in winter (from
            # memory).
            ("UTC", datetime(2026, 3, 9, 23, 30, tzinfo=UTC), []),
            ("Europe/Berlin", datetime(2026, 3, 9, 22, 59, tzinfo=UTC), []),
            ("Europe/Berlin", datetime(2026, 3, 9, 23, 0, tzinfo=UTC), ["change-not-read"]),
            ("Pacific/Kiritimati", datetime(2026, 3, 9, 10, 0, tzinfo=UTC), ["change-not-read"]),
        ],
    )
    def test_a_revision_is_known_from_its_day_in_the_shops_time_zone(
        self, zone, known_at, expected
    ):
        old = self.change("read again")
        there = shop(old.people, old.levels, old.revisions, old.signoffs, time_zone=zone)
        told = [
            code
            for code in codes(ask(there, on="2026-06-01", known_at=known_at))
            if code.startswith("change")
        ]
        assert told == expected

    def test_the_clock_change_moves_the_beginning_of_a_day(self):
        # Clocks in Berlin go back on 25 Oct 2026: 25 Oct begins at 22:00 UTC, 26 Oct at 23:00 UTC
        # (IANA database).
        for released, midnight in (("2026-10-25", (24, 22)), ("2026-10-26", (25, 23))):
            rows = [
                ANA,
                level(writeups=("sheet",)),
                sign("ana", "2026-01-10"),
                revision(2, released, "read again"),
            ]
            there = shop(rows, time_zone="Europe/Berlin")
            before, after = (
                datetime(2026, 10, midnight[0], midnight[1] - less, 0, tzinfo=UTC)
                for less in (1, 0)
            )
            assert ask(there, on="2026-11-20", known_at=before).standing == "alone"
            assert ask(there, on="2026-11-20", known_at=after).standing == "no"


class TestEarlierLevels:
    def test_the_earlier_level_must_be_held_for_the_same_question(self):
        rows = [ANA, level("lower"), level("air", earlier=("lower",)), sign("ana", "2026-01-10")]
        below = sign("ana", "2026-01-10", lvl="lower", ring="prong")
        assert ask(shop(rows, below), ring="prong").standing == "alone"
        told = ask(shop(rows, below), ring="coil")
        assert codes(told) == ["earlier-level"]
        assert "Level lower" in say_reason(told.reasons[0])

    def test_a_chain_lapses_with_its_first_level(self):
        rows = [
            ANA,
            level("lower", valid_months=6),
            level("air", earlier=("lower",)),
            sign("ana", "2026-06-30"),
        ]
        told = ask(shop(rows, sign("ana", "2026-06-15", lvl="lower")))
        assert (told.lapses_on, told.lapses_because) == (day("2026-12-16"), "earlier-level")

    def test_levels_in_a_circle_and_levels_unknown_are_never_held(self):
        ring = shop(
            ANA,
            level("a", earlier=("b",)),
            level("b", earlier=("a",)),
            level("c", earlier=("b",)),
            level("d", earlier=("nowhere",)),
            level("e", earlier=("e",)),
            [sign("ana", "2026-01-10", lvl=name) for name in "abcde"],
        )
        told = {name: ask(ring, lvl=name) for name in "abcde"}
        assert {answered.standing for answered in told.values()} == {"no"}
        assert {tuple(codes(answered)) for answered in told.values()} == {("earlier-level",)}

    def test_watched_asks_for_at_least_watched_at_each_earlier_level(self):
        quiz = {"pass_percent": 80}
        rows = [
            ANA,
            level("lower", **quiz),
            level("air", earlier=("lower",), **quiz),
            sat("ana", "2026-02-01"),
        ]
        assert ask(shop(rows)).standing == "no"
        assert ask(shop(rows, sat("ana", "2026-02-01", lvl="lower"))).standing == "watched"
        assert ask(shop(rows, sign("ana", "2026-02-01", lvl="lower"))).standing == "watched"
        down = stand_down("ana", "2026-03-01", lvl="lower")
        assert ask(shop(rows, sat("ana", "2026-02-01", lvl="lower"), down)).standing == "no"


class TestWatched:
    RULES = {"writeups": ("sheet",), "pass_percent": 80, "valid_months": 12}
    REVISIONS = (revision(1, "2025-01-01"), revision(2, "2026-03-10"))

    def trainee(self, *rows):
        return shop(ANA, level(**self.RULES), self.REVISIONS, *rows)

    def test_the_current_revision_must_be_read(self):
        passed = sat("ana", "2026-02-01")
        one = self.trainee(passed, read("ana", 1, "2026-02-01"))
        assert ask(one, on="2026-03-09").standing == "watched"
        stale = ask(one, on="2026-03-10")
        assert (stale.standing, codes(stale)) == ("no", ["no-sign-off", "not-read"])
        assert (
            ask(self.trainee(passed, read("ana", 2, "2026-03-10")), on="2026-03-10").standing
            == "watched"
        )

    def test_a_pass_holds_as_long_as_a_sign_off_would(self):
        both = self.trainee(read("ana", 2, "2026-03-10"), sat("ana", "2026-03-31"))
        assert ask(both, on="2027-03-31").standing == "watched"
        ended = ask(both, on="2027-04-01")
        assert (ended.standing, codes(ended)) == ("no", ["no-sign-off", "quiz-not-passed"])
        assert "31 Mar 2027" in say_reason(ended.reasons[1])

    @pytest.mark.parametrize(
        ("sittings", "expected"),
        [
            ([sat("ana", "2026-04-01", "79.9")], "quiz-not-passed"),
            ([sat("ana", "2026-04-01", "80", critical_right=False)], "critical-wrong"),
            ([sat("ana", "2026-04-01", "79", critical_right=False)], "quiz-not-passed"),
            (
                [sat("ana", "2026-04-01", 90, critical_right=False), sat("ana", "2026-04-02", 70)],
                "quiz-not-passed",
            ),
            (
                [sat("ana", "2026-04-01", 70), sat("ana", "2026-04-02", 90, critical_right=False)],
                "critical-wrong",
            ),
        ],
    )
    def test_the_latest_sitting_says_what_was_wrong(self, sittings, expected):
        told = ask(self.trainee(read("ana", 2, "2026-03-10"), sittings), on="2026-05-01")
        assert codes(told)[1:] == [expected]
        assert told.standing == "no"

    @pytest.mark.parametrize(
        ("percent", "critical_right", "expected"),
        [
            (60, True, "quiz-not-passed"),
            (90, False, "critical-wrong"),
            (60, False, "quiz-not-passed"),
        ],
    )
    def test_a_sitting_failed_after_a_pass_leaves_watched_and_is_missing_before_a_sign_off(
        self, percent, critical_right, expected
    ):
        failed = sat("ana", "2026-04-02", percent, critical_right=critical_right)
        told = ask(
            self.trainee(read("ana", 2, "2026-03-10"), sat("ana", "2026-04-01", 80), failed),
            on="2026-05-01",
        )
        assert (told.standing, codes(told)) == ("watched", ["no-sign-off", expected])

    def test_a_sitting_failed_after_the_sign_off_takes_nothing_away(self):
        signed_off = self.trainee(
            sat("ana", "2026-03-05"), sign("ana", "2026-03-11"), sat("ana", "2026-04-02", 10)
        )
        assert ask(signed_off, on="2026-05-01").standing == "alone"

    def test_someone_out_of_practice_falls_to_watched_only_with_reading_and_pass(self):
        rules = {**self.RULES, "practice_jobs": 1, "practice_months": 3, "valid_months": 24}
        rows = [ANA, level(**rules), self.REVISIONS, sign("ana", "2026-03-11")]
        assert codes(ask(shop(rows))) == ["out-of-practice", "not-read", "quiz-not-passed"]
        done = [read("ana", 2, "2026-03-12"), sat("ana", "2026-03-12")]
        told = ask(shop(rows, done))
        assert (told.standing, codes(told)) == ("watched", ["out-of-practice"])

    def test_a_level_with_no_quiz_and_no_write_up_lets_anybody_here_work_watched(self):
        assert ask(shop(ANA, level())).standing == "watched"


class TestKnowledge:
    def test_a_void_counts_from_its_recording_for_all_days(self):
        voided = signed(void("signoff", "ana", "air", "2026-01-10", noon("2026-05-05")))
        assert ask(voided, on="2026-03-01", known_at=noon("2026-05-04")).standing == "alone"
        assert codes(ask(voided, on="2026-03-01", known_at=noon("2026-05-05"))) == ["no-sign-off"]

    def test_a_void_touches_only_what_was_recorded_before_it(self):
        late = signed(
            void("signoff", "ana", "air", "2026-01-10", noon("2026-05-05")),
            sign("ana", "2026-01-10", recorded=noon("2026-05-06")),
        )
        assert ask(late, on="2026-06-01").standing == "alone"

    @pytest.mark.parametrize(
        ("kind", "about"),
        [("job", "air"), ("signoff", "other"), ("reading", "air"), ("observation", "air")],
    )
    def test_a_void_of_something_else_leaves_the_sign_off(self, kind, about):
        assert (
            ask(signed(void(kind, "ana", about, "2026-01-10", noon("2026-05-05")))).standing
            == "alone"
        )

    def test_each_kind_of_entry_can_be_void(self):
        rows = [
            ANA,
            level(writeups=("sheet",), pass_percent=80, watched_jobs=1, observations=1),
            revision(1, "2025-01-01"),
            read("ana", 1, "2026-02-01"),
            sat("ana", "2026-02-01"),
            job("ana", "2026-02-01", watched_by="sol"),
            seen("ana", "2026-02-01"),
        ]
        assert codes(ask(shop(rows))) == ["no-sign-off"]
        missing = {"reading": "not-read", "pass": "quiz-not-passed"}
        missing |= {"job": "too-few-watched-jobs", "observation": "not-observed"}
        for kind, code in missing.items():
            about = "sheet" if kind == "reading" else "air"
            gone = void(kind, "ana", about, "2026-02-01", noon("2026-02-02"))
            assert codes(ask(shop(rows, gone))) == ["no-sign-off", code]

    def test_nothing_recorded_later_counts(self):
        late = signed(sign("ana", "2026-01-05", recorded=noon("2026-04-01")), on="2026-05-01")
        assert ask(late, on="2026-02-01", known_at=noon("2026-03-31")).standing == "watched"
        assert ask(late, on="2026-02-01", known_at=noon("2026-04-01")).standing == "alone"


def test_the_rules_of_the_day_are_used():
    stricter = level(valid_months=6, from_day=day("2026-05-01"))
    changed = shop(ANA, level(valid_months=12), stricter, sign("ana", "2025-10-15"))
    assert ask(changed, on="2026-04-30").standing == "alone"
    assert codes(ask(changed, on="2026-05-01")) == ["sign-off-ended"]
    assert ask(changed, on="2026-04-01").lapses_on == day("2026-05-01")


def test_a_signers_standing_is_judged_by_the_rules_of_the_day_of_signing():
    stricter = level(
        valid_months=36, practice_jobs=9, practice_months=1, from_day=day("2026-05-01")
    )
    people = [person("sol"), person("ana"), appoint("sol"), sign("sol", "2025-10-15")]
    rows = [level(valid_months=36), stricter, job("ana", "2026-07-01")]
    before, after = (
        shop(people, rows, sign("ana", on, "sol")) for on in ("2026-04-30", "2026-05-01")
    )
    assert codes(ask(before, on="2026-07-02")) == ["out-of-practice"]
    assert codes(ask(after, on="2026-07-02")) == ["signer-not-entitled", "out-of-practice"]


def test_evidence_names_all_that_alone_rests_on():
    rows = [
        level("lower"),
        level(
            "air",
            earlier=("lower",),
            writeups=("sheet",),
            practice_jobs=1,
            practice_months=3,
            pass_percent=80,
        ),
        revision(1, "2025-01-01"),
        revision(2, "2026-03-10", "show again"),
        sign("sol", "2025-01-10", lvl="lower"),
        sign("sol", "2025-01-10"),
        job("sol", "2026-01-09"),
        appoint("sol"),
        sign("ana", "2026-01-10", "sol"),
        sign("ana", "2026-01-05", lvl="lower"),
        [read("ana", 2, "2026-03-11"), sat("ana", "2026-03-12"), seen("ana", "2026-03-13")],
        [job("ana", "2026-10-01"), job("ana", "2026-11-01")],
    ]
    told = ask(shop(ANA, SOL, rows))
    assert told.standing == "alone"
    assert set(named(told.evidence)) == {
        "sign-off of 10 Jan 2026 by Sol",
        "appointed by owner from 1 Jan 2020",
        "job of 1 Nov 2026",
        "read sheet revision 2 on 11 Mar 2026",
        "sitting of 12 Mar 2026: 100 %",
        "observed by Sol on 13 Mar 2026",
        "first sign-off of 5 Jan 2026 by the owner, owner",
    }


def test_somebody_or_something_the_shop_does_not_have_is_named():
    with pytest.raises(NotInShopError, match="ghost"):
        ask(signed(), who="ghost")
    with pytest.raises(NotInShopError, match="nowhere"):
        ask(signed(), lvl="nowhere")


def test_an_asking_is_shared_only_with_its_own_shop_and_moment():
    one, other = signed(), signed()
    shared = Asking(one, noon("2026-06-01"))
    known = {"known_at": noon("2026-06-01"), "variant": {}, "asking": shared}
    assert standings(one, ["air"], day("2026-06-01"), **known) == {
        ("ana", "air"): "alone",
        ("sol", "air"): "watched",
    }
    with pytest.raises(ValueError, match="another shop"):
        answers(other, "air", day("2026-06-01"), **known)


def test_every_code_of_the_rules_has_a_next_step():
    failing = [
        "not-here",
        "stood-down",
        "no-sign-off",
        "signer-not-entitled",
        "variant-not-covered",
        "sign-off-ended",
    ]
    failing += [
        "out-of-practice",
        "change-not-read",
        "change-not-answered",
        "change-not-shown",
        "earlier-level",
    ]
    missing = [
        "not-read",
        "quiz-not-passed",
        "critical-wrong",
        "too-few-watched-jobs",
        "not-observed",
    ]
    counted = {"too-few-watched-jobs": (("done", 1), ("asked", 3), ("lacking", ()))}
    steps = [
        steps_for(RULES, [Reason(code, counted.get(code, ()))], "Level air")[0]
        for code in failing + missing
    ]
    assert len({step.code for step in steps}) == len(failing + missing)
    assert all("{" not in say_step(step) for step in steps)


@pytest.mark.parametrize(
    ("done", "lacking", "said"),
    [
        (2, (), "Do 1 more supervised job: 2 of 3 done."),
        (0, (("ring", "prong"),), "Do 3 more supervised jobs: 0 of 3 done."),
        (3, (("ring", "prong"),), "Do a supervised job with ring: prong."),
    ],
)
def test_how_many_supervised_jobs_are_left_is_told_with_its_number(done, lacking, said):
    args = (("done", done), ("asked", 3), ("lacking", lacking))
    (step,) = steps_for(RULES, [Reason("too-few-watched-jobs", args)], "Level air")
    assert say_step(step) == said
