"""Do sets of combinations, and their smallest description, agree with trying every combination?"""

from functools import reduce
from itertools import combinations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures.rehearsal.cases import ALL, NONE, Cases, TooManyCases

SIZES = (2, 3, 1, 2)
EVERY = tuple(product(*(range(size) for size in SIZES)))
sets = st.sets(st.sampled_from(EVERY))


def made(cases, members):
    """The set of these combinations, built from options alone."""
    whole = NONE
    for member in members:
        one = ALL
        for variant, option in enumerate(member):
            one = cases.both(one, cases.option(variant, [option]))
        whole = cases.either(whole, one)
    return whole


def by_trying(shown, among):
    """The smallest description as the rule says it: every set of options, by size and then by
    number, until one fits.
    """
    numbers = [(variant, option) for variant, size in enumerate(SIZES) for option in range(size)]
    for size in range(len(SIZES) + 1):
        for chosen in combinations(numbers, size):
            agreeing = {
                each for each in among if all(each[variant] == option for variant, option in chosen)
            }
            if agreeing and agreeing <= shown:
                return chosen
    return None


@given(sets, sets)
def test_sets_are_joined_met_and_parted_as_sets(one, other):
    cases = Cases(SIZES)
    first, second = made(cases, one), made(cases, other)
    assert cases.both(first, second) == made(cases, one & other)
    assert cases.either(first, second) == made(cases, one | other)
    assert cases.without(first, second) == made(cases, one - other)


def test_all_combinations_together_are_all():
    assert made(Cases(SIZES), EVERY) == ALL


@given(sets, sets)
def test_the_smallest_description_is_that_found_by_trying(one, other):
    among, shown = one | other, one
    cases = Cases(SIZES)
    expected = by_trying(shown, among)
    if expected is not None:
        assert cases.smallest(made(cases, shown), made(cases, among)) == expected


def test_nothing_shown_has_no_description():
    with pytest.raises(ValueError, match="Nothing"):
        Cases(SIZES).smallest(NONE, ALL)


def test_of_two_smallest_descriptions_the_lower_option_wins():
    cases = Cases((2, 2))
    shown = cases.either(cases.option(0, [1]), cases.option(1, [0]))
    assert cases.smallest(shown, ALL) == ((0, 1),)


def test_a_million_combinations_are_no_more_work_than_what_meets():
    cases = Cases((2,) * 60)
    shown = cases.both(cases.option(3, [1]), cases.option(57, [0]))
    assert cases.smallest(shown, ALL) == ((3, 1), (57, 0))


def test_too_many_variants_and_too_tangled_sets_are_refused():
    with pytest.raises(TooManyCases):
        Cases((2,) * 101)
    cases = Cases((2,) * 60)
    # Pairs that each join a variant of the first half with one of the second need 2^30 nodes in
    # this order of variants.
    pairs = [
        cases.both(cases.option(variant, [1]), cases.option(variant + 30, [1]))
        for variant in range(30)
    ]
    with pytest.raises(TooManyCases):
        reduce(cases.either, pairs)
