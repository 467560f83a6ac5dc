"""What is an answer worth?"""

from decimal import Decimal
from fractions import Fraction
from itertools import combinations, permutations

import pytest
from hypothesis import given as tried
from hypothesis import strategies as st

from procedures.writeup.remarks import remark
from quizzes.kinds.choose_all import ChooseAll
from quizzes.kinds.choose_one import ChooseOne
from quizzes.kinds.give_amount import GiveAmount
from quizzes.kinds.kind import Marked, Option
from quizzes.kinds.put_in_order import PutInOrder, order_share
from quizzes.marking.marks import marks, percent
from quizzes.records.wording.say import say
from tests.for_each import for_each

ONE = ChooseOne((Option("a", right=False, says="not a"), Option("b", right=True, says="b it is")))
ALL = ChooseAll(tuple(Option(text, right=text in "abc") for text in "abcde"))
TORQUE = GiveAmount("7 ± 0.5 N·m")


class Chain:
    """The write-up demands these steps in exactly this order."""

    def __init__(self, order):
        self.order = tuple(order)

    def is_right(self, order):
        return tuple(order) == self.order

    def demanded(self):
        return list(combinations(self.order, 2))


def test_one_option_is_right_or_wrong_and_says_why():
    assert marks(ONE, 1) == Marked(Fraction(1), right=True, says=("b it is",))
    assert marks(ONE, 0) == Marked(Fraction(0), right=False, says=("not a",))


# Worked by hand from the rule (right picks − wrong picks) / right ones, not below 0; "abc" are
# right, "de" wrong.
@pytest.mark.parametrize(
    ("picked", "share"),
    [
        ("", 0),
        ("a", "1/3"),
        ("ab", "2/3"),
        ("abc", 1),
        ("abcd", "2/3"),
        ("abcde", "1/3"),
        ("ad", 0),
        ("de", 0),
    ],
)
def test_several_options_get_part_marks(picked, share):
    worth = marks(ALL, ["abcde".index(letter) for letter in picked])
    assert worth.share == Fraction(share)
    assert worth.right is (picked == "abc")


@tried(st.sets(st.integers(0, 4)), st.integers(0, 2))
def test_one_more_right_pick_never_lowers_and_marks_stay_between_0_and_1(picked, more):
    before, after = marks(ALL, sorted(picked)), marks(ALL, sorted(picked | {more}))
    assert 0 <= before.share <= after.share <= 1
    assert before.right is (before.share == 1)


@tried(st.sets(st.integers(0, 4)), st.integers(3, 4))
def test_one_more_wrong_pick_never_raises(picked, more):
    assert marks(ALL, sorted(picked | {more})).share <= marks(ALL, sorted(picked)).share


# Kendall's tau of orders of n things, 1 − 2·inversions / (n(n−1)/2): computed two ways and with
# scipy's kendalltau for the project's table of check values; below 0 an order is worth nothing. The
# last row is Knuth's inversion example (The Art of Computer Programming, volume 3, section 5.1.1:
# 591826473 has 20 inversions).
@for_each(
    [
        ("21345", 0.8),
        ("12354", 0.8),
        ("23451", 0.2),
        ("51234", 0.2),
        ("31254", 0.4),
        ("54321", -1.0),
        ("12346578", 0.928571),
        ("21436587", 0.714286),
        ("81234567", 0.5),
        ("43215678", 0.571429),
        ("591826473", 1 - 2 * 20 / 36),
    ]
)
def test_a_wrong_order_is_worth_kendalls_tau_where_every_pair_is_demanded(order, tau):
    chain = Chain(sorted(order))
    worth = marks(PutInOrder(tuple(sorted(order))), list(order), chain)
    assert not worth.right
    assert float(worth.share) == pytest.approx(max(0.0, tau), abs=1e-6)


def test_order_share_agrees_with_a_published_tau():
    # Hollander & Wolfe (1973), Nonparametric Statistical Methods, page 187 (also in the help of R's
    # cor.test): T = 26 concordant pairs of 36, tau = 0.444444.
    x = [44.4, 45.9, 41.9, 53.3, 44.7, 44.1, 50.7, 45.2, 60.1]
    y = [2.6, 3.1, 2.5, 5.0, 3.6, 4.0, 5.2, 2.8, 3.8]
    answer = [value for _, value in sorted(zip(x, y, strict=True))]
    assert float(order_share(answer, list(combinations(sorted(y), 2)))) == pytest.approx(
        0.444444, abs=1e-6
    )


# How many orders of n things have 0, 1, 2 … inversions: Mahonian numbers, OEIS A008302.
@pytest.mark.parametrize(
    ("things", "mahonian"),
    [(4, [1, 3, 5, 6, 5, 3, 1]), (5, [1, 4, 9, 15, 20, 22, 20, 15, 9, 4, 1])],
)
def test_as_many_orders_get_each_mark_as_mahonian_numbers_say(things, mahonian):
    chain, pairs = Chain(range(things)), things * (things - 1) // 2
    wrong = [order for order in permutations(range(things)) if not chain.is_right(order)]
    got = [
        marks(
            PutInOrder(tuple(map(str, chain.order))),
            [*map(str, order)],
            Chain(map(str, chain.order)),
        ).share
        for order in wrong
    ]
    for inversions, many in enumerate(mahonian):
        share = Fraction(pairs - 2 * inversions, pairs)
        if inversions and share > 0:
            assert got.count(share) == many
    assert got.count(Fraction(0)) == sum(
        many for at, many in enumerate(mahonian) if pairs - 2 * at <= 0
    )


def test_pairs_that_are_free_count_neither_way():
    # Goodman and Kruskal's gamma (1954), (C − D) / (C + D) with ties left out: 2 kept, 1 broken of
    # 3 demanded.
    assert order_share("bacd", [("a", "b"), ("a", "c"), ("c", "d")]) == Fraction(1, 3)


def test_an_order_that_keeps_every_pair_and_is_wrong_is_worth_less_than_a_right_one():
    assert order_share("abc", [("a", "b"), ("b", "c"), ("a", "c")]) == Fraction(1, 2)
    assert order_share("abc", []) == 0


# Factors: NIST Special Publication 811, appendix B.8 (1 lbf·in = 0.112 984 8 N·m, 1 lbf·ft = 1.355
# 818 N·m, 1 kgf·cm = 0.098 066 5 N·m). 7 ± 0.5 N·m is thus 57.53 .. 66.38 in·lbf, 4.794 .. 5.532
# ft·lbf, 66.28 .. 76.48 kgf·cm.
@for_each(
    [
        ("7 N·m", True),
        ("7,2 Nm", True),
        ("6.5 N·m", True),
        ("7.5 N·m", True),
        ("7.501 N·m", False),
        ("6.499 N·m", False),
        ("62 in·lbf", True),
        ("57.54 in·lbf", True),
        ("57.52 in·lbf", False),
        ("66.38 in·lbf", True),
        ("66.39 in·lbf", False),
        ("4.80 ft·lbf", True),
        ("4.79 ft·lbf", False),
        ("5.53 ft·lbf", True),
        ("5.54 ft·lbf", False),
        ("66.29 kgf·cm", True),
        ("66.27 kgf·cm", False),
        ("-7 N·m", False),
        ("62 N·m", False),
    ]
)
def test_an_amount_is_converted_and_compared_with_the_tolerance(given, right):
    assert marks(TORQUE, given).right is right
    assert marks(TORQUE, given).share == int(right)


# 1 bar is 14.503 77 psi (NIST SP 811, appendix B.8: 1 psi = 6.894 757 kPa).
@pytest.mark.parametrize(
    ("given", "right"),
    [("145 psi", True), ("10 bar", True), ("1000 kPa", True), ("1 MPa", True), ("138 psi", False)],
)
def test_a_pressure_may_be_given_in_any_unit_of_pressure(given, right):
    assert marks(GiveAmount("10 ± 0.3 bar"), given).right is right


@for_each(
    [
        ("7", "no unit"),
        ("7,0", "no unit"),
        ("7 bar", "is a pressure, but the question asks for a torque"),
        ("7 mm", "is a length"),
        ("6..8 N·m", "not one amount"),
        ("7 ± 1 N·m", "not one amount"),
        ("seven", "cannot be read"),
        ("7 furlongs", "cannot be read"),
        ("N·m", "cannot be read"),
        ("☃" * 150, "cannot be read"),
    ]
)
def test_an_amount_that_is_none_is_worth_nothing_and_says_why(given, word):
    worth = marks(TORQUE, given)
    assert worth.share == 0
    assert not worth.right
    assert word in say(worth.says[0])


def test_counts_of_other_things_are_not_compared():
    assert "cannot be compared" in say(marks(GiveAmount("3 turns"), "3 clicks").says[0])
    assert marks(GiveAmount("3 turns"), "3 turns").right


@tried(st.text(min_size=1, max_size=40).filter(str.strip))
def test_any_text_can_be_marked(text):
    assert marks(TORQUE, text).share in (0, 1)


def test_no_answer_is_worth_nothing():
    for question in (ONE, ALL, TORQUE, PutInOrder(("a", "b"))):
        assert marks(question, None) == Marked(
            Fraction(0), right=False, says=(remark("not-answered"),)
        )


@for_each(
    [
        (ONE, "b"),
        (ONE, 2),
        (ONE, -1),
        (ONE, True),
        (ONE, [1]),
        (ALL, 1),
        (ALL, [0, 0]),
        (ALL, [9]),
        (ALL, ["a"]),
        (TORQUE, 7),
        (TORQUE, "  "),
        (TORQUE, "7" * 300),
        (PutInOrder(("a", "b")), ["a"]),
        (PutInOrder(("a", "b")), ["a", "a"]),
        (PutInOrder(("a", "b")), "ab"),
        (PutInOrder(("a", "b")), None.__class__),
    ]
)
def test_what_can_be_no_answer_is_refused_with_a_sentence(question, given):
    assert say(question.shape_fault(given)).endswith(".")
    with pytest.raises(ValueError, match=question.shape_fault(given).code):
        marks(question, given, Chain("ab"))


def test_percent_is_the_mean_rounded_down():
    thirds = [Marked(Fraction(1, 3), right=False), Marked(Fraction(2, 3), right=False)]
    assert percent(thirds) == Decimal("50.00")
    # 5 of 6 are 83.333… %; 999 of 1250 are 79.92 %; 1999 of 2500 are 79.96 %: none of them reaches
    # the next whole percent.
    assert percent(
        [Marked(Fraction(1), right=True)] * 5 + [Marked(Fraction(0), right=False)]
    ) == Decimal("83.33")
    assert percent([Marked(Fraction(79_999, 100_000), right=False)]) == Decimal("79.99")
    assert percent([]) == 0


@tried(st.lists(st.fractions(0, 1), min_size=1, max_size=30))
def test_percent_never_passes_what_the_marks_do_not(shares):
    got = percent([Marked(share, right=share == 1) for share in shares])
    exact = sum(shares) / len(shares) * 100
    assert Fraction(got) <= exact < Fraction(got) + Fraction(1, 100)


def test_marks_are_kept_to_five_places_and_never_rounded_up():
    assert Marked(Fraction(2, 3), right=False).marks == Decimal("0.66666")
    assert Marked(Fraction(1), right=True).marks == 1
