"""Which questions does a sitting ask, and how are they shown?"""

from itertools import permutations
from random import Random

import pytest
from hypothesis import given as tried
from hypothesis import strategies as st

from quizzes.kinds.kind import mix_places
from quizzes.kinds.put_in_order import wrong_order
from quizzes.marking.draws import Candidate, DrawRules, draw

BANKS = st.lists(st.tuples(st.sampled_from("abc"), st.booleans()), min_size=1, max_size=30).map(
    lambda rows: [Candidate(key, writeup, critical) for key, (writeup, critical) in enumerate(rows)]
)


@tried(BANKS, st.integers(0, 30), st.integers(0, 2**31 - 1))
def test_every_critical_question_comes_and_others_up_to_the_size(bank, size, seed):
    drawn = draw(bank, DrawRules(size), Random(seed))
    critical = {one.key for one in bank if one.critical}
    assert critical <= set(drawn)
    assert len(drawn) == len(set(drawn)) == max(len(critical), min(size, len(bank)))
    assert drawn == draw(bank, DrawRules(size), Random(seed))


@tried(st.integers(0, 2**31 - 1))
def test_the_others_are_spread_over_the_write_ups(seed):
    bank = [Candidate(place, "abc"[place % 3], critical=False) for place in range(30)]
    drawn = draw(bank, DrawRules(7), Random(seed))
    counts = sorted(sum(bank[key].writeup == name for key in drawn) for name in "abc")
    assert counts == [2, 2, 3]


def test_a_small_bank_of_one_write_up_does_not_stop_the_draw():
    bank = [
        Candidate(0, "a", critical=False),
        *(Candidate(place, "b", critical=False) for place in range(1, 9)),
    ]
    assert len(draw(bank, DrawRules(6), Random(1))) == 6


def test_other_seeds_draw_otherwise():
    bank = [Candidate(place, "a", critical=False) for place in range(20)]
    assert len({draw(bank, DrawRules(5), Random(seed)) for seed in range(20)}) > 10


class Judge:
    def __init__(self, right):
        self.right = set(right)

    def is_right(self, order):
        return tuple(order) in self.right

    def demanded(self):
        return ()


@tried(st.sets(st.sampled_from(list(permutations("abcd")))), st.integers(0, 1000))
def test_an_order_is_never_shown_right(right, seed):
    if len(right) == 24:
        return
    shown = wrong_order("abcd", Judge(right), Random(seed))
    assert shown not in right
    assert sorted(shown) == list("abcd")


def test_where_nearly_all_orders_are_right_the_wrong_one_is_found():
    orders = list(permutations("abcdef"))
    assert wrong_order("abcdef", Judge(orders[:-1]), Random(3)) == orders[-1]
    with pytest.raises(ValueError, match="Every order"):
        wrong_order("abcdef", Judge(orders), Random(3))


@tried(st.integers(0, 12), st.integers(0, 1000))
def test_a_mix_holds_every_place_once(count, seed):
    assert sorted(mix_places(count, Random(seed))) == list(range(count))
