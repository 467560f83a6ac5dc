"""Do two texts that began as one stand side by side with every line in its place?"""

from hypothesis import given
from hypothesis import strategies as st

from procedures.writeup.three_texts import MOST_LINES, stretches


def test_who_changed_which_line():
    cut = stretches("a\nb\nc\nd\ne", "a\nB\nc\nd\ne", "a\nb\nc\nd\nE\nf")
    assert [(each.kind, each.opened, each.theirs, each.mine) for each in cut] == [
        ("same", ("a",), ("a",), ("a",)),
        ("theirs", ("b",), ("B",), ("b",)),
        ("same", ("c", "d"), ("c", "d"), ("c", "d")),
        ("mine", ("e",), ("e",), ("E", "f")),
    ]


def test_the_same_line_changed_by_both():
    assert [each.kind for each in stretches("a\nb", "a\nx", "a\ny")] == ["same", "both"]
    assert [each.kind for each in stretches("a\nb", "a\nx", "a\nx")] == ["same", "alike"]


def test_the_example_of_the_paper():
    """Khanna, Kunal and Pierce 2007, section 2: A = 1 4 5 2 3 6, O = 1 2 3 4 5 6, B = 1 2 4 5 3 6
    (from memory).

    Their alignment gives five stretches, of which 4 5 against 2 3 moved is where both differ.
    """
    cut = stretches("1\n2\n3\n4\n5\n6", "1\n4\n5\n2\n3\n6", "1\n2\n4\n5\n3\n6")
    assert cut[0].kind == "same"
    assert cut[-1].kind == "same"
    assert {"".join(each.opened) for each in cut if each.kind == "same"} >= {"1", "6"}
    assert any(each.kind == "both" for each in cut)


lines = st.lists(st.sampled_from(["a", "b", "c", "", "d"]), max_size=12).map("\n".join)


@given(lines, lines, lines)
def test_put_together_again_each_gives_its_whole_text(opened, theirs, mine):
    cut = stretches(opened, theirs, mine)
    for side, whole in (("opened", opened), ("theirs", theirs), ("mine", mine)):
        assert [line for each in cut for line in getattr(each, side)] == whole.split("\n")


@given(lines, lines, lines)
def test_same_is_said_only_of_what_is_the_same(opened, theirs, mine):
    for each in stretches(opened, theirs, mine):
        assert (each.kind == "same") == (each.opened == each.theirs == each.mine)
        assert each.kind != "theirs" or each.opened == each.mine
        assert each.kind != "mine" or each.opened == each.theirs


def test_very_long_texts_are_not_compared_line_by_line():
    assert len(stretches("a\n" * MOST_LINES, "b\n" * MOST_LINES, "a\n" * MOST_LINES)) == 1
