"""Are two rows lined up truly, and never in a time that nobody waits for?

The rows come from hypothesis; that an alignment is one is what the word means (the stretches that
are equal are the same in both rows, and no stretch is left out).
"""

from difflib import SequenceMatcher

from hypothesis import given
from hypothesis import strategies as st

from procedures.writeup.lined_up import LONG, MOST_PAIRS, line_up

ROWS = st.lists(st.sampled_from("abc"), max_size=12)


@given(ROWS, ROWS, st.booleans())
def test_the_stretches_give_both_rows_and_the_equal_ones_are(old, new, rare_only):
    was, now = [], []
    for kind, first, last, start, end in line_up(old, new, rare_only=rare_only):
        assert (first, start) == (len(was), len(now))
        assert (last, end) != (first, start)
        was += old[first:last]
        now += new[start:end]
        assert kind == "other" or old[first:last] == new[start:end]
    assert (was, now) == (old, new)


@given(ROWS, ROWS)
def test_what_both_begin_and_end_with_is_equal(old, new):
    found = [*line_up(["head", *old, "tail"], ["head", *new, "tail"])]
    assert found[0][0] == found[-1][0] == "equal"


def test_rows_that_are_alike_too_often_are_one_stretch_between_their_ends():
    many = int(MOST_PAIRS**0.5) + 1
    old, new = ["head", *"x" * many, "y", "tail"], ["head", "z", *"x" * many, "tail"]
    assert list(line_up(old, new)) == [
        ("equal", 0, 1, 0, 1),
        ("other", 1, many + 2, 1, many + 2),
        ("equal", many + 2, many + 3, many + 2, many + 3),
    ]


def test_lines_are_lined_up_by_those_that_are_rare():
    """A long write-up has hundreds of blank lines: they alone would be alike too often."""
    old = [line for number in range(2 * LONG) for line in (f"Step {number}", "")]
    new = [line for line in old if line != "Step 7"]
    assert sum(kind == "equal" for kind, *_ in line_up(old, new, rare_only=True)) >= 2
    turned = [*old[LONG:], *old[:LONG]]
    kept = sum(
        last - first
        for kind, first, last, _, _ in line_up(old, turned, rare_only=True)
        if kind == "equal"
    )
    best = sum(block.size for block in SequenceMatcher(None, old, turned).get_matching_blocks())
    assert kept >= best - 2
