"""Do the rings, the day of a lapse and the impact of a release hold at their edges? Worked out by
hand from the rules.
"""

from tests.training.standing_shop import (
    appoint,
    ask,
    day,
    job,
    level,
    noon,
    person,
    read,
    revision,
    sat,
    shop,
    sign,
    stand_down,
)
from training.standing.days import Span
from training.standing.entitlement import Asking
from training.standing.impact import (
    AsksOfPerson,
    asks_of_people,
    count_minutes,
    last_day_looked_at,
    levels_resting_on,
    spans_overlapping,
)
from training.standing.rings import rings

AT = noon("2026-11-25")
PEOPLE = [person(name) for name in ("ana", "bo", "cy", "dot", "sol")]


def closed(*rows):
    return rings(shop(PEOPLE, level(), *rows), AT).closed


class TestRings:
    def test_two_who_only_sign_for_each_other_are_a_ring(self):
        assert closed(
            sign("ana", "2026-01-05", signer="bo"), sign("bo", "2026-01-06", signer="ana")
        ) == (("ana", "bo"),)

    def test_three_in_a_row_are_a_ring_too(self):
        signed = [
            sign(who, "2026-01-05", signer=by)
            for who, by in (("ana", "bo"), ("bo", "cy"), ("cy", "ana"))
        ]
        assert closed(*signed) == (("ana", "bo", "cy"),)

    def test_a_ring_is_found_beside_people_whom_it_signs_for(self):
        signed = [
            sign(who, "2026-01-05", signer=by)
            for who, by in (("dot", "ana"), ("ana", "bo"), ("bo", "ana"), ("sol", "dot"))
        ]
        assert closed(*signed) == (("ana", "bo"),)

    def test_whom_somebody_outside_vouched_for_is_in_no_ring(self):
        ring = [sign("ana", "2026-01-05", signer="bo"), sign("bo", "2026-01-06", signer="ana")]
        assert closed(*ring, sign("ana", "2026-01-07", signer="sol")) == ()
        founding = sign("ana", "2026-01-04", signer="bo")._replace(founding=True)
        assert closed(*ring, founding) == ()

    def test_one_who_signs_for_themselves_is_no_group(self):
        assert closed(sign("ana", "2026-01-05", signer="ana")) == ()

    def test_edges_count_what_holds_and_what_is_founding_and_the_fallen_do_not_hold(self):
        rows = [
            sign("sol", "2026-01-01", signer=None),
            appoint("sol"),
            sign("ana", "2026-01-05", signer="sol"),
            sign("ana", "2026-01-06", signer="bo"),
        ]
        found = rings(shop(PEOPLE, person("owner"), level(), rows), AT)
        told = {
            (edge.signer, edge.person): (edge.times, edge.holds, edge.founding)
            for edge in found.edges
        }
        assert told == {
            ("owner", "sol"): (1, 1, 1),
            ("sol", "ana"): (1, 1, 0),
            ("bo", "ana"): (1, 0, 0),
        }
        assert [(row.signer, row.person) for row in found.fallen] == [("bo", "ana")]


class TestLapses:
    SIGNED = sign("ana", "2026-01-10")

    def lapse(self, *rows, on="2026-02-01", known_at=AT):
        told = ask(shop(*rows), on=on, known_at=known_at)
        return told.lapses_on and told.lapses_on.isoformat()

    def test_a_later_version_of_the_rules_is_asked_on_its_days(self):
        # Signed on 10 Jan 2026: 24 months at first, from 1 Jun only 6 (until 10 Jul), or from 1 Aug
        # only 3 (over already).
        first, six = level(), level(valid_months=6, from_day=day("2026-06-01"))
        three = level(valid_months=3, from_day=day("2026-08-01"))
        assert self.lapse(person("ana"), first, self.SIGNED) == "2028-01-11"
        assert self.lapse(person("ana"), first, six, self.SIGNED) == "2026-07-11"
        assert self.lapse(person("ana"), first, three, self.SIGNED) == "2026-08-01"

    def test_a_later_version_may_begin_to_ask_for_practice(self):
        later = level(practice_jobs=1, practice_months=3, from_day=day("2026-03-01"))
        # The sign-off itself counts for three months, until 10 Apr.
        assert self.lapse(person("ana"), level(), later, self.SIGNED) == "2026-04-11"
        assert (
            self.lapse(person("ana"), level(), later, self.SIGNED, job("ana", "2026-01-30"))
            == "2026-05-01"
        )

    def test_the_first_of_the_reasons_of_the_calendar_is_told(self):
        rules = level(writeups=("sheet",), grace_days=7)
        assert self.lapse(person("ana", left="2026-03-31"), level(), self.SIGNED) == "2026-04-01"
        assert (
            self.lapse(
                person("ana"),
                level(),
                self.SIGNED,
                stand_down("ana", "2026-03-02", recorded=noon("2026-01-20")),
            )
            == "2026-03-02"
        )
        assert (
            self.lapse(person("ana"), rules, self.SIGNED, revision(1, "2026-01-25", "read again"))
            == "2026-02-02"
        )

    def test_beyond_50_years_nothing_lapses(self):
        assert self.lapse(person("ana"), level(valid_months=601), sign("ana", "2026-02-01")) is None
        assert (
            self.lapse(person("ana"), level(valid_months=599), sign("ana", "2026-02-01"))
            == "2076-01-02"
        )

    def test_enough_jobs_keep_it_and_the_one_that_leaves_too_few_lets_it_fall(self):
        rules = level(practice_jobs=2, practice_months=6)
        old = sign("ana", "2025-06-01")
        jobs = [job("ana", on) for on in ("2025-12-20", "2026-01-20", "2026-01-31")]
        # On 21 Jul the job of 20 Jan has left; one of two is left.
        assert self.lapse(person("ana"), rules, old, jobs) == "2026-07-21"


class TestImpact:
    def asked(self, asks, *, percent=80):
        rules = level(writeups=("sheet",), pass_percent=percent)
        people = [person("ana"), person("bo"), person("cy")]
        rows = [
            sign("ana", "2026-01-10"),
            read("bo", 1, "2026-01-05"),
            sat("bo", "2026-01-05"),
            revision(1, "2025-01-01"),
        ]
        return asks_of_people(
            shop(people, rules, rows), revision(2, "2026-02-01", asks), noon("2026-02-02")
        )

    def test_who_is_alone_does_what_is_asked_and_who_is_watched_reads(self):
        assert self.asked("nothing") == (
            AsksOfPerson("bo", "air", "watched", reads=True, answers=False, shows=False),
        )
        alone, watched = self.asked("show again")
        assert alone == AsksOfPerson("ana", "air", "alone", reads=True, answers=True, shows=True)
        assert watched == AsksOfPerson(
            "bo", "air", "watched", reads=True, answers=False, shows=False
        )
        assert self.asked("answer again")[0] == AsksOfPerson(
            "ana", "air", "alone", reads=True, answers=True, shows=False
        )

    def test_without_a_quiz_there_is_nothing_to_answer(self):
        assert [one.answers for one in self.asked("show again", percent=0)] == [False, False]

    def test_each_reads_once_however_many_levels_ask_and_shows_at_each(self):
        asked = [
            AsksOfPerson("ana", name, "alone", reads=True, answers=True, shows=True)
            for name in ("air", "low")
        ]
        told = count_minutes(
            [*asked, AsksOfPerson("bo", "air", "watched", reads=True, answers=False, shows=False)],
            steps=3,
        )
        # Two minutes a step, a quarter of an hour a sitting, an hour a showing for both who are
        # there (the module's assumptions).
        assert (told.reading, told.answering, told.showing, told.watching, told.total) == (
            12,
            30,
            120,
            120,
            282,
        )

    def test_the_span_holds_the_days_of_grace_and_one_more(self):
        there = shop(level(writeups=("sheet",), grace_days=40), level("other", grace_days=90))
        release = revision(2, "2026-02-01")
        assert last_day_looked_at(there, release, 28) == day("2026-03-14")  # 41 days on
        assert last_day_looked_at(there, release, 60) == day("2026-04-02")

    def test_levels_that_ask_for_one_of_the_write_up_rest_on_it_through_any_number_of_steps(self):
        levels = [
            level("far", earlier=("mid",)),
            level("mid", earlier=("low",)),
            level("low", writeups=("sheet",)),
            level("none"),
        ]
        assert levels_resting_on(shop(levels), "sheet") == ("far", "mid", "low")
        version = level("none", writeups=("sheet",), from_day=day("2027-01-01"))
        assert "none" in levels_resting_on(shop(levels, version), "sheet")

    def test_spells_that_share_one_day_overlap(self):
        one = Span(day("2026-01-01"), day("2026-01-05"), "alone")
        touching, apart = (
            Span(day(first), day("2026-01-09"), "no") for first in ("2026-01-05", "2026-01-06")
        )
        assert list(spans_overlapping([one], [touching, apart])) == [(one, touching)]
        assert list(spans_overlapping([touching, apart], [one])) == [(touching, one)]


def test_every_asking_reads_its_own_moment():
    """Known at the very instant of recording counts, a moment before does not."""
    there = shop(person("ana"), level(), sign("ana", "2026-01-10", recorded=noon("2026-01-12")))
    assert len(Asking(there, noon("2026-01-12")).known.signoffs("ana", "air")) == 1
    assert Asking(there, noon("2026-01-11")).known.signoffs("ana", "air") == ()
