"""Are the chances to pass exact, for guessers and for people who know a part?"""

import random
from collections import Counter
from fractions import Fraction
from itertools import combinations, pairwise, permutations, product
from math import comb, factorial, prod

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import beta, binom, chi2

from quizzes.kinds.choose_all import ChooseAll
from quizzes.kinds.kind import Option
from quizzes.kinds.put_in_order import PutInOrder
from quizzes.marking.drawn import TooManyWays, chances_of_meeting, fill_up, list_pots, list_ways
from quizzes.marking.draws import Candidate, DrawRules, FromPart, draw, pick_second, three_rounds
from quizzes.marking.marks import marks
from quizzes.marking.second_tries import find_steps
from quizzes.psychometrics import odds
from quizzes.psychometrics.guessing import (
    NOTHING,
    spread_of_one,
    spread_of_order,
    spread_of_pairs,
    spread_of_pairs_each,
    spread_of_some,
)
from quizzes.psychometrics.mastery import chance_of_at_least, chance_of_mastery, shortest_quiz
from quizzes.psychometrics.odds import (
    CURVE,
    LEVELS,
    DrawnPart,
    Pool,
    chance_of_passing,
    count_needed,
    least_marks,
    make_alike,
)
from quizzes.psychometrics.second_tries import chance_of_passing_alike
from quizzes.reports.odds import chances_after_sitting, chances_of
from tests.quizzes.published import near, numbers, row, rows

PASSES = rows("chance to pass")
WHOLLY = spread_of_one(Fraction(1))


def misjudged(need, questions, level, mark):
    """The chance that the result is on the other side of the mark than the true level (after J.
    Millman, 1973).
    """
    passes = chance_of_at_least(need, questions, level)
    return 1 - passes if level >= mark else passes


@pytest.mark.parametrize("published", PASSES, ids=lambda one: one["quantity"])
def test_guessers_and_knowers_pass_as_the_binomial_tables_say(published):
    # exact fractions; scipy; R pbinom
    need, asked, _ = map(int, numbers(published["quantity"]))
    guesser, knower = published["value"].split(";")
    for options, expected in zip((2, 3, 4, 5), numbers(guesser), strict=True):
        assert chance_of_passing(make_alike(options, asked), need, [0]) == near((expected,))
    for level, expected in zip((0.7, 0.8, 0.9, 0.95), numbers(knower), strict=True):
        assert chance_of_at_least(need, asked, level) == near(expected)
        # Who knows so much and never guesses.
        blank = (Pool((DrawnPart((NOTHING,) * asked, asked),)),)
        assert chance_of_passing(blank, need, [level]) == near((expected,))


def test_printed_binomial_tables():
    # two public course tables; each cell to half of its last printed digit
    printed = row("cumulative binomial, printed table")["value"]
    for said in printed.removeprefix("e.g. ").split(";"):
        where, cells = said.split(":")
        questions, level = numbers(where)
        for right, cell in enumerate(cells.split()):
            digits = len(cell.partition(".")[2])
            assert 1 - chance_of_at_least(right + 1, int(questions), level) == pytest.approx(
                float(cell), abs=0.5001 * 10**-digits
            )


@pytest.mark.parametrize(
    ("quantity", "found"),
    [
        ("printed tie-in: 4 of 5", chance_of_at_least(4, 5, Fraction(1, 4))),
        ("printed tie-in: true .9", chance_of_at_least(4, 5, Fraction(9, 10))),
    ],
)
def test_printed_tie_ins(quantity, found):
    assert found == near(numbers(row(quantity)["value"])[0], 5e-5)


def test_trap_a_pass_mark_in_percent_is_worked_out_in_whole_numbers():
    # ceil of the exact fraction; 25 · 0.56 is 14.000000000000002 in floating point
    said = row("pass-mark rounding")
    eighty, *others = said["value"].split(";")
    assert [count_needed(n, 80) for n in (5, 6, 7, 8, 9, 10, 12, 15)] == numbers(eighty)
    assert [count_needed(25, 56), count_needed(100, 7)] == [int(one) for one in others]
    for asked, percent in product(range(1, 120), range(101)):
        assert (
            count_needed(asked, percent)
            >= least_marks(asked, percent)
            > count_needed(asked, percent) - 1
        )


@pytest.mark.parametrize("published", rows("per cent misclassified"), ids=lambda one: one["inputs"])
def test_wrong_decisions_at_a_pass_mark(published):
    # layout of Millman (1973); exact sums, R pbinom
    asked, need = map(int, numbers(published["inputs"])[:2])
    levels = [Fraction(percent, 100) for percent in (50, 60, 70, 75, 80, 85, 90, 95)]
    found = [100 * misjudged(need, asked, level, Fraction(4, 5)) for level in levels]
    assert found == near(numbers(published["value"]), 0.0500001)


@pytest.mark.parametrize("published", rows("shortest test"), ids=lambda one: one["inputs"])
def test_the_shortest_quiz(published):
    # problem of Wilcox (1976); Python and R pbinom
    middle, sure = (
        Fraction(*map(int, part.split("/")))
        for part in (published["inputs"].split()[2].rstrip(","), published["inputs"].split()[-1])
    )
    questions, need, able, weak = numbers(published["value"])
    found = shortest_quiz(middle - Fraction(1, 10), middle + Fraction(1, 10), sure)
    assert (found.questions, found.need) == (questions, need)
    assert (found.able_pass, found.weak_fail) == near((able, weak), 1e-4)


@pytest.mark.parametrize("published", rows("P(true level >= .8"), ids=lambda one: one["inputs"])
def test_the_chance_that_somebody_is_able(published):
    # P(Bin(n+1, .8) <= k) by fractions; scipy beta; R pbeta
    right, asked = map(int, numbers(published["inputs"]))
    uniform, jeffreys = published["value"].split(";")
    assert chance_of_mastery(right, asked, Fraction(4, 5)) == near(numbers(uniform)[0])
    assert chance_of_mastery(right, asked, 0.8, prior=(0.5, 0.5)) == near(numbers(jeffreys)[-1])


@pytest.mark.parametrize(("right", "asked", "mark"), [(0, 1, 0.1), (7, 12, 0.6), (40, 40, 0.95)])
def test_the_chance_that_somebody_is_able_is_a_tail_of_beta(right, asked, mark):
    assert chance_of_mastery(right, asked, mark) == near(
        beta.sf(mark, 1 + right, 1 + asked - right), 1e-12
    )


@given(st.integers(1, 60), st.integers(1, 6), st.data())
@settings(max_examples=60)
def test_questions_all_alike_are_exactly_binomial(asked, options, data):
    need, level = data.draw(st.integers(0, asked)), data.draw(st.sampled_from(CURVE))
    right = float(level) + (1 - float(level)) / options
    assert chance_of_passing(make_alike(options, asked), need, [level]) == near(
        (binom.sf(need - 1, asked, right),), 1e-12
    )


@given(st.integers(1, 20), st.integers(2, 5), st.data())
@settings(max_examples=40)
def test_critical_questions_must_all_be_right_besides(asked, options, data):
    critical, need = data.draw(st.integers(0, asked)), data.draw(st.integers(0, asked))
    right = Fraction(1, options)
    expected = right**critical * sum(
        comb(asked - critical, k) * right**k * (1 - right) ** (asked - critical - k)
        for k in range(max(0, need - critical), asked - critical + 1)
    )
    assert chance_of_passing(make_alike(options, asked, critical), need, [0]) == near(
        (float(expected),), 1e-12
    )


SPREADS = st.one_of(
    st.integers(1, 5).map(lambda options: spread_of_one(Fraction(1, options))),
    st.tuples(st.integers(1, 3), st.integers(0, 3)).map(lambda both: spread_of_some(*both)),
    st.integers(2, 4).map(lambda many: spread_of_pairs(many, many)),
    st.just(NOTHING),
)
PARTS = st.tuples(st.lists(SPREADS, min_size=1, max_size=3), st.integers(0, 3), st.booleans()).map(
    lambda part: DrawnPart(tuple(part[0]), min(part[1], len(part[0])), part[2])
)
POOLS = st.lists(
    st.tuples(st.lists(PARTS, min_size=1, max_size=2).map(tuple), st.integers(0, 2)).map(
        lambda pool: Pool(
            pool[0], min(pool[1], sum(len(part.questions) - part.drawn for part in pool[0]))
        )
    ),
    min_size=1,
    max_size=2,
)


def draws_of(pool):
    """Every draw of a pool as (questions with whether they are critical), each as likely as it is
    often in the list.
    """
    for drawn in product(
        *(combinations(range(len(part.questions)), part.drawn) for part in pool.parts)
    ):
        fixed = [(at, place) for at, places in enumerate(drawn) for place in places]
        left = [
            (at, place)
            for at, part in enumerate(pool.parts)
            for place in range(len(part.questions))
            if place not in drawn[at]
        ]
        for more in combinations(left, pool.more):
            yield [
                (pool.parts[at].questions[place], pool.parts[at].critical)
                for at, place in [*fixed, *more]
            ]


def summed(found, spread, critical, level):
    """The chances of marks with one question more."""
    fresh: dict = {}
    outcomes = [
        (Fraction(1), level),
        *((share, (1 - level) * chance) for share, chance in spread if share == 1 or not critical),
    ]
    for (before, chance), (share, of_one) in product(found.items(), outcomes):
        fresh[before + share] = fresh.get(before + share, 0) + chance * of_one
    return fresh


def written_out(pools, least, level):
    """Every draw of every pool, question by question, in whole fractions."""
    every = [list(draws_of(pool)) for pool in pools]
    passes = Fraction(0)
    for draw_of_all in product(*every):
        found = {Fraction(0): Fraction(1)}
        for spread, critical in (one for drawn in draw_of_all for one in drawn):
            found = summed(found, spread, critical, level)
        passes += sum((chance for total, chance in found.items() if total >= least), Fraction(0))
    return float(passes / prod(map(len, every)))


@given(POOLS, st.sampled_from([0, Fraction(1, 2), Fraction(9, 10), 1]), st.integers(0, 100))
@settings(max_examples=30)
def test_mixed_kinds_and_draws_come_out_as_written_out(pools, level, percent):
    least = least_marks(sum(pool.asked for pool in pools), percent)
    assert chance_of_passing(pools, least, [level]) == near(
        (written_out(pools, least, Fraction(level)),), 1e-12
    )


@given(POOLS, st.integers(0, 100))
@settings(max_examples=40)
def test_who_knows_more_passes_more_often(pools, percent):
    chances = chance_of_passing(
        pools, least_marks(sum(pool.asked for pool in pools), percent), CURVE
    )
    assert all(one <= then + 1e-12 for one, then in pairwise(chances))
    assert chances[-1] == near(1.0, 1e-12)


@given(POOLS, st.sampled_from(CURVE))
@settings(max_examples=40)
def test_the_chances_of_all_marks_sum_to_one(pools, level):
    plain = [
        Pool(tuple(DrawnPart(part.questions, part.drawn) for part in pool.parts), pool.more)
        for pool in pools
    ]
    # `chance_of_passing` holds each chance to 1 at most, so the sums are looked at before that.
    sums = odds._all_marks(plain, odds._unit(plain), (float(level),))
    assert sums.sum() == near(1.0, 1e-12)


def guessed(question, answers, orders=None):
    """The spread of marks over every answer a guesser may give, each as likely, by the marking
    itself.
    """
    shares = [marks(question, one, orders).share for one in answers]
    return tuple(
        sorted((share, Fraction(shares.count(share), len(shares))) for share in set(shares))
    )


@pytest.mark.parametrize(("right", "wrong"), [(1, 0), (1, 3), (2, 2), (3, 1), (4, 3)])
def test_ticking_by_lot_gets_what_marking_gives(right, wrong):
    question = ChooseAll(tuple(Option(str(n), n < right) for n in range(right + wrong)))
    subsets = [
        list(one)
        for size in range(1, right + wrong + 1)
        for one in combinations(range(right + wrong), size)
    ]
    assert spread_of_some(right, wrong) == guessed(question, subsets)


class OnlyThese:
    """Orders of which some are right."""

    def __init__(self, right):
        self.right = right

    def is_right(self, order):
        return tuple(order) in self.right

    def demanded(self):
        return tuple(
            (a, b)
            for a, b in permutations("abcd", 2)
            if all(one.index(a) < one.index(b) for one in self.right)
        )


@pytest.mark.parametrize(
    "right",
    [
        {tuple("abcd")},
        {tuple("abcd"), tuple("bacd")},
        {tuple("abcd"), tuple("dcba")},
        {tuple("abcd"), tuple("badc")},
    ],
)
def test_ordering_by_lot_gets_what_marking_gives(right):
    orders = OnlyThese(right)
    every = [list(one) for one in permutations("abcd")]
    assert spread_of_order(tuple("abcd"), orders.demanded(), len(right)) == guessed(
        PutInOrder(tuple("abcd")), every, orders
    )


def test_an_order_of_which_one_is_right_falls_as_inversions_do():
    # Mahonian numbers (OEIS A008302): orders of 5 with 0, 1, 2 … inversions
    inversions = [int(n) for n in numbers(row("orders of n", "n = 5")["value"])]
    demanded = tuple(combinations("abcde", 2))
    found = dict(spread_of_order(tuple("abcde"), demanded, 1))
    for broken, orders in enumerate(inversions):
        tau = Fraction(10 - 2 * broken, 10)
        if tau > 0:
            assert found[tau] == Fraction(orders, 120)
    assert found[Fraction(0)] == Fraction(sum(inversions[5:]), 120)


@pytest.mark.parametrize(("many", "on_offer"), [(1, 1), (3, 3), (4, 4), (2, 4), (3, 5)])
def test_pairing_by_lot_fits_as_in_every_shuffle(many, on_offer):
    fits = [
        sum(left == partner for left, partner in enumerate(one))
        for one in permutations(range(on_offer), many)
    ]
    expected = {Fraction(n, many): Fraction(fits.count(n), len(fits)) for n in set(fits)}
    assert dict(spread_of_pairs(many, on_offer)) == expected
    each = [
        sum(left == partner for left, partner in enumerate(one))
        for one in product(range(on_offer), repeat=many)
    ]
    assert dict(spread_of_pairs_each(many, on_offer)) == {
        Fraction(n, many): Fraction(each.count(n), len(each)) for n in set(each)
    }


def test_no_pair_of_four_fits_in_nine_shuffles_of_24():
    # derangements: 1, 0, 1, 2, 9, 44 (OEIS A000166), from memory
    assert dict(spread_of_pairs(4, 4))[Fraction(0)] == Fraction(9, factorial(4))
    assert dict(spread_of_pairs(5, 5))[Fraction(0)] == Fraction(44, factorial(5))


def test_what_is_no_chance_or_no_quiz_is_refused():
    for refused in (
        lambda: spread_of_one(Fraction(3, 2)),
        lambda: spread_of_pairs(3, 2),
        lambda: Pool((DrawnPart((WHOLLY,), 2),)),
        lambda: Pool((DrawnPart((WHOLLY,), 1),), 1),
        lambda: make_alike(0, 5),
        lambda: make_alike(4, 0),
        lambda: make_alike(4, 5, 6),
        lambda: shortest_quiz(Fraction(1, 2), Fraction(1, 2), Fraction(1, 2)),
    ):
        with pytest.raises(ValueError, match=r"\w"):
            refused()


def test_no_quiz_is_long_enough_for_levels_that_lie_together():
    assert shortest_quiz(Fraction(799, 1000), Fraction(801, 1000), Fraction(99, 100)) is None


RULES = st.builds(
    DrawRules,
    st.integers(0, 6),
    st.sampled_from([0, 40, 100]),
    st.lists(
        st.builds(
            FromPart,
            st.sampled_from("xy"),
            st.just("step"),
            st.sampled_from("ab"),
            st.integers(0, 3),
        ),
        max_size=2,
    ).map(tuple),
)
BANKS = st.lists(
    st.tuples(st.sampled_from("xy"), st.booleans(), st.sets(st.sampled_from("ab")).map(frozenset)),
    min_size=1,
    max_size=7,
).map(lambda bank: [Candidate(key, *one) for key, one in enumerate(bank)])


def in_all(from_pots, taken, size):
    """How many questions come from each write-up."""
    found: Counter = Counter()
    for (name, _), many in fill_up(from_pots, taken, size).items():
        found[name] += many
    for pot, many in zip(from_pots, taken, strict=True):
        found[pot.writeup] += many
    return found


@given(BANKS, RULES, st.integers(0, 999))
@settings(max_examples=80)
def test_every_draw_is_one_of_the_ways(bank, rules, seed):
    from_pots = list_pots(bank, rules)
    drawn = set(draw(bank, rules, random.Random(seed)))
    found = list_ways(from_pots, rules)
    assert sum(found.values()) == 1
    of_pots = [len(drawn & set(pot.keys)) for pot in from_pots]
    of_writeups = Counter({pot.writeup: 0 for pot in from_pots})
    for pot, many in zip(from_pots, of_pots, strict=True):
        of_writeups[pot.writeup] += many
    assert any(
        all(many >= least for many, least in zip(of_pots, taken, strict=True))
        and of_writeups == in_all(from_pots, taken, rules.size)
        for taken in found
    )


@pytest.mark.parametrize(
    "rules",
    [
        DrawRules(2),
        DrawRules(4, 40),
        DrawRules(3, 0),
        DrawRules(4, 100, (FromPart("x", "step", "a", 2), FromPart("x", "step", "b", 2))),
        DrawRules(5, 50, (FromPart("y", "step", "a", 1),)),
    ],
)
def test_ways_and_questions_come_as_often_as_said(rules):
    """Chi-squared over 4000 seeds: above its .9999 quantile once in ten thousand tables."""
    marks_of = [
        ("x", True, "a"),
        ("x", True, ""),
        ("x", False, "ab"),
        ("x", False, "b"),
        ("x", False, "a"),
        ("y", True, "a"),
        ("y", False, "a"),
        ("y", False, ""),
    ]
    bank = [
        Candidate(key, writeup, critical, frozenset(steps))
        for key, (writeup, critical, steps) in enumerate(marks_of)
    ]
    from_pots = list_pots(bank, rules)
    said: Counter = Counter()
    for taken, chance in list_ways(from_pots, rules).items():
        more = fill_up(from_pots, taken, rules.size)
        subsets = []
        for first in product(
            *(combinations(pot.keys, many) for pot, many in zip(from_pots, taken, strict=True))
        ):
            fixed = {key for part in first for key in part}
            left = {
                kind: [
                    one.key
                    for one in bank
                    if (one.writeup, one.critical) == kind and one.key not in fixed
                ]
                for kind in more
            }
            fillings = product(*(combinations(left[kind], many) for kind, many in more.items()))
            subsets += [
                frozenset(fixed | {key for part in rest for key in part}) for rest in fillings
            ]
        for subset in subsets:
            said[subset] += float(chance) / len(subsets)
    seen = Counter(frozenset(draw(bank, rules, random.Random(seed))) for seed in range(4000))
    assert set(seen) <= set(said)
    distance = sum(
        (seen[one] - 4000 * chance) ** 2 / (4000 * chance) for one, chance in said.items()
    )
    assert distance <= chi2.ppf(0.9999, max(1, len(said) - 1))


def test_a_quiz_that_draws_in_too_many_ways_says_so():
    bank = [
        Candidate(n, "xyz"[n % 3], critical=True, steps=frozenset("abcdefgh"[n % 8]))
        for n in range(96)
    ]
    rules = DrawRules(
        40, 50, tuple(FromPart("xyz"[n % 3], "step", step, 1) for n, step in enumerate("abcdefgh"))
    )
    with pytest.raises(TooManyWays):
        list_ways(list_pots(bank, rules), rules)


def test_levels_go_from_half_to_nearly_all():
    assert [float(level) for level in LEVELS] == [
        0.5,
        0.55,
        0.6,
        0.65,
        0.7,
        0.75,
        0.8,
        0.85,
        0.9,
        0.95,
    ]


# Somebody who has sat once: every first draw, every second one and every guess, one by one


def every_some(waiting, count, seen):
    """Each set that `_some` can take, as likely as any other: of what was not seen first."""
    fresh, met = (
        [one for one in waiting if one.key not in seen],
        [one for one in waiting if one.key in seen],
    )
    new = min(max(count, 0), len(fresh))
    old = min(max(count, 0) - new, len(met))
    return [
        (*first, *then) for first in combinations(fresh, new) for then in combinations(met, old)
    ]


def every_draw(bank, rules, seen=frozenset()):
    """Each set of questions that a sitting can ask, with its chance; step by step, as the rules of
    the draw are written.
    """
    critical = [one for one in bank if one.critical]
    found = Counter()
    share = -(-len(critical) * rules.critical_percent // 100)
    for taken in (sets := every_some(critical, share, seen)):
        found[frozenset(taken)] += Fraction(1, len(sets))
    for part in rules.parts:
        after = Counter()
        for taken, chance in found.items():
            waiting = [one for one in bank if part.fits(one) and one not in taken]
            for more in (
                sets := every_some(waiting, part.count - sum(part.fits(one) for one in taken), seen)
            ):
                after[taken | set(more)] += chance / len(sets)
        found = after
    # Others up to the size: not critical ones first, and of both what was not seen; each from the
    # write-up with the fewest so far.
    for critical, is_seen in ((False, False), (False, True), (True, False), (True, True)):
        after = Counter()
        for taken, chance in found.items():
            left = [
                one
                for one in bank
                if one not in taken and (one.critical, one.key in seen) == (critical, is_seen)
            ]
            many = Counter(one.writeup for one in taken)
            wanted: Counter = Counter()
            there = Counter(one.writeup for one in left)
            while sum(many.values()) < rules.size and (
                names := [name for name in there if wanted[name] < there[name]]
            ):
                name = min(names, key=lambda name: (many[name], name))
                many[name] += 1
                wanted[name] += 1
            sets = list(
                product(
                    *(
                        combinations([one for one in left if one.writeup == name], wanted[name])
                        for name in sorted(there)
                    )
                )
            )
            for more in sets:
                after[taken | {one for some in more for one in some}] += chance / len(sets)
        found = after
    return found


def passes_by_hand(asked, known, spreads, percent):
    """The chance to pass these questions, every guess tried in turn."""
    found = Fraction(0)
    for outcome in product(
        *([(Fraction(1), Fraction(1))] if one.key in known else spreads[one.key] for one in asked)
    ):
        got = sum((share for share, _ in outcome), Fraction(0))
        is_passed = got * 100 >= percent * len(asked) and all(
            share == 1 for one, (share, _) in zip(asked, outcome, strict=True) if one.critical
        )
        found += prod((chance for _, chance in outcome), start=Fraction(1)) if is_passed else 0
    return found


@given(BANKS, RULES, st.sampled_from([0, 50, 75, 80, 100]), st.data())
@settings(max_examples=40)
def test_whoever_has_sat_once_passes_as_often_as_in_every_pair_of_draws(bank, rules, percent, data):
    kinds = [
        spread_of_one(Fraction(1, 2)),
        spread_of_one(Fraction(1, 3)),
        spread_of_some(1, 2),
        NOTHING,
    ]
    spreads = {one.key: data.draw(st.sampled_from(kinds)) for one in bank}
    expected = Fraction(0)
    for first, chance in every_draw(bank, rules).items():
        known = {one.key for one in first}
        for again, then in every_draw(bank, rules, known).items():
            expected += (
                chance
                * then
                * passes_by_hand(sorted(again, key=lambda one: one.key), known, spreads, percent)
            )
    assert chances_after_sitting(list_pots(bank, rules), rules, spreads, percent) == pytest.approx(
        float(expected), abs=1e-12
    )


def test_the_second_draw_comes_as_often_as_said():
    """Chi-squared over 3000 seeds, above its .9999 quantile once in ten thousand tables: the draw
    itself against the steps above.
    """
    rules = DrawRules(5, 50, (FromPart("x", "step", "a", 2),))
    rows = [
        ("x", True, "a"),
        ("x", True, ""),
        ("x", False, "a"),
        ("x", False, "a"),
        ("x", False, "b"),
        ("y", True, ""),
        ("y", False, ""),
        ("y", False, "b"),
    ]
    bank = [
        Candidate(key, writeup, critical, frozenset(steps))
        for key, (writeup, critical, steps) in enumerate(rows)
    ]
    met = {0, 2, 6}
    said = {
        frozenset(one.key for one in asked): float(chance)
        for asked, chance in every_draw(bank, rules, met).items()
    }
    seen = Counter(frozenset(draw(bank, rules, random.Random(seed), met)) for seed in range(3000))
    assert set(seen) <= set(said)
    distance = sum(
        (seen[one] - 3000 * chance) ** 2 / (3000 * chance) for one, chance in said.items()
    )
    assert distance <= chi2.ppf(0.9999, max(1, len(said) - 1))


def test_with_a_bank_no_larger_than_a_sitting_whoever_has_sat_once_passes_for_certain():
    bank = [Candidate(key, "x", critical=key < 2) for key in range(5)]
    spreads = dict.fromkeys(range(5), NOTHING)
    assert chances_after_sitting(
        list_pots(bank, DrawRules(5)), DrawRules(5), spreads, 100
    ) == pytest.approx(1)


def test_with_twice_the_bank_and_nothing_critical_sitting_once_helps_nothing():
    bank = [Candidate(key, "x", critical=False) for key in range(8)]
    spreads = dict.fromkeys(range(8), spread_of_one(Fraction(1, 3)))
    guessing = chance_of_passing((Pool((DrawnPart((spreads[0],) * 8),), 4),), 3, (0,))[0]
    assert chances_after_sitting(
        list_pots(bank, DrawRules(4)), DrawRules(4), spreads, 75
    ) == pytest.approx(guessing)


# A second try for each critical question answered wrong


def test_a_second_try_for_each_is_the_chance_written_out():
    # 1 of 1 critical question, no others: p + (1 − p) · p, with p = 1/4 and no marks needed
    assert chance_of_passing_alike(4, 1, 1, 0, [0]) == near((1 - (1 - 1 / 4) ** 2,), 1e-12)
    # the first answer alone counts for the marks
    assert chance_of_passing_alike(4, 1, 1, 1, [0]) == near((1 / 4,), 1e-12)
    # two questions, one critical, one mark needed, by hand with p = 1/2: the critical one right
    # (1/2), or wrong and then right (1/4) with the other right (1/2)
    assert chance_of_passing_alike(2, 2, 1, 1, [0]) == near((1 / 2 + 1 / 4 * 1 / 2,), 1e-12)


@given(st.integers(1, 12), st.integers(1, 5), st.data())
@settings(max_examples=40)
def test_a_second_try_for_each_is_a_sum_over_the_first_answers(asked, options, data):
    critical, need = data.draw(st.integers(0, asked)), data.draw(st.integers(0, asked))
    level = data.draw(st.sampled_from(CURVE))
    p = level + (1 - level) / options
    expected = Fraction(0)
    for rights in product((True, False), repeat=asked):
        if sum(rights) >= need:
            seconds = sum(not right for right in rights[:critical])
            expected += prod((p if right else 1 - p for right in rights), start=p**seconds)
    assert chance_of_passing_alike(options, asked, critical, need, [level]) == near(
        (float(expected),), 1e-12
    )


def second_choices(bank, counts_for, asked, key, taken):
    """Which questions can be the second try for this one, each as likely: of those that count for
    the same step and were not asked yet the critical ones, or else the others.
    """
    mates = [
        one
        for one in bank
        if counts_for[one.key] == counts_for[key] is not None
        and one not in asked
        and one.key not in taken
    ]
    return [one for one in mates if one.critical] or mates


def twice_by_hand(bank, asked, spreads, percent, level):
    """The chance to pass these questions with their second tries, every answer tried in turn."""
    counts_for = find_steps(bank)

    def right(one):
        return level + (1 - level) * dict(spreads[one.key]).get(Fraction(1), Fraction(0))

    def all_seconds(wrong, taken):
        if not wrong:
            return Fraction(1)
        choices = second_choices(bank, counts_for, asked, wrong[0].key, taken)
        return sum(
            (right(one) * all_seconds(wrong[1:], taken | {one.key}) for one in choices), Fraction(0)
        ) / max(1, len(choices))

    found = Fraction(0)
    outcomes = [
        [(Fraction(1), level), *((share, (1 - level) * by) for share, by in spreads[one.key])]
        for one in asked
    ]
    for outcome in product(*outcomes):
        if sum(share for share, _ in outcome) * 100 < percent * len(asked):
            continue
        wrong = [
            one
            for one, (share, _) in zip(asked, outcome, strict=True)
            if one.critical and share < 1
        ]
        found += prod((by for _, by in outcome), start=all_seconds(wrong, frozenset()))
    return found


@given(
    BANKS,
    RULES,
    st.sampled_from([0, 50, 75, 80, 100]),
    st.sampled_from([Fraction(0), Fraction(9, 10)]),
    st.data(),
)
@settings(max_examples=60, deadline=None)
def test_second_tries_come_out_as_in_every_draw_and_answer(bank, rules, percent, level, data):
    kinds = [
        spread_of_one(Fraction(1, 2)),
        spread_of_one(Fraction(1, 3)),
        spread_of_some(1, 2),
        NOTHING,
    ]
    spreads = {one.key: data.draw(st.sampled_from(kinds)) for one in bank}
    expected = Fraction(0)
    for asked, chance in every_draw(bank, rules).items():
        in_order = sorted(asked, key=lambda one: one.key)
        expected += chance * twice_by_hand(bank, in_order, spreads, percent, level)
    from_pots = list_pots(bank, rules)
    found = chances_of(
        from_pots, find_steps(bank), chances_of_meeting(from_pots, rules), spreads, percent
    )
    assert found[level] == pytest.approx(float(expected), abs=1e-12)


@given(BANKS)
def test_each_question_counts_for_one_of_its_steps_whatever_the_order_of_the_bank(bank):
    counts_for = find_steps(bank)
    for one in bank:
        step = counts_for[one.key]
        assert step is None or (step[0] == one.writeup and step[1] in one.steps)
        if one.critical and one.steps:
            assert step is not None
    assert find_steps(bank[::-1]) == counts_for


def test_a_critical_question_gets_another_beside_it_where_the_bank_has_one():
    def counted(*rows):
        bank = [
            Candidate(key, "x", critical, frozenset(on)) for key, (critical, on) in enumerate(rows)
        ]
        found = find_steps(bank)
        return [
            sum(step == found[one.key] for step in found.values()) - 1
            for one in bank
            if one.critical
        ]

    assert counted((True, "a"), (False, "a")) == [1]
    assert counted((True, "a"), (True, "ab")) == [1, 1]
    assert counted((True, "a"), (False, "ab"), (True, "b"), (False, "b")) == [1, 1]
    assert counted((True, "a"), (False, "ab"), (False, "b"), (True, "b"), (True, "b")) == [1, 2, 2]
    assert counted((True, "a"), (False, "b")) == [0]


@given(BANKS, RULES, st.integers(0, 999))
def test_the_second_try_is_about_the_same_step_and_was_not_asked(bank, rules, seed):
    chance = random.Random(seed)
    asked = set(draw(bank, rules, chance))
    for one in bank:
        if one.key in asked and one.critical:
            found = pick_second(bank, one.key, asked, chance, frozenset())
            choices = second_choices(
                bank, find_steps(bank), [other for other in bank if other.key in asked], one.key, ()
            )
            assert found in {other.key for other in choices} or (found is None and not choices)


@pytest.mark.parametrize(("critical", "others"), [(0, 9), (22, 45), (7, 12), (16, 3), (40, 41)])
def test_three_sittings_ask_the_whole_bank(critical, others):
    bank = [
        Candidate(key, "xyz"[key % 3 if key % 7 else 0], critical=key < critical)
        for key in range(critical + others)
    ]
    rules = three_rounds(critical, others)
    met: set = set()
    for seed in range(3):
        met |= set(draw(bank, rules, random.Random(seed), met))
    assert met == {one.key for one in bank}
