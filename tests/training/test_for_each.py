"""Does a rule held for each of many things fail for each that breaks it, and tell them all?"""

import pytest

from tests.for_each import for_each


def test_every_case_that_fails_is_told_with_its_fault():
    @for_each([(1, "one"), (2, "two"), (3, "three"), (4, "four"), ("five", "five")])
    def is_odd(number, word):
        assert number % 2, f"{word} is even"

    with pytest.raises(AssertionError) as told:
        is_odd()
    said = str(told.value)
    assert "3 of 5 cases fail" in said
    assert all(fault in said for fault in ("two is even", "four is even", "TypeError"))
    assert "three" not in said


def test_nothing_to_look_at_is_a_fault():
    @for_each([])
    def holds(thing):
        raise RuntimeError(thing)

    with pytest.raises(AssertionError):
        holds()
