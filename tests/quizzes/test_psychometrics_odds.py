"""Are the chances to pass exact, for guessers and for people who know a part?"""

import random
from fractions import Fraction
from itertools import combinations, pairwise, permutations, product
from math import comb, factorial

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import beta, binom

from quizzes.marking.drawn import pots
from quizzes.marking.draws import Candidate, draw
from quizzes.marking.kinds import ChooseAll, Option, PutInOrder
from quizzes.marking.marks import marks
from quizzes.psychometrics.guessing import NOTHING, WHOLLY, in_order, pairs, pairs_each, right_or_wrong, some_of
from quizzes.psychometrics.mastery import at_least, chance_able, misjudged, shortest_quiz
from quizzes.psychometrics.odds import CURVE, LEVELS, Pool, alike, distribution, least_marks, needed, passing
from tests.quizzes.published import near, numbers, row, rows

PASSES = rows("chance to pass")


@pytest.mark.parametrize("published", PASSES, ids=lambda one: one["quantity"])
def test_guessers_and_knowers_pass_as_the_binomial_tables_say(published):
    # exact fractions; scipy; R pbinom
    need, asked, _ = map(int, numbers(published["quantity"]))
    guesser, knower = published["value"].split(";")
    for options, expected in zip((2, 3, 4, 5), numbers(guesser), strict=True):
        assert passing(alike(options, asked), need, [0]) == near((expected,))
    for level, expected in zip((0.7, 0.8, 0.9, 0.95), numbers(knower), strict=True):
        assert at_least(need, asked, level) == near(expected)
        blank = (Pool((NOTHING,) * asked, asked),)  # who knows so much and never guesses
        assert passing(blank, need, [level]) == near((expected,))


def test_printed_binomial_tables():
    # two public course tables; each cell to half of its last printed digit
    printed = row("cumulative binomial, printed table")["value"]
    for said in printed.removeprefix("e.g. ").split(";"):
        where, cells = said.split(":")
        questions, level = numbers(where)
        for right, cell in enumerate(cells.split()):
            digits = len(cell.partition(".")[2])
            assert 1 - at_least(right + 1, int(questions), level) == pytest.approx(float(cell), abs=0.5001 * 10**-digits)


@pytest.mark.parametrize(("quantity", "found"), [
    ("printed tie-in: 4 of 5", at_least(4, 5, Fraction(1, 4))), ("printed tie-in: true .9", at_least(4, 5, Fraction(9, 10))),
])  # fmt: skip
def test_printed_tie_ins(quantity, found):
    assert found == near(numbers(row(quantity)["value"])[0], 5e-5)


def test_trap_a_pass_mark_in_percent_is_worked_out_in_whole_numbers():
    # ceil of the exact fraction; 25 · 0.56 is 14.000000000000002 in floating point
    said = row("pass-mark rounding")
    eighty, *others = said["value"].split(";")
    assert [needed(n, 80) for n in (5, 6, 7, 8, 9, 10, 12, 15)] == numbers(eighty)
    assert [needed(25, 56), needed(100, 7)] == [int(one) for one in others]
    for asked, percent in product(range(1, 120), range(101)):
        assert needed(asked, percent) >= least_marks(asked, percent) > needed(asked, percent) - 1


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
    middle, sure = (Fraction(*map(int, part.split("/"))) for part in
                    (published["inputs"].split()[2].rstrip(","), published["inputs"].split()[-1]))  # fmt: skip
    questions, need, able, weak = numbers(published["value"])
    found = shortest_quiz(middle - Fraction(1, 10), middle + Fraction(1, 10), sure)
    assert (found.questions, found.need) == (questions, need)
    assert (found.able_pass, found.weak_fail) == near((able, weak), 1e-4)


@pytest.mark.parametrize("published", rows("P(true level >= .8"), ids=lambda one: one["inputs"])
def test_the_chance_that_somebody_is_able(published):
    # P(Bin(n+1, .8) <= k) by fractions; scipy beta; R pbeta
    right, asked = map(int, numbers(published["inputs"]))
    uniform, jeffreys = published["value"].split(";")
    assert chance_able(right, asked, Fraction(4, 5)) == near(numbers(uniform)[0])
    assert chance_able(right, asked, 0.8, prior=(0.5, 0.5)) == near(numbers(jeffreys)[-1])


@pytest.mark.parametrize(("right", "asked", "mark"), [(0, 1, 0.1), (7, 12, 0.6), (40, 40, 0.95)])
def test_the_chance_that_somebody_is_able_is_a_tail_of_beta(right, asked, mark):
    assert chance_able(right, asked, mark) == near(beta.sf(mark, 1 + right, 1 + asked - right), 1e-12)


@given(st.integers(1, 60), st.integers(1, 6), st.data())
@settings(max_examples=60)
def test_questions_all_alike_are_exactly_binomial(asked, options, data):
    need, level = data.draw(st.integers(0, asked)), data.draw(st.sampled_from(CURVE))
    right = float(level) + (1 - float(level)) / options
    assert passing(alike(options, asked), need, [level]) == near((binom.sf(need - 1, asked, right),), 1e-12)


@given(st.integers(1, 20), st.integers(2, 5), st.data())
@settings(max_examples=40)
def test_critical_questions_must_all_be_right_besides(asked, options, data):
    critical, need = data.draw(st.integers(0, asked)), data.draw(st.integers(0, asked))
    right = Fraction(1, options)
    expected = right**critical * sum(
        comb(asked - critical, k) * right**k * (1 - right) ** (asked - critical - k)
        for k in range(max(0, need - critical), asked - critical + 1)
    )
    assert passing(alike(options, asked, critical), need, [0]) == near((float(expected),), 1e-12)


SPREADS = st.one_of(
    st.integers(1, 5).map(lambda options: right_or_wrong(Fraction(1, options))),
    st.tuples(st.integers(1, 3), st.integers(0, 3)).map(lambda both: some_of(*both)),
    st.integers(2, 4).map(lambda many: pairs(many, many)),
    st.just(NOTHING),
)
POOLS = st.lists(
    st.tuples(st.lists(SPREADS, min_size=1, max_size=3), st.integers(0, 3), st.booleans()).map(
        lambda drawn: Pool(tuple(drawn[0]), min(drawn[1], len(drawn[0])), drawn[2])
    ),
    min_size=1, max_size=2,
)  # fmt: skip


def written_out(pools, least, level):
    """Every draw, everything known or guessed, one by one in whole fractions."""
    ways = [[(Fraction(0), Fraction(1))]]
    for pool in pools:
        draws = list(combinations(pool.questions, pool.drawn))
        each: dict = {}
        for drawn in draws:
            outcomes = [
                [(1, level), *((share, (1 - level) * chance) for share, chance in spread if share == 1 or not pool.critical)]
                for spread in drawn
            ]
            for chosen in product(*outcomes):
                chance = Fraction(1, len(draws))
                for _, of_one in chosen:
                    chance *= of_one
                total = sum((Fraction(share) for share, _ in chosen), Fraction(0))
                each[total] = each.get(total, 0) + chance
        ways.append(list(each.items()))
    found = {Fraction(0): Fraction(1)}
    for each in ways:
        fresh: dict = {}
        for (before, chance), (share, of_one) in product(found.items(), each):
            fresh[before + share] = fresh.get(before + share, 0) + chance * of_one
        found = fresh
    return float(sum((chance for total, chance in found.items() if total >= least), Fraction(0)))


@given(POOLS, st.sampled_from([0, Fraction(1, 2), Fraction(9, 10), 1]), st.integers(0, 100))
@settings(max_examples=30)
def test_mixed_kinds_and_draws_come_out_as_written_out(pools, level, percent):
    least = least_marks(sum(pool.drawn for pool in pools), percent)
    assert passing(pools, least, [level]) == near((written_out(pools, least, Fraction(level)),), 1e-12)


@given(POOLS, st.integers(0, 100))
@settings(max_examples=40)
def test_who_knows_more_passes_more_often(pools, percent):
    chances = passing(pools, least_marks(sum(pool.drawn for pool in pools), percent), CURVE)
    assert all(one <= then + 1e-12 for one, then in pairwise(chances))
    assert chances[-1] == near(1.0, 1e-12)


@given(POOLS, st.sampled_from(CURVE))
@settings(max_examples=40)
def test_the_chances_of_all_marks_sum_to_one(pools, level):
    plain = [Pool(pool.questions, pool.drawn) for pool in pools]
    assert sum(distribution(plain, level).values()) == near(1.0, 1e-12)


def guessed(question, answers, orders=None):
    """The spread of marks over every answer a guesser may give, each as likely, by the marking itself."""
    shares = [marks(question, one, orders).share for one in answers]
    return tuple(sorted((share, Fraction(shares.count(share), len(shares))) for share in set(shares)))


@pytest.mark.parametrize(("right", "wrong"), [(1, 0), (1, 3), (2, 2), (3, 1), (4, 3)])
def test_ticking_by_lot_gets_what_marking_gives(right, wrong):
    question = ChooseAll(tuple(Option(str(n), n < right) for n in range(right + wrong)))
    subsets = [list(one) for size in range(1, right + wrong + 1) for one in combinations(range(right + wrong), size)]
    assert some_of(right, wrong) == guessed(question, subsets)


class OnlyThese:
    """Orders of which some are right."""

    def __init__(self, right):
        self.right = right

    def is_right(self, order):
        return tuple(order) in self.right

    def demanded(self):
        return tuple(
            (a, b) for a, b in permutations("abcd", 2) if all(one.index(a) < one.index(b) for one in self.right)
        )


@pytest.mark.parametrize("right", [
    {tuple("abcd")}, {tuple("abcd"), tuple("bacd")}, {tuple("abcd"), tuple("dcba")}, {tuple("abcd"), tuple("badc")},
])  # fmt: skip
def test_ordering_by_lot_gets_what_marking_gives(right):
    orders = OnlyThese(right)
    every = [list(one) for one in permutations("abcd")]
    assert in_order(tuple("abcd"), orders.demanded(), len(right)) == guessed(PutInOrder(tuple("abcd")), every, orders)


def test_an_order_of_which_one_is_right_falls_as_inversions_do():
    # Mahonian numbers (OEIS A008302): orders of 5 with 0, 1, 2 … inversions
    inversions = [int(n) for n in numbers(row("orders of n", "n = 5")["value"])]
    demanded = tuple(combinations("abcde", 2))
    found = dict(in_order(tuple("abcde"), demanded, 1))
    for broken, orders in enumerate(inversions):
        tau = Fraction(10 - 2 * broken, 10)
        if tau > 0:
            assert found[tau] == Fraction(orders, 120)
    assert found[Fraction(0)] == Fraction(sum(inversions[5:]), 120)


@pytest.mark.parametrize(("many", "on_offer"), [(1, 1), (3, 3), (4, 4), (2, 4), (3, 5)])
def test_pairing_by_lot_fits_as_in_every_shuffle(many, on_offer):
    fits = [sum(left == partner for left, partner in enumerate(one)) for one in permutations(range(on_offer), many)]
    expected = {Fraction(n, many): Fraction(fits.count(n), len(fits)) for n in set(fits)}
    assert dict(pairs(many, on_offer)) == expected
    each = [sum(left == partner for left, partner in enumerate(one)) for one in product(range(on_offer), repeat=many)]
    assert dict(pairs_each(many, on_offer)) == {Fraction(n, many): Fraction(each.count(n), len(each)) for n in set(each)}


def test_no_pair_of_four_fits_in_nine_shuffles_of_24():
    # derangements: 1, 0, 1, 2, 9, 44 (OEIS A000166), from memory
    assert dict(pairs(4, 4))[Fraction(0)] == Fraction(9, factorial(4))
    assert dict(pairs(5, 5))[Fraction(0)] == Fraction(44, factorial(5))


def test_what_is_no_chance_or_no_quiz_is_refused():
    for refused in (
        lambda: right_or_wrong(Fraction(3, 2)), lambda: pairs(3, 2), lambda: Pool((WHOLLY,), 2), lambda: alike(0, 5),
        lambda: alike(4, 0), lambda: alike(4, 5, 6), lambda: shortest_quiz(Fraction(1, 2), Fraction(1, 2), Fraction(1, 2)),
    ):  # fmt: skip
        with pytest.raises(ValueError, match=r"\w"):
            refused()


def test_no_quiz_is_long_enough_for_levels_that_lie_together():
    assert shortest_quiz(Fraction(799, 1000), Fraction(801, 1000), Fraction(99, 100)) is None


@given(st.lists(st.tuples(st.sampled_from("xyz"), st.booleans()), max_size=12), st.integers(0, 14), st.integers(0, 9))
@settings(max_examples=80)
def test_a_draw_takes_from_each_pot_what_is_said(bank, size, seed):
    candidates = [Candidate(key, writeup, critical) for key, (writeup, critical) in enumerate(bank)]
    drawn = draw(candidates, size, random.Random(seed))
    for pot in pots(candidates, size):
        assert len(set(pot.keys) & set(drawn)) == pot.drawn
    assert sum(pot.drawn for pot in pots(candidates, size)) == len(drawn)


def test_within_a_pot_each_question_is_as_likely():
    bank = [Candidate(key, "x", critical=False) for key in range(4)]
    pairs_drawn = [tuple(sorted(draw(bank, 2, random.Random(seed)))) for seed in range(3000)]
    times = [pairs_drawn.count(pair) for pair in combinations(range(4), 2)]
    assert np.sum((np.array(times) - 500) ** 2 / 500) < 25.7, "chi-squared with 5 degrees of freedom, p = .0001"


def test_levels_go_from_half_to_nearly_all():
    assert [float(level) for level in LEVELS] == [0.5, 0.55, 0.6, 0.65, 0.7, 0.75, 0.8, 0.85, 0.9, 0.95]
