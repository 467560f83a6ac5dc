"""What counts from which instant: releases on the day of an entry, watched jobs, observations by
write-up, ended appointments?

Everything expected here is worked out by hand from the shop's rules of standing.
"""

from datetime import UTC, datetime

import pytest

from tests.training.standing_shop import (
    appoint,
    ask,
    codes,
    day,
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
)
from training.records.wording.asks import say_asks
from training.standing.answer import reasons_against_signing
from training.standing.days import spans
from training.standing.entitlement import Asked, Asking, as_question
from training.standing.told import explain

DAY = "2026-03-10"


def at(hour, minute=0, on=DAY):
    return datetime.fromisoformat(f"{on}T{hour:02}:{minute:02}:00+00:00")


class TestReleaseOnTheDayOfAnEntry:
    """Ana is signed off; revision 2 asks for everything and has no days of grace."""

    def told(self, *rows, released_at=None, zone="UTC"):
        rules = level(writeups=("sheet",), pass_percent=80)
        there = shop(
            person("ana"),
            rules,
            revision(1, "2025-01-01"),
            revision(2, DAY, "show again", at=released_at),
            *rows,
            time_zone=zone,
        )
        return codes(ask(there, on="2026-03-20"))

    def done(self, **late):
        passed, shown = late.get("passed", at(18)), late.get("shown", at(18))
        return [
            sign("ana", "2026-01-10"),
            read("ana", 2, DAY),
            sat("ana", DAY, recorded=passed),
            seen("ana", DAY, recorded=shown),
        ]

    def test_a_revision_released_in_the_afternoon_asks_whoever_was_signed_off_that_morning(self):
        signed = sign("ana", DAY, recorded=at(9))
        assert "change-not-shown" in self.told(signed, released_at=at(15, 47))

    def test_a_sign_off_given_after_the_release_has_it_behind_it(self):
        assert self.told(sign("ana", DAY, recorded=at(15, 48)), released_at=at(15, 47)) == []

    def test_what_was_passed_and_seen_after_the_release_answers_it(self):
        assert self.told(*self.done(), released_at=at(15, 47)) == []

    @pytest.mark.parametrize(
        ("early", "lacking"), [("passed", ["change-not-answered"]), ("shown", ["change-not-shown"])]
    )
    def test_what_was_passed_or_seen_that_morning_answers_nothing(self, early, lacking):
        assert [
            code
            for code in self.told(*self.done(**{early: at(9)}), released_at=at(15, 47))
            if "change" in code
        ] == lacking

    @pytest.mark.parametrize(
        "released_at", [None, at(18), at(23, 30, "2026-03-09"), at(0, 1, "2026-03-11")]
    )
    def test_in_doubt_the_safe_order_is_taken(self, released_at):
        # The instant is not known, equals that of the entries, or lies on another day.
        changes = [
            code for code in self.told(*self.done(), released_at=released_at) if "change" in code
        ]
        assert changes == ["change-not-answered", "change-not-shown"]
        assert "change-not-shown" in self.told(
            sign("ana", DAY, recorded=at(18)), released_at=released_at
        )

    def test_an_entry_written_down_on_a_later_day_does_not_tell_the_order_either(self):
        assert "change-not-shown" in self.told(
            sign("ana", DAY, recorded=at(9, on="2026-03-11")), released_at=at(8)
        )

    def test_the_day_is_the_workshops(self):
        # Auckland is 13 hours ahead in March, Los Angeles 7 behind from 8 Mar 2026 (IANA time zone
        # database, from memory).
        signed = sign("ana", DAY, recorded=at(10, 30))
        assert self.told(signed, released_at=at(8), zone="Pacific/Auckland") == []
        assert "change-not-shown" in self.told(
            sign("ana", DAY, recorded=at(11, 30)), released_at=at(8), zone="Pacific/Auckland"
        )
        assert "change-not-shown" in self.told(
            signed, released_at=at(6), zone="America/Los_Angeles"
        )


class TestWatchedJobs:
    RULES = level(watched_jobs=1, practice_jobs=1, practice_months=6)

    def missing(self, *rows, known_at=None):
        there = shop(person("ana"), person("sol"), self.RULES, *rows)
        told = reasons_against_signing(
            there, "ana", "air", day("2026-03-20"), known_at or noon("2026-03-20")
        )
        return [reason.code for reason in told]

    def test_one_counts_from_the_instant_of_its_confirmation(self):
        watched = job("ana", DAY, watched_by="sol", confirmed=at(17))
        assert self.missing(watched, known_at=at(16, 59)) == ["too-few-watched-jobs"]
        assert self.missing(watched, known_at=at(17)) == []

    def test_one_that_nobody_has_confirmed_counts_for_nothing(self):
        watched = job("ana", "2026-03-15", watched_by="sol", confirmed=None)
        assert self.missing(watched) == ["too-few-watched-jobs"]
        old = sign("ana", "2025-03-01")
        assert codes(ask(shop(person("ana"), self.RULES, old, watched), on="2026-03-20")) == [
            "out-of-practice"
        ]
        assert (
            codes(
                ask(shop(person("ana"), self.RULES, old, job("ana", "2026-03-15")), on="2026-03-20")
            )
            == []
        )


class TestObservationsByWriteUp:
    RULES = level(observations=1, writeups=("air", "sheet"), pass_percent=0)

    def missing(self, *rows):
        told = reasons_against_signing(
            shop(person("ana"), self.RULES, *rows),
            "ana",
            "air",
            day("2026-03-20"),
            noon("2026-03-20"),
        )
        return [reason.code for reason in told]

    @pytest.mark.parametrize(
        ("names", "expected"), [("air", []), ("lower", ["not-observed"]), ("", ["not-observed"])]
    )
    def test_before_a_sign_off_the_write_up_must_name_the_level(self, names, expected):
        assert self.missing(seen("ana", DAY, writeup="sheet", names=names)) == expected

    def test_one_without_a_write_up_counts(self):
        assert self.missing(seen("ana", DAY)) == []

    @pytest.mark.parametrize(
        ("writeup", "expected"), [("sheet", []), ("", []), ("air", ["change-not-shown"])]
    )
    def test_a_changed_write_up_is_shown_by_that_one(self, writeup, expected):
        rows = [
            sign("ana", "2026-01-10"),
            read("ana", 2, "2026-03-11"),
            seen("ana", "2026-03-12", writeup=writeup, names="air"),
        ]
        changed = [revision(1, "2025-01-01"), revision(2, DAY, "show again")]
        assert (
            codes(ask(shop(person("ana"), self.RULES, changed, rows), on="2026-03-20")) == expected
        )


class TestFirstDayOfWrittenJobs:
    """Practice is not asked until months(practice_from, practice_months), that day included."""

    RULES = level(practice_jobs=2, practice_months=6, practice_from=day("2026-01-31"))
    SHOP = shop(person("ana"), RULES, sign("ana", "2025-06-10"))

    def test_until_so_many_months_after_it_nobody_is_out_of_practice(self):
        # Six months on from 31 Jan is 31 Jul 2026; the sign-off left the window on 11 Dec 2025.
        assert codes(ask(self.SHOP, on="2026-07-31")) == []
        assert codes(ask(self.SHOP, on="2026-08-01")) == ["out-of-practice"]

    def test_the_day_after_is_the_day_on_which_it_lapses(self):
        told = ask(self.SHOP, on="2026-03-01")
        assert (told.lapses_on, told.lapses_because) == (day("2026-08-01"), "out-of-practice")
        asking = Asking(self.SHOP, noon("2026-03-01"))
        found = spans(
            asking, Asked("ana", "air", day("2026-03-01"), as_question({})), day("2026-12-01")
        )
        assert [(one.first, one.standing) for one in found] == [
            (day("2026-03-01"), "alone"),
            (day("2026-08-01"), "watched"),
        ]

    def test_the_rule_says_from_when_it_is_asked(self):
        asking = Asking(self.SHOP, noon("2026-03-01"))
        [rule] = [
            rule
            for rule in explain(asking, Asked("ana", "air", day("2026-03-01"), as_question({})))
            if rule.name == "practice"
        ]
        assert rule.holds
        assert "1 Aug 2026" in say_asks(rule.asks)


class TestEndedAppointments:
    """Sol signs for Ana on 10 Mar; the appointment's early end decides whether he could."""

    def told(self, *ends, known_at=None):
        sol = [person("sol"), sign("sol", "2026-01-01"), appoint("sol", ends=ends)]
        signed = sign("ana", DAY, signer="sol")
        return codes(
            ask(shop(person("ana"), level(), sol, signed), on="2026-03-20", known_at=known_at)
        )

    def test_the_last_day_is_the_earlier_one(self):
        assert self.told((day(DAY), noon("2026-03-01"))) == []
        assert self.told((day("2026-03-09"), noon("2026-03-01"))) == ["signer-not-entitled"]
        assert self.told(
            (day("2026-03-09"), noon("2026-03-01")), (day("2026-04-01"), noon("2026-03-02"))
        ) == ["signer-not-entitled"]

    def test_it_counts_from_the_moment_at_which_it_is_written_down(self):
        late = (day("2026-03-09"), datetime(2026, 3, 15, 12, tzinfo=UTC))
        assert self.told(late, known_at=datetime(2026, 3, 15, 11, 59, tzinfo=UTC)) == []
        assert self.told(late, known_at=datetime(2026, 3, 15, 12, tzinfo=UTC)) == [
            "signer-not-entitled"
        ]
