"""Are the shop's rules read as they are meant?"""

import pytest

from procedures.writeup.rules import BadRules, Meanings, ShopRules, read_rules


def test_rules_are_read_as_words():
    rules = read_rules("safe: {air chamber: air let out, heat: off}\ntemporary: [shaft guarded]\nsame: [[on, yes], [a, b]]\n")
    assert dict(rules.safe) == {"air chamber": "air let out", "heat": "off"}
    assert (rules.temporary, rules.same) == (("shaft guarded",), (("on", "yes"), ("a", "b")))


@pytest.mark.parametrize("written", ["", "\ufeff", "# nothing yet\n"])
def test_no_rules_are_rules(written):
    assert read_rules(written) == ShopRules()


@pytest.mark.parametrize(
    ("written", "why"),
    [
        ("guards: [a]", "no key"),
        ("temporary: [a]\ntemporary: [b]", "twice"),
        ("safe: {a: b, A: c}", "twice"),
        ("safe: [a]", "key: value"),
        ("safe: {a: [b]}", "no list"),
        ("same: [a, b]", "list of lists"),
        ("same: a", "list of lists"),
        ("temporary: {a: b}", "no list"),
        ("temporary: [a", "YAML"),
        ("temporary: &x [a]", "Write the piece out"),
        ("- a", "key: value"),
    ],
)
def test_rules_that_cannot_be_read_say_why(written, why):
    with pytest.raises(BadRules, match=why):
        read_rules(written)


def test_groups_that_share_a_name_join():
    key = Meanings((("a", "b"), ("c", "d"), ("d", "e"), ("e", "B"))).key
    assert len({key(name) for name in ("a", "b", "c", "d", "E ")}) == 1
    assert key("f") != key("a")


def test_names_compare_in_lower_case_with_white_space_as_one_space():
    assert Meanings(()).key("  Air\t LET  out ") == "air let out"
