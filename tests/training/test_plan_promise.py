"""Does a plan promise what the standing gives when it is carried out, and is no other plan better?

Held against every plan there is of small random shops, carried out on paper and asked of the
standing day by day (plan_shops.py, which shares nothing with the plan itself). By hand:
`python -m tests.training.plan_shops 1 1000`. Invented shops, no outside source.
"""

from dataclasses import replace
from datetime import date

import pytest

from tests.for_each import for_each
from tests.training.plan_shops import (
    MONDAY,
    OnPaper,
    Small,
    broken_promises,
    cost,
    drafted_of,
    entries_of,
    grow,
    is_possible,
    other_than_best,
    planned,
)
from tests.training.standing_shop import (
    appoint,
    days,
    job,
    level,
    person,
    revision,
    sat,
    seen,
    shop,
    sign,
    with_rows,
)
from training.cover.effect import closes
from training.standing.answer import hindrances_of_signer
from training.standing.calendar import add_months

SEEDS = range(1, 41)


@for_each(SEEDS)
def test_a_plan_promises_what_comes_out_and_no_plan_is_better(seed):
    small = grow(seed)
    paper = OnPaper(small)
    plan, pieces = planned(small)
    assert plan.is_proven
    assert plan.cut == 0  # its model said no more than the standing
    assert broken_promises(small, paper, plan, pieces) == []
    assert broken_promises(small, OnPaper(small, signed_at_the_end=True), plan, pieces) == []
    assert plan.missing == paper.missing(pieces)
    assert is_possible(small, paper, pieces)
    assert plan.hours == pytest.approx(cost(small, pieces))
    assert other_than_best(small, paper, plan) is None
    for piece in pieces:
        over = [
            entry for one in pieces if one.ends < piece.ends for entry in entries_of(small, one)
        ]
        told = with_rows(small.records, *over)
        at = max(row.recorded_at for row in entries_of(small, piece))
        assert (
            hindrances_of_signer(told, piece.signer, piece.who, piece.lvl, (), piece.signed_on, at)
            == ()
        )


@pytest.mark.parametrize("seed", range(1, 13))
def test_a_plan_of_a_larger_shop_promises_what_comes_out_under_changing_rules_too(seed):
    small = grow(seed, large=True)
    paper = OnPaper(small)
    plan, pieces = planned(small)
    assert plan.cut == 0
    assert broken_promises(small, paper, plan, pieces) == []
    assert broken_promises(small, OnPaper(small, signed_at_the_end=True), plan, pieces) == []
    assert plan.missing == paper.missing(pieces)


def test_the_seeds_try_what_they_should():
    plans = [(small, pieces) for small in map(grow, SEEDS) if (pieces := planned(small)[1])]
    assert len(plans) > 8

    def some(holds):
        return any(holds(small, piece) for small, pieces in plans for piece in pieces)

    assert some(lambda small, piece: piece.who in small.seniors)
    assert some(lambda small, piece: small.rules[piece.lvl].valid_months == 1)
    assert some(lambda small, piece: small.people[piece.who].started > MONDAY)
    assert some(lambda small, piece: small.people[piece.who].left)
    assert some(lambda small, piece: (piece.who, "branch") in small.shifts)
    assert some(lambda small, piece: piece.kind == "train" and piece.begins < piece.ends)
    assert any(len(pieces) > 1 for _, pieces in plans)
    large = [planned(grow(seed, large=True))[1] for seed in range(1, 13)]
    assert max(map(len, large)) > 3
    assert any(len({piece.who for piece in pieces}) < len(pieces) for pieces in large)


@for_each(SEEDS)
def test_what_a_line_closes_is_short_without_it(seed):
    small = grow(seed)
    made = drafted_of(small)
    plan, pieces = planned(small)
    paper = OnPaper(small)
    for line, piece in zip(plan.lines, pieces, strict=True):
        rest = tuple(one for one in pieces if one is not piece)
        found = {(one.workshop, one.level, one.day) for one in closes(made.ground, plan, line)}
        assert found, "a line that closes nothing costs hours for nothing"
        if is_possible(small, paper, rest):
            with_it, without = paper.cover(pieces), paper.cover(rest)
            assert found == {
                one[:3] for one, other in zip(with_it, without, strict=True) if other[-1] > one[-1]
            }


# --- worked by hand

EVERY_DAY = frozenset(range(5))


def hand(*rows, rules, weeks=8, want=2, works=None, records=None):
    """Sol signs and ana learns; so many are wanted from Monday to Friday."""
    sol = replace(person("sol"), trade="senior")
    founding = sign("sol", "2026-11-27")
    here = shop(sol, rules, revision(1, "2026-01-05"), appoint("sol"), rows or [])
    here = records or with_rows(here, founding)
    people = [one.login for one in here.people]
    shifts = works or {(who, "main"): EVERY_DAY for who in people}
    wanted = {("main", rules.level): (want,) * 5 + (0, 0)}
    return Small(here, shifts, frozenset(), wanted, weeks, 2.0, 1.0, 1)


MONTH = level(valid_months=1, practice_jobs=1, practice_months=3)


def test_a_sign_off_that_runs_out_in_the_span_is_promised_as_long_as_it_holds():
    """Sol's runs out on 27 December and nobody can renew it; ana's, signed on Friday 4 December,
    holds until 4 January, and nobody is left to renew hers when it ends.
    """
    small = hand(person("ana"), rules=MONTH)
    paper = OnPaper(small)
    plan, pieces = planned(small)
    (ana,) = [piece for piece in pieces if piece.kind == "train"]
    assert broken_promises(small, paper, plan, pieces) == []
    assert plan.missing == paper.missing(pieces)
    last = max(day.day for day in plan.days if "ana" in day.there)
    renewals = [piece for piece in pieces if piece.who == "ana" and piece.kind == "renew"]
    assert last == min(
        add_months(max(piece.signed_on for piece in (ana, *renewals)), 1), days(MONDAY, 53)
    )
    # what the whole span would be without validity: 5 days of the first week short by one
    assert plan.missing > 5


def test_two_seniors_renew_each_other_and_both_stay():
    """Both run out within the span, on different days: each is renewed by the other before that,
    and again a month later.
    """
    uma = replace(person("uma"), trade="senior")
    small = hand(uma, sign("uma", "2026-11-20"), appoint("uma"), rules=MONTH)
    paper = OnPaper(small)
    plan, pieces = planned(small)
    assert plan.missing == paper.missing(pieces) == 0
    assert {(piece.who, piece.signer) for piece in pieces} == {("sol", "uma"), ("uma", "sol")}
    assert all(piece.kind == "renew" for piece in pieces)


def test_nobody_is_promised_after_the_last_day():
    """Ana leaves on 4 January; 14 days of hers after it were promised once."""
    small = hand(person("ana", left="2027-01-04"), rules=level())
    plan, pieces = planned(small)
    there = [day.day for day in plan.days if "ana" in day.there]
    assert (min(there), max(there)) == (days(MONDAY, 7), date(2027, 1, 4))
    assert plan.missing == OnPaper(small).missing(pieces) == 5 + 14


def test_who_starts_in_the_span_is_planned_from_the_first_day():
    """Ana starts on Wednesday of the second week; she learns in it and counts from the third."""
    starts = days(MONDAY, 9)
    small = hand(person("ana", started=starts), rules=level())
    plan, pieces = planned(small)
    assert [(piece.who, piece.begins, piece.ends) for piece in pieces] == [("ana", 1, 1)]
    assert min(day.day for day in plan.days if "ana" in day.there) == days(MONDAY, 14)
    assert plan.missing == OnPaper(small).missing(pieces) == 10


def test_learner_and_senior_need_a_day_in_one_workshop():
    """On the same days in two workshops they never meet; one day a week together is enough."""
    apart = {
        ("ana", "main"): frozenset({0, 1}),
        ("sol", "main"): frozenset({2, 3}),
        ("sol", "branch"): frozenset({0, 1}),
        ("ana", "branch"): frozenset({4}),
    }
    small = hand(person("ana"), rules=level(), works=apart)
    assert planned(small)[1] == ()
    once = {**apart, ("sol", "branch"): frozenset({0, 1, 4})}
    small = hand(person("ana"), rules=level(), works=once)
    (piece,) = planned(small)[1]
    assert piece.signed_on == days(MONDAY, 4)


def test_an_earlier_level_that_runs_out_takes_the_later_one_with_it():
    """Ana holds damper for years and lower until 9 December: damper is promised until then, and
    again from the day after the week in which lower is renewed.
    """
    lower = level("lower", valid_months=1)
    damper = level("damper", earlier=("lower",))
    sol = replace(person("sol"), trade="senior")
    records = shop(
        sol,
        person("ana"),
        lower,
        damper,
        revision(1, "2026-01-05"),
        appoint("sol", "lower"),
        [sign("sol", "2026-11-27", lvl=name) for name in ("lower", "damper")],
        sign("ana", "2026-11-09", lvl="lower"),
        sign("ana", "2026-11-09", lvl="damper"),
    )
    small = hand(rules=damper, records=records, weeks=3)
    paper = OnPaper(small)
    plan, pieces = planned(small)
    assert [(piece.who, piece.lvl, piece.kind, piece.ends) for piece in pieces] == [
        ("ana", "lower", "renew", 0)
    ]
    assert plan.missing == paper.missing(pieces) == 0


def test_practice_that_runs_out_is_renewed_too():
    """One job in a month: ana's last is of 5 November, so she falls on 6 December."""
    rules = level(practice_jobs=1, practice_months=1)
    small = hand(
        person("ana"), sign("ana", "2026-01-12"), job("ana", "2026-11-05"), rules=rules, weeks=3
    )
    plan, pieces = planned(small)
    assert [(piece.who, piece.kind, piece.ends) for piece in pieces] == [("ana", "renew", 0)]
    assert plan.missing == OnPaper(small).missing(pieces) == 0


def test_an_observer_who_saw_it_before_is_not_a_second_one():
    """Two different people have to see it; sol saw it, and only sol is there."""
    rules = level(observations=2, observers=2, pass_percent=75)
    rows = (person("ana"), sat("ana", "2026-11-20"), seen("ana", "2026-11-21", "sol"))
    assert planned(hand(*rows, rules=rules))[1] == ()
    uma = replace(person("uma"), trade="senior")
    small = hand(*rows, uma, sign("uma", "2026-11-27"), rules=rules, want=3)
    assert {piece.who for piece in planned(small)[1]} == {"ana"}
