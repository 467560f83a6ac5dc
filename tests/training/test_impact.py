"""Whose standing does a release change, and does it break the cover?

Every claim about spans is held against asking the standing function day by day, over random shops;
the cover against a direct count. The cases by hand follow from the shop's own written rules.
"""

import random
import tempfile
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from tests.training.folder_shop import folder_shop
from tests.training.grow_shop import BROUGHT_AT, TODAY, WRITEUPS, grow_shop
from tests.training.standing_shop import (
    appoint,
    day,
    days,
    level,
    noon,
    person,
    read,
    revision,
    sat,
    shop,
    sign,
    with_rows,
)
from training.cover.gaps import gaps, gaps_of_change
from training.cover.release import Stage, cover_of, find_earliest
from training.cover.rota import Away, Rota, Shift
from training.standing.answer import standings
from training.standing.days import spans
from training.standing.entitlement import Asked, Asking, as_question
from training.standing.evidence import RevisionFact
from training.standing.impact import asks_of_people, count_minutes, moment_known, people_touched

ASKS = ("nothing", "read again", "answer again", "show again")
MONDAY = day("2026-11-30")


def grown(seed, wild=False):
    with tempfile.TemporaryDirectory() as folder:
        grow_shop(seed, Path(folder), wild)
        return folder_shop(Path(folder), BROUGHT_AT)


def levels_of(of):
    return tuple(dict.fromkeys(rules.level for rules in of.levels))


def release_for(of, seed):
    rng = random.Random(seed)
    name = rng.choice([row.writeup for row in of.revisions] or WRITEUPS)
    number = 1 + max((row.number for row in of.revisions if row.writeup == name), default=0)
    return RevisionFact(
        name, number, TODAY + timedelta(days=rng.choice((0, 0, 1, 9))), rng.choice(ASKS)
    )


def day_by_day(of, first, until, known_at):
    """The standing of everybody at every level on every day: one call for each day, nothing
    remembered.
    """
    found = {}
    for number in range((until - first).days + 1):
        on = first + timedelta(days=number)
        for key, word in standings(of, levels_of(of), on, known_at, {}).items():
            found[(*key, on)] = word
    return found


@pytest.mark.parametrize("wild", [False, True], ids=["tame", "wild"])
@pytest.mark.parametrize("seed", range(1, 11))
def test_a_timeline_says_what_the_standing_says_on_each_day(seed, wild):
    of = grown(seed, wild)
    first, until = TODAY - timedelta(days=200), TODAY + timedelta(days=60)
    asking = Asking(of, BROUGHT_AT)
    wanted = day_by_day(of, first, until, BROUGHT_AT)
    for who in of.people:
        for lvl in levels_of(of):
            spells = spans(asking, Asked(who.login, lvl, first, as_question({})), until)
            assert spells[0].first == first
            assert spells[-1].until == until
            told = {
                (who.login, lvl, one.first + timedelta(days=number)): one.standing
                for one in spells
                for number in range((one.until - one.first).days + 1)
            }
            assert told == {
                key: word for key, word in wanted.items() if key[:2] == (who.login, lvl)
            }


@pytest.mark.parametrize("seed", range(1, 21))
def test_what_a_release_changes_is_what_each_day_says(seed):
    of = grown(seed, wild=seed % 2 == 0)
    release = release_for(of, seed)
    known_at, until = (
        moment_known(release.released, BROUGHT_AT),
        release.released + timedelta(days=45),
    )
    without = day_by_day(of, release.released, until, known_at)
    with_it = day_by_day(
        replace(of, revisions=(*of.revisions, release)), release.released, until, known_at
    )
    told = {
        (one.person, one.level, span.first + timedelta(days=number)): (span.without, span.with_it)
        for one in people_touched(of, release, known_at, until)
        for span in one.differences
        for number in range((span.until - span.first).days + 1)
    }
    assert told == {
        key: (word, with_it[key]) for key, word in without.items() if word != with_it[key]
    }


def test_random_releases_change_something():
    """The comparison is worth something only if standings change, down to watched and down to
    no.
    """
    seen_words = set()
    for seed in range(1, 21):
        of = grown(seed, wild=seed % 2 == 0)
        release = release_for(of, seed)
        until = release.released + timedelta(days=45)
        for one in people_touched(of, release, moment_known(release.released, BROUGHT_AT), until):
            seen_words |= {(span.without, span.with_it) for span in one.differences}
    assert {("alone", "no"), ("watched", "no")} <= seen_words


# --- by hand

AIR = level(writeups=("sheet",), grace_days=14, pass_percent=75)
PEOPLE = [person("ana"), replace(person("sol"), trade="senior"), person("tom")]
SIGNED = [appoint("sol"), sign("sol", "2026-01-05"), sign("ana", "2026-01-05")]
STUDIED = [
    revision(1, "2026-01-02"),
    *(
        row
        for who in ("sol", "ana", "tom")
        for row in (read(who, 1, "2026-01-03"), sat(who, "2026-10-01"))
    ),
]
SMALL = shop(PEOPLE, AIR, SIGNED, STUDIED)


def release(asks, on=MONDAY):
    return RevisionFact("sheet", 2, on, asks)


def told(asks):
    until = days(MONDAY, 40)
    found = people_touched(SMALL, release(asks), moment_known(MONDAY, noon("2026-11-25")), until)
    return {
        one.person: [(span.first, span.without, span.with_it) for span in one.differences]
        for one in found
    }


def test_whoever_is_alone_falls_when_the_grace_is_over_and_the_watched_at_once():
    after = days(MONDAY, 15)
    assert told("read again") == {
        "ana": [(after, "alone", "no")],
        "sol": [(after, "alone", "no")],
        "tom": [(MONDAY, "watched", "no")],
    }
    assert told("nothing") == {"tom": [(MONDAY, "watched", "no")]}


def test_what_is_asked_of_whom_and_how_long_it_takes():
    known_at = moment_known(MONDAY, noon("2026-11-25"))
    asked = asks_of_people(SMALL, release("show again"), known_at)
    assert {one.person: (one.reads, one.answers, one.shows) for one in asked} == {
        "ana": (True, True, True),
        "sol": (True, True, True),
        "tom": (True, False, False),
    }
    found = count_minutes(asked, 5)
    # Three people read five steps at 2 minutes; two sit 15 minutes; two show 60 minutes, and
    # somebody watches each.
    assert (found.reading, found.answering, found.showing, found.watching, found.total) == (
        30,
        30,
        120,
        120,
        300,
    )
    assert [one.person for one in asks_of_people(SMALL, release("nothing"), known_at)] == ["tom"]


def test_who_is_signed_off_for_some_forks_only_is_asked_too():
    limited = with_rows(SMALL, sign("tom", "2026-01-05", ring=("prong", "eyelet")))
    known_at = moment_known(MONDAY, noon("2026-11-25"))
    asked = {one.person: one for one in asks_of_people(limited, release("show again"), known_at)}
    assert (asked["tom"].standing, asked["tom"].answers, asked["tom"].shows) == (
        "alone",
        True,
        True,
    )
    # for every other fork tom works watched, and so has to read what asks nothing of the others
    assert [one.person for one in asks_of_people(limited, release("nothing"), known_at)] == ["tom"]
    ended = with_rows(SMALL, sign("tom", "2024-01-05", ring="prong"))
    asked = asks_of_people(ended, release("show again"), known_at)
    assert [one.standing for one in asked if one.person == "tom"] == ["watched"]


# --- the rota


def test_who_is_at_work_on_a_day():
    rota = Rota(
        [
            Shift("ana", "main", frozenset({0, 1}), day("2026-11-01"), day("2026-12-07")),
            Shift("ana", "other", frozenset({2})),
        ],
        [Away("ana", day("2026-12-01"), day("2026-12-02"))],
    )
    at_work = [
        on for number in range(14) if rota.is_at_work("ana", "main", on := days(MONDAY, number))
    ]
    assert at_work == [MONDAY, days(MONDAY, 7)]  # Tuesday 1 Dec away, Monday 7 Dec the last day
    assert not rota.is_at_work("ana", "other", day("2026-12-02"))
    assert rota.is_at_work("ana", "other", day("2026-12-09"))
    assert rota.workshops_of("ana") == ("main", "other")


@pytest.mark.parametrize("seed", range(12))
def test_gaps_are_what_a_direct_count_says(seed):
    rng = random.Random(seed)
    people, places, levels = ("ana", "sol", "tom", "kim"), ("main", "other"), ("air", "damper")
    shifts = [
        Shift(
            who,
            place,
            frozenset(rng.sample(range(7), rng.randint(0, 5))),
            *sorted(days(MONDAY, rng.randint(-5, 25)) for _ in "ab"),
        )
        for who in people
        for place in places
        for _ in range(rng.randint(0, 2))
    ]
    away = [
        Away(who, first, days(first, rng.randint(0, 5)))
        for who in people
        for first in [days(MONDAY, rng.randint(0, 20))]
        if rng.random() < 0.6
    ]
    wanted = {
        (place, lvl): tuple(rng.randint(0, 3) for _ in range(7))
        for place in places
        for lvl in levels
    }
    alone = {
        (who, lvl, days(MONDAY, number)): rng.random() < 0.7
        for who in people
        for lvl in levels
        for number in range(21)
    }
    counted = {}
    for number in range(21):
        on = days(MONDAY, number)
        for (place, lvl), want in wanted.items():
            there = sum(
                1
                for who in people
                if alone[who, lvl, on]
                and any(
                    s.person == who
                    and s.workshop == place
                    and s.first <= on <= s.until
                    and on.weekday() in s.weekdays
                    for s in shifts
                )
                and all(not (a.person == who and a.first <= on <= a.until) for a in away)
            )
            if there < want[on.weekday()]:
                counted[place, lvl, on] = want[on.weekday()] - there
    found = gaps(
        Rota(shifts, away),
        wanted,
        [days(MONDAY, number) for number in range(21)],
        lambda *key: alone[key],
    )
    assert {(gap.workshop, gap.level, gap.day): gap.missing for gap in found} == counted
    assert gaps_of_change(found, found) == ()


# --- the release and the cover

ALL_WEEK = frozenset(range(5))
WANTED = {("main", "air"): (1, 1, 1, 1, 1, 0, 0)}


def stage(*away, people=("ana", "sol")):
    rota = Rota(
        [Shift(who, "main", ALL_WEEK) for who in people],
        [Away(who, day(first), day(until)) for who, first, until in away],
    )
    return Stage(SMALL, rota, WANTED, noon("2026-11-25"), 40)


def test_with_everybody_at_work_nothing_breaks_if_all_do_at_once_what_is_asked():
    found = cover_of(stage(), release("read again"))
    assert (found.late, found.if_all) == ((), ())
    assert found.if_nobody[0].day == days(MONDAY, 15)
    assert len(found.if_nobody) == sum(
        1 for number in range(15, 41) if days(MONDAY, number).weekday() < 5
    )


def test_whoever_is_away_through_the_grace_is_late_and_the_earliest_day_is_told():
    away = stage(("ana", "2026-11-30", "2026-12-20"), people=("ana",))
    found = cover_of(away, release("read again"))
    # Ana is back on Monday 21 Dec, reads then, and is alone again on that day: nothing breaks that
    # was not broken.
    assert [(one.person, one.by) for one in found.late] == [("ana", day("2026-12-21"))]
    assert found.if_all == ()


def test_nobody_does_what_is_asked_before_the_first_day_here():
    """Ana starts on Monday 21 Dec, a week after the grace ends, and reads on that day."""
    starts = replace(person("ana"), started=day("2026-12-21"))
    later = replace(SMALL, people=(starts, *SMALL.people[1:]))
    found = cover_of(replace(stage(), shop=later), release("read again"))
    assert [(one.person, one.by) for one in found.late] == [("ana", day("2026-12-21"))]


def test_showing_needs_a_day_at_work_in_one_workshop():
    """Ana and Sol work on the same days in two workshops, and both on Thursday in one."""
    shifts = [
        Shift("ana", "main", frozenset({0, 1, 3})),
        Shift("sol", "branch", frozenset({0, 1, 2})),
        Shift("sol", "main", frozenset({3})),
    ]
    apart = replace(stage(), rota=Rota(shifts, []))
    doing = {one.person: one.by for one in cover_of(apart, release("show again")).late}
    assert doing == {"sol": None}  # ana is in time: on Thursday
    never = replace(stage(), rota=Rota(shifts[:2], []))
    doing = {one.person: one.by for one in cover_of(never, release("show again")).late}
    assert doing == {"ana": None, "sol": None}


def test_showing_needs_a_senior_at_work_who_is_alone_and_somebody_else():
    away = stage(("sol", "2026-11-30", "2026-12-20"))
    found = cover_of(away, release("show again"))
    # Sol is a senior with nobody to watch him; Ana waits for Sol until 21 Dec; the grace ends on 14
    # Dec.
    assert [(one.person, one.by) for one in found.late] == [
        ("ana", day("2026-12-21")),
        ("sol", None),
    ]
    assert [gap.day for gap in found.if_all] == [
        days(MONDAY, number) for number in (15, 16, 17, 18)
    ]
    # Released on Friday 4 Dec, the grace ends on the 18th; nobody is wanted at the weekend, and on
    # Monday 21 Dec Ana shows it. Released a day earlier, Friday 18 Dec is without anybody.
    assert find_earliest(away, release("show again"), days(MONDAY, 90)) == day("2026-12-04")
    before = cover_of(away, release("show again", on=day("2026-12-03")))
    assert [gap.day for gap in before.if_all] == [day("2026-12-18")]


def late(of, asks):
    """Who is late with what a release on MONDAY asks, and by when it is done."""
    return {one.person: one.by for one in cover_of(of, release(asks)).late}


@pytest.mark.parametrize(("back", "is_late"), [("2026-12-14", False), ("2026-12-15", True)])
def test_the_last_day_of_grace_is_in_time(back, is_late):
    """Fourteen days from Monday 30 Nov end with Monday 14 Dec."""
    away = stage(("ana", "2026-11-30", days(back, -1)), people=("ana",))
    assert late(away, "read again") == ({"ana": day(back)} if is_late else {})


def test_a_senior_who_is_not_alone_at_the_level_is_no_observer():
    """Sol is away until 20 Dec. Uma is a senior and there all the time, and never signed off."""
    uma = replace(person("uma"), trade="senior")
    of = stage(("sol", "2026-11-30", "2026-12-20"), people=("ana", "sol", "uma"))
    of = replace(of, shop=replace(SMALL, people=(*SMALL.people, uma)))
    assert late(of, "show again") == {"ana": day("2026-12-21"), "sol": None}


def test_a_senior_is_an_observer_from_the_day_of_the_own_sign_off_on():
    uma = replace(person("uma"), trade="senior")
    studied = [read("uma", 1, "2026-01-03"), sat("uma", "2026-10-01")]
    of = stage(("sol", "2026-11-30", "2026-12-20"), people=("ana", "sol", "uma"))
    more = with_rows(SMALL, uma, *studied, sign("uma", "2026-12-16", recorded=noon("2026-11-25")))
    # on Wednesday 16 Dec Uma can watch Ana, two days after the grace; Sol is back on the 21st
    assert late(replace(of, shop=more), "show again") == {
        "ana": day("2026-12-16"),
        "sol": day("2026-12-21"),
        "uma": day("2026-12-21"),
    }


def test_of_several_versions_of_the_rules_the_shortest_grace_counts_and_only_of_the_level():
    """From the 5th on a level gives three days instead of fourteen; another one gives none."""
    shorter = replace(AIR, grace_days=3, from_day=day("2026-12-05"))
    other = level("damper", grace_days=0)
    of = replace(
        stage(("ana", "2026-11-30", "2026-12-06"), people=("ana",)),
        shop=with_rows(SMALL, shorter, other),
    )
    assert late(of, "read again") == {"ana": day("2026-12-07")}
    of = replace(of, shop=with_rows(SMALL, other))
    assert late(of, "read again") == {}


def test_what_asks_nothing_makes_nobody_late():
    away = stage(("ana", "2026-11-30", "2026-12-20"), ("sol", "2026-11-30", "2026-12-20"))
    assert late(away, "nothing") == {}


def test_whoever_is_on_no_rota_or_never_alone_is_not_late():
    """Tom is not signed off; Sol stands on no rota."""
    of = stage(
        ("ana", "2026-11-30", "2026-12-20"),
        ("tom", "2026-11-30", "2026-12-20"),
        people=("ana", "tom"),
    )
    assert set(late(of, "read again")) == {"ana"}


def test_a_level_that_does_not_rest_on_the_write_up_has_nobody_late_nor_a_gap():
    damper = level("damper")
    of = stage(("ana", "2026-11-30", "2026-12-20"), people=("ana",))
    of = replace(
        of,
        shop=with_rows(SMALL, damper, sign("ana", "2026-01-05", lvl="damper")),
        wanted={("main", "damper"): (1,) * 7},
    )
    found = cover_of(of, release("read again"))
    assert [(one.person, one.level) for one in found.late] == [("ana", "air")]
    assert (found.if_nobody, found.if_all) == ((), ())


def test_a_release_of_today_is_of_this_moment():
    """It is noon. Who was signed off this morning was so before the release: the new revision is to
    be read within the grace, which ends on 9 Dec.
    """
    today = day("2026-11-25")
    morning = noon(today).replace(hour=8)
    kim = [
        person("kim"),
        read("kim", 1, "2026-01-03"),
        sat("kim", "2026-10-01"),
        sign("kim", today, recorded=morning),
    ]
    of = replace(stage(people=("kim",)), shop=with_rows(SMALL, *kim))
    found = cover_of(of, release("read again", on=today))
    assert found.if_nobody[0].day == day("2026-12-10")


@pytest.mark.parametrize("seed", range(1, 9))
def test_the_cover_of_a_release_is_what_each_day_says(seed):
    """If nobody does anything: the standing asked day by day, and the people counted one by one."""
    of = grown(seed)
    release = release_for(of, seed)
    rng = random.Random(seed)
    people = [one.login for one in of.people]
    shifts = [Shift(who, "main", frozenset(rng.sample(range(7), 4))) for who in people]
    wanted = {("main", lvl): tuple(rng.randint(0, 2) for _ in range(7)) for lvl in levels_of(of)}
    found = cover_of(Stage(of, Rota(shifts, []), wanted, BROUGHT_AT, 30), release)
    known_at = moment_known(release.released, BROUGHT_AT)
    short = []
    for shop_then in (of, replace(of, revisions=(*of.revisions, release))):
        each = day_by_day(shop_then, release.released, found.until, known_at)
        short.append(
            {
                (lvl, on): wanted["main", lvl][on.weekday()] - there
                for number in range((found.until - release.released).days + 1)
                for lvl in levels_of(of)
                for on in [release.released + timedelta(days=number)]
                for there in [
                    sum(
                        each[s.person, lvl, on] == "alone"
                        for s in shifts
                        if on.weekday() in s.weekdays
                    )
                ]
                if there < wanted["main", lvl][on.weekday()]
            }
        )
    without, with_it = short
    assert {(gap.level, gap.day): gap.missing for gap in found.if_nobody} == {
        key: missing for key, missing in with_it.items() if missing > without.get(key, 0)
    }
