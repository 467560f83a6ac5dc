"""Who is entitled to sign, what falls with a signer, and what must be there before a signing?

Expectations follow from the shop's own written rules; that nobody signs for their own work and that
a signer must hold the task have published models (14 CFR 121.371(c), 14 CFR 65.81(a)).
"""

from datetime import UTC, datetime

import pytest

from tests.training.standing_shop import (
    NOON,
    TODAY,
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
    with_rows,
)
from training.records.wording.reasons import say_reason
from training.standing.answer import NotInShopError, hindrances_of_signer, reasons_against_signing
from training.standing.dependants import entries_falling_with
from training.standing.signing import find_least_missing, is_alone_for_some_fork

ANA, SOL, TOM = person("ana"), person("sol"), person("tom")
SENIOR = (SOL, appoint("sol"), sign("sol", "2026-01-05"))


def signing_codes(of, signer="sol", limits=(), on="2026-02-01", who="ana"):
    return [
        reason.code
        for reason in hindrances_of_signer(of, signer, who, "air", limits, day(on), noon(on))
    ]


class TestMaySign:
    def test_an_appointed_signer_who_is_alone_may(self):
        assert signing_codes(shop(ANA, level(), SENIOR)) == []

    def test_nobody_signs_for_themselves(self):
        assert signing_codes(shop(level(), SENIOR), who="sol") == ["signs-for-self"]

    @pytest.mark.parametrize(
        ("appointed", "on", "expected"),
        [
            (appoint("sol", first="2026-02-01", until="2026-02-10"), "2026-02-01", []),
            (appoint("sol", first="2026-02-01", until="2026-02-10"), "2026-02-10", []),
            (
                appoint("sol", first="2026-02-01", until="2026-02-10"),
                "2026-01-31",
                ["not-appointed"],
            ),
            (
                appoint("sol", first="2026-02-01", until="2026-02-10"),
                "2026-02-11",
                ["not-appointed"],
            ),
            (appoint("sol", lvl="other"), "2026-02-01", ["not-appointed"]),
            (appoint("sol", recorded=noon("2026-02-02")), "2026-02-01", ["not-appointed"]),
        ],
    )
    def test_the_appointment_covers_both_its_days(self, appointed, on, expected):
        rows = shop(ANA, SOL, level(), appointed, sign("sol", "2026-01-05"))
        assert signing_codes(rows, on=on) == expected

    def test_a_signer_not_alone_may_not(self):
        told = hindrances_of_signer(
            shop(ANA, SOL, level(), appoint("sol")), "sol", "ana", "air", (), TODAY, NOON
        )
        assert [reason.code for reason in told] == ["signer-not-alone"]
        assert "Not signed off for Level air" in say_reason(told[0])
        down = shop(ANA, level(), SENIOR, stand_down("sol", "2026-02-01"))
        assert signing_codes(down) == ["signer-not-alone"]
        assert signing_codes(down, on="2026-01-31") == []

    def test_a_limited_signer_signs_within_the_same_limits(self):
        rows = shop(
            ANA, SOL, level(), appoint("sol"), sign("sol", "2026-01-05", ring=("prong", "eyelet"))
        )
        assert signing_codes(rows, limits=(("ring", ("prong", "eyelet")),)) == []
        assert signing_codes(rows, limits=(("ring", ("prong",)), ("bumper", ("none",)))) == []
        assert signing_codes(rows, limits=(("ring", ("prong", "coil")),)) == ["signer-not-alone"]
        assert signing_codes(rows, limits=(("bumper", ("none",)),)) == ["signer-not-alone"]
        assert signing_codes(rows) == ["signer-not-alone"]
        assert signing_codes(rows, limits=(("ring", ()),)) == ["signer-not-alone"]

    def test_a_sign_off_of_the_same_day_helps_only_when_founding(self):
        boss = (TOM, appoint("tom"), sign("tom", "2026-01-05"))
        same_day = shop(ANA, SOL, level(), appoint("sol"), boss, sign("sol", "2026-02-01", "tom"))
        assert signing_codes(same_day) == ["signer-not-alone"]
        assert signing_codes(same_day, on="2026-02-02") == []
        assert (
            signing_codes(shop(ANA, SOL, level(), appoint("sol"), sign("sol", "2026-02-01"))) == []
        )

    def test_an_unknown_level_is_named(self):
        with pytest.raises(NotInShopError, match="nowhere"):
            hindrances_of_signer(shop(ANA), "sol", "ana", "nowhere", (), TODAY, NOON)


class TestEntitled:
    def test_a_sign_off_holds_by_the_signers_standing_on_the_day_of_signing(self):
        last_day, day_after = sign("ana", "2026-07-05", "sol"), sign("ana", "2026-07-06", "sol")
        both = shop(ANA, level(valid_months=6), SENIOR, last_day, day_after)
        late = shop(ANA, level(valid_months=6), SENIOR, day_after)
        found = named(ask(both, on="2026-08-01").evidence)
        assert found[0] == "sign-off of 5 Jul 2026 by Sol"
        assert codes(ask(late, on="2026-08-01")) == ["signer-not-entitled"]

    def test_a_signer_who_left_since_was_entitled_all_the_same(self):
        gone = person("sol", left="2026-03-01")
        rows = shop(ANA, level(), gone, SENIOR[1:], sign("ana", "2026-03-01", "sol"))
        assert ask(rows).standing == "alone"
        late = shop(ANA, level(), gone, SENIOR[1:], sign("ana", "2026-03-02", "sol"))
        assert codes(ask(late)) == ["signer-not-entitled"]

    def test_a_limited_signer_covers_only_limited_sign_offs(self):
        limited = (SOL, appoint("sol"), sign("sol", "2026-01-05", ring="prong"))
        inside = shop(ANA, level(), limited, sign("ana", "2026-02-01", "sol", ring="prong"))
        wide = shop(ANA, level(), limited, sign("ana", "2026-02-01", "sol"))
        assert ask(inside, ring="prong").standing == "alone"
        assert codes(ask(wide, ring="prong")) == ["signer-not-entitled"]

    def test_the_signer_must_hold_the_earlier_level_too(self):
        rows = [
            ANA,
            level("lower"),
            level(earlier=("lower",)),
            SENIOR,
            sign("ana", "2026-02-01", "sol"),
        ]
        mine = sign("ana", "2026-01-02", lvl="lower")
        assert codes(ask(shop(rows, mine))) == ["signer-not-entitled"]
        assert ask(shop(rows, mine, sign("sol", "2026-01-02", lvl="lower"))).standing == "alone"

    def test_a_founding_sign_off_needs_no_entitled_signer(self):
        assert ask(shop(ANA, level(), sign("ana", "2026-02-01"))).standing == "alone"

    def test_two_who_sign_for_each_other_hold_nothing_up(self):
        pair = [ANA, SOL, level(), appoint("ana"), appoint("sol")]
        same_day = shop(pair, sign("ana", "2026-02-01", "sol"), sign("sol", "2026-02-01", "ana"))
        in_turn = shop(pair, sign("ana", "2026-02-01", "sol"), sign("sol", "2026-02-02", "ana"))
        for ring in (same_day, in_turn):
            assert {codes(ask(ring, who))[0] for who in ("ana", "sol")} == {"signer-not-entitled"}

    def test_a_ring_through_two_levels_on_one_day_holds_nothing_up(self):
        rows = [ANA, SOL, level("lower"), level(earlier=("lower",))]
        appointed = [appoint(who, lvl) for who in ("ana", "sol") for lvl in ("lower", "air")]
        ring = shop(
            rows,
            appointed,
            [sign("sol", "2026-01-05"), sign("ana", "2026-01-05")],
            [
                sign("ana", "2026-02-01", "sol", lvl="lower"),
                sign("sol", "2026-02-01", "ana", lvl="lower"),
            ],
        )
        assert {
            ask(ring, who, lvl).standing for who in ("ana", "sol") for lvl in ("lower", "air")
        } == {"watched"}

    def test_a_founding_sign_off_holds_up_what_is_signed_on_its_day(self):
        rows = shop(
            ANA,
            SOL,
            level(),
            appoint("sol"),
            sign("sol", "2026-02-01"),
            sign("ana", "2026-02-01", "sol"),
        )
        assert ask(rows, on="2026-02-01").standing == "alone"

    def test_a_long_chain_of_signers_is_followed_to_its_end(self):
        names = [f"p{number}" for number in range(400)]
        rows = [
            level(valid_months=60),
            [person(name) for name in names],
            [appoint(name) for name in names],
        ]
        chain = [
            sign(name, days("2024-01-02", place), names[place])
            for place, name in enumerate(names[1:])
        ]
        held = shop(rows, sign("p0", "2024-01-01"), chain)
        assert ask(held, "p399").standing == "alone"
        cut = with_rows(held, void("signoff", "p0", "air", "2024-01-01", NOON))
        assert codes(ask(cut, "p399")) == ["signer-not-entitled"]


class TestVoidedSigner:
    CHAIN = (
        [ANA, TOM, person("kim"), level(), SENIOR, appoint("tom"), appoint("kim")],
        [
            sign("tom", "2026-02-01", "sol"),
            sign("kim", "2026-03-01", "tom"),
            sign("ana", "2026-04-01", "kim"),
        ],
        [
            seen("ana", "2026-03-20", "kim"),
            seen("ana", "2026-02-20", "kim"),
            job("ana", "2026-03-22"),
        ],
        [job("ana", "2026-03-21", watched_by="tom"), job("ana", "2026-01-20", watched_by="tom")],
    )

    def test_what_rested_on_the_signer_falls_from_the_moment_it_is_known(self):
        held = shop(self.CHAIN, void("signoff", "sol", "air", "2026-01-05", noon("2026-06-01")))
        assert ask(held, known_at=noon("2026-05-31")).standing == "alone"
        assert codes(ask(held, known_at=noon("2026-06-01"))) == ["signer-not-entitled"]

    def test_all_that_rested_on_it_is_listed_through_each_step(self):
        held = shop(self.CHAIN)
        told = entries_falling_with(held, self.VOID, NOON)
        assert {(row.person, row.on) for row in told.signoffs} == self.FALL
        assert [row.on for row in told.observations] == [day("2026-03-20")]
        assert [row.on for row in told.jobs] == [day("2026-03-21")]

    VOID = void("signoff", "sol", "air", "2026-01-05", NOON)
    FALL = {("tom", day("2026-02-01")), ("kim", day("2026-03-01")), ("ana", day("2026-04-01"))}

    def test_what_has_another_support_is_not_listed(self):
        held = shop(self.CHAIN, sign("kim", "2026-03-15"))
        told = entries_falling_with(held, self.VOID, NOON)
        assert {row.person for row in told.signoffs} == {"tom", "kim"}
        assert told.observations == ()

    def test_work_seen_under_a_limited_sign_off_rests_on_it_too(self):
        limited = sign("sol", "2026-01-05", ring="prong")
        held = shop(
            ANA,
            SOL,
            level(),
            limited,
            job("ana", "2026-02-01", watched_by="sol"),
            seen("ana", "2026-01-04"),
        )
        told = entries_falling_with(held, self.VOID, NOON)
        assert [row.on for row in told.jobs] == [day("2026-02-01")]
        assert told.observations == ()

    def test_work_seen_by_a_limit_of_an_earlier_level_rests_on_that_one_too(self):
        """Sol may watch damper work on prongs only, since air is held for these alone."""
        held = shop(
            *(ANA, SOL, level(), level("damper", earlier=("air",))),
            sign("sol", "2026-01-05", ring="prong"),
            sign("sol", "2026-01-05", lvl="damper", bumper="none"),
            job("ana", "2026-02-01", lvl="damper", watched_by="sol", ring="prong", bumper="none"),
        )
        told = entries_falling_with(held, self.VOID, NOON)
        assert [row.on for row in told.jobs] == [day("2026-02-01")]


class TestMissingForSigning:
    OPTIONS = {"sheet": (("ring", ("prong", "eyelet")),)}

    def missing(self, *rows, limits=(), on="2026-05-01", **rules):
        of = shop(ANA, SOL, level(**rules), rows, options=self.OPTIONS)
        return [
            reason.code
            for reason in reasons_against_signing(of, "ana", "air", day(on), noon(on), limits)
        ]

    def test_a_level_that_asks_nothing_misses_nothing(self):
        assert self.missing() == []

    def test_watched_jobs_are_those_watched_by_somebody_else_at_the_level(self):
        two = [
            job("ana", "2026-04-01", watched_by="sol"),
            job("ana", "2026-04-30", watched_by="tom"),
        ]
        assert self.missing(two, watched_jobs=2) == []
        assert self.missing(two, watched_jobs=3) == ["too-few-watched-jobs"]
        for other in (
            job("ana", "2026-04-02"),
            job("ana", "2026-04-02", watched_by="ana"),
            job("ana", "2026-05-02", watched_by="sol"),
            job("ana", "2026-04-02", lvl="damper", watched_by="sol"),
        ):
            assert self.missing(two, other, watched_jobs=3) == ["too-few-watched-jobs"]

    def test_each_option_asks_for_a_watched_job(self):
        prong, eyelet = (
            job("ana", "2026-04-01", watched_by="sol", ring=ring) for ring in ("prong", "eyelet")
        )
        each = {"writeups": ("sheet",), "watched_jobs": 2, "watched_per_option": True}
        assert self.missing(prong, prong, **each) == ["too-few-watched-jobs"]
        assert self.missing(prong, eyelet, **each) == []
        assert self.missing(prong, prong, writeups=("sheet",), watched_jobs=2) == []
        assert self.missing(prong, prong, limits=(("ring", ("prong",)),), **each) == []

    def test_the_options_asked_are_those_of_the_version_of_the_day(self):
        """Rules that begin in June, with another write-up or none, change nothing in May."""
        prong = job("ana", "2026-04-01", watched_by="sol", ring="prong")
        each = {"writeups": ("sheet",), "watched_jobs": 1, "watched_per_option": True}
        other = level(**each | {"writeups": ("wheel",)}, from_day=day("2026-06-01"))
        none = level(**each | {"writeups": ()}, from_day=day("2026-06-01"))
        assert self.missing(prong, other, **each) == ["too-few-watched-jobs"]
        assert self.missing(prong, none, **each) == ["too-few-watched-jobs"]
        assert self.missing(prong, none, on="2026-06-01", **each) == []

    def test_each_option_of_each_write_up_is_asked(self):
        of = shop(
            *(ANA, SOL, level(writeups=("sheet", "wheel"), watched_per_option=True)),
            [job("ana", "2026-04-01", watched_by="sol", ring=ring) for ring in ("prong", "eyelet")],
            options=self.OPTIONS | {"wheel": (("ring", ("prong", "coil")),)},
        )
        (told,) = reasons_against_signing(of, "ana", "air", day("2026-05-01"), noon("2026-05-01"))
        assert dict(told.args)["lacking"] == (("ring", "coil"),)

    def test_whoever_can_be_signed_off_for_one_fork_is_offered_to_the_signer(self):
        """Also by a signer who is alone for that one only."""
        prong = job("ana", "2026-04-01", watched_by="sol", ring="prong")
        for signed in (SENIOR[2], sign("sol", "2026-01-05", ring="prong")):
            rules = level(watched_jobs=1, watched_per_option=True)
            rows = (ANA, SOL, rules, SENIOR[1], signed)
            for done, missing in ((prong, []), ((), ["too-few-watched-jobs"])):
                of = shop(*rows, done, options=self.OPTIONS)
                found = find_least_missing(of, "sol", "ana", "air", TODAY, NOON)
                assert [reason.code for reason in found] == missing
            assert is_alone_for_some_fork(of, "sol", "air", TODAY, NOON)
        assert find_least_missing(of, "sol", "sol", "air", TODAY, NOON) is None
        assert find_least_missing(of, "ana", "sol", "air", TODAY, NOON) is None
        assert not is_alone_for_some_fork(of, "ana", "air", TODAY, NOON)

    def test_an_earlier_level_held_for_one_fork_opens_the_next_one_for_it(self):
        """Also where the signer's own limit is of another variant: both are named then."""
        earlier = level("lower"), level("air", earlier=("lower",))
        held = sign("ana", "2026-01-06", signer="sol", lvl="lower", ring="prong")
        for limits in ({}, {"bumper": "fitted"}):
            signer = (
                appoint("sol"),
                appoint("sol", lvl="lower"),
                sign("sol", "2026-01-05", lvl="lower"),
            )
            of = shop(ANA, SOL, earlier, signer, sign("sol", "2026-01-05", **limits), held)
            assert find_least_missing(of, "sol", "ana", "air", TODAY, NOON) == ()

    def test_observations_are_those_done_right_by_enough_others(self):
        one = seen("ana", "2026-04-01")
        asked = {"observations": 2, "observers": 2}
        assert self.missing(one, seen("ana", "2026-04-02", "tom"), **asked) == []
        assert self.missing(one, seen("ana", "2026-04-02"), **asked) == ["not-observed"]
        assert self.missing(one, seen("ana", "2026-04-02"), observations=2) == []
        assert self.missing(one, seen("ana", "2026-04-02", right=False), observations=2) == [
            "not-observed"
        ]
        assert self.missing(one, seen("ana", "2026-04-02", "ana"), observations=2) == [
            "not-observed"
        ]
        assert self.missing(one, seen("ana", "2026-05-02"), observations=2) == ["not-observed"]

    def test_an_observer_who_is_asked_is_an_observation_that_is_asked(self):
        """As rules from a folder may have it; told as "0 of 0", nobody would know what to do."""
        of = shop(ANA, SOL, level(observers=2), seen("ana", "2026-04-01"))
        (told,) = reasons_against_signing(of, "ana", "air", day("2026-05-01"), noon("2026-05-01"))
        assert dict(told.args)["asked"] == 2
        assert "1 of 2 observations done right" in say_reason(told)

    def test_readings_and_a_pass_are_those_of_the_day(self):
        rules = {"writeups": ("sheet",), "pass_percent": 80, "valid_months": 12}
        done = [
            revision(1, "2025-01-01"),
            read("ana", 1, "2025-04-30"),
            sat("ana", "2025-05-01", 80),
        ]
        assert self.missing(done, **rules) == []
        assert self.missing(done, on="2026-05-02", **rules) == ["quiz-not-passed"]
        assert self.missing(done, revision(2, "2026-05-01"), **rules) == ["not-read"]

    def test_the_latest_sitting_must_be_a_pass(self):
        passed, failed = sat("ana", "2026-04-01", 80), sat("ana", "2026-04-02", 60)
        critical = sat("ana", "2026-04-03", 100, critical_right=False)
        assert self.missing(passed, failed, pass_percent=80) == ["quiz-not-passed"]
        assert self.missing(passed, failed, critical, pass_percent=80) == ["critical-wrong"]
        assert self.missing(failed, critical, sat("ana", "2026-04-04", 80), pass_percent=80) == []

    def test_of_one_day_the_later_instant_is_the_latest_sitting_in_any_order_of_entries(self):
        morning, evening = (datetime(2026, 4, 2, hour, tzinfo=UTC) for hour in (8, 18))
        passed, failed = (
            sat("ana", "2026-04-02", 80, recorded=evening),
            sat("ana", "2026-04-02", 60, recorded=morning),
        )
        assert (
            self.missing(passed, failed, pass_percent=80)
            == self.missing(failed, passed, pass_percent=80)
            == []
        )
        passed, failed = (
            sat("ana", "2026-04-02", 80, recorded=morning),
            sat("ana", "2026-04-02", 60, recorded=evening),
        )
        both = [
            self.missing(passed, failed, pass_percent=80),
            self.missing(failed, passed, pass_percent=80),
        ]
        assert both == [["quiz-not-passed"], ["quiz-not-passed"]]

    def test_of_one_instant_the_sitting_that_is_no_pass_counts_as_the_later_one(self):
        passed, failed = sat("ana", "2026-04-02", 80), sat("ana", "2026-04-02", 60)
        both = [
            self.missing(passed, failed, pass_percent=80),
            self.missing(failed, passed, pass_percent=80),
        ]
        assert both == [["quiz-not-passed"], ["quiz-not-passed"]]

    def test_a_paper_pass_entered_late_comes_by_its_own_day(self):
        paper, failed = (
            sat("ana", "2026-04-01", 80, recorded=noon("2026-04-20")),
            sat("ana", "2026-04-02", 60),
        )
        assert self.missing(failed, paper, pass_percent=80) == ["quiz-not-passed"]

    def test_a_failed_sitting_that_is_void_was_never_the_latest(self):
        passed, failed = sat("ana", "2026-04-01", 80), sat("ana", "2026-04-02", 60)
        gone = void("pass", "ana", "air", "2026-04-02", noon("2026-04-03"))
        assert self.missing(passed, failed, gone, pass_percent=80) == []


def missing_codes(of, on, lvl="air"):
    return [reason.code for reason in reasons_against_signing(of, "ana", lvl, day(on), noon(on))]


def test_a_renewal_waits_for_what_a_release_asks_to_be_shown():
    changed = shop(
        ANA,
        level(writeups=("sheet",)),
        SENIOR,
        sign("ana", "2026-01-10"),
        revision(2, "2026-03-01", "show again"),
        read("ana", 2, "2026-03-02"),
    )
    assert missing_codes(changed, "2026-04-01") == ["change-not-shown"]
    assert missing_codes(
        with_rows(changed, seen("ana", "2026-03-03", right=False)), "2026-04-01"
    ) == ["change-not-shown"]
    assert missing_codes(with_rows(changed, seen("ana", "2026-03-03")), "2026-04-01") == []


def test_nobody_is_signed_off_while_something_stands_in_the_way_that_a_signature_cannot_mend():
    assert missing_codes(
        shop(ANA, level(), SENIOR, stand_down("ana", "2026-03-01")), "2026-04-01"
    ) == ["stood-down"]
    early = shop(person("ana", started="2026-05-01"), level(), SENIOR)
    assert missing_codes(early, "2026-04-01") == ["not-here"]
    steep = shop(ANA, level(), level("damper", earlier=("air",)), SENIOR)
    assert missing_codes(steep, "2026-04-01", "damper") == ["earlier-level"]
    assert missing_codes(with_rows(steep, sign("ana", "2026-03-01")), "2026-04-01", "damper") == []
