"""Are the shop's rules read as they are meant?"""

import pytest

from procedures.records.wording.say import say_fault_of_rules
from procedures.writeup.demands import Demand
from procedures.writeup.rules import BadRules, Meanings, ShopRules, read_rules
from tests.for_each import for_each


def test_rules_are_read_as_words():
    rules = read_rules(
        "safe: {air chamber: air let out, heat: off}\ntemporary: [shaft guarded]\nsame: [[on, "
        "yes], [a, b]]\n"
    )
    assert dict(rules.safe) == {"air chamber": "air let out", "heat": "off"}
    assert (rules.temporary, rules.same) == (("shaft guarded",), (("on", "yes"), ("a", "b")))


def test_demands_and_states_are_read_as_they_are_written():
    rules = read_rules(
        "states: [[feet up, feet down]]\ndemands:\n  - when: {tool: [ring pliers, pick], "
        "takes off: ring}\n    needs: shaft guarded\n"
        "    because: it slips\n  - when: {uses: oil}\n    caution: WARNING\n    names: hot "
        "oil\n    needs: [a, b]\n    because: it burns\n"
    )
    assert rules.states == (("feet up", "feet down"),)
    assert rules.demands == (
        Demand(
            (("tool", ("ring pliers", "pick")), ("takes off", ("ring",))),
            "it slips",
            ("shaft guarded",),
        ),
        Demand((("uses", ("oil",)),), "it burns", ("a", "b"), "warning", "hot oil"),
    )
    assert [demand.line for demand in rules.demands] == [3, 6]


@pytest.mark.parametrize("written", ["", "\ufeff", "# nothing yet\n"])
def test_no_rules_are_rules(written):
    assert read_rules(written) == ShopRules()


@for_each(
    [
        ("guards: [a]", "not a key"),
        ("temporary: [a]\ntemporary: [b]", "twice"),
        ("safe: {a: b, A: c}", "twice"),
        ("safe: [a]", "key: value"),
        ("safe: {a: [b]}", "not a list"),
        ("same: [a, b]", "list of lists"),
        ("same: a", "list of lists"),
        ("temporary: {a: b}", "not a list"),
        ("temporary: [a", "YAML"),
        ("temporary: &x [a]", "Write the piece out"),
        ("- a", "key: value"),
        ("states: [a, b]", "list of lists"),
        ("states: [[a, b], [c, a]]", "line 1: “a” is in two groups"),
        (
            "states:\n  - [up, down]\n  - [x, Upside  down]\nsame: [[down, upside down]]",
            "line 3: “Upside  down” is in two groups",
        ),
        ("demands: {when: {tool: a}, needs: b, because: c}", "list of demands"),
        ("demands: [a]", "key: value"),
        ("demands:\n  - needs: b\n    because: c", "line 2: This demand has no “when”"),
        ("demands:\n  - when: {tool: a}\n    needs: b", "line 2: This demand has no “because”"),
        ("demands: [{when: {tool: a}, because: c}]", "asks for nothing"),
        ("demands: [{when: {tool: a}, caution: warning, because: c}]", "belong together"),
        ("demands: [{when: {tool: a}, names: x, because: c}]", "belong together"),
        ("demands: [{when: {tool: a}, needs: b, names: x, because: c}]", "belong together"),
        (
            "demands: [{when: {tool: a}, caution: loud, names: x, because: c}]",
            "“loud” is not a signal word",
        ),
        ("demands: [{when: {tool: a}, caution: warning, names: [x], because: c}]", "not a list"),
        (
            "demands:\n  - when: {tool: a}\n    needs: b\n    because: c\n    why: d",
            "line 5: “why” is not a key of a demand",
        ),
        ("demands: [{when: {tool: a}, needs: b, needs: d, because: c}]", "twice"),
        ("demands: [{when: {tool: a, tool: d}, needs: b, because: c}]", "twice"),
        ("demands: [{when: {}, needs: b, because: c}]", "names no field"),
        ("demands: [{when: tool, needs: b, because: c}]", "key: value"),
        ("demands: [{when: {torque: a}, needs: b, because: c}]", "“torque” is not a field"),
        ("demands: [{when: {tool: []}, needs: b, because: c}]", "empty"),
        ("demands: [{when: {tool: {a: b}}, needs: b, because: c}]", "a list of names"),
        ("demands: [{when: {tool: a}, needs: [], because: c}]", "empty"),
        ("demands: [{when: {tool: a}, needs: b, because: ''}]", "Nothing is written"),
        ("demands: [{when: {tool: a}, needs: [[b]], because: c}]", "not a list"),
        ("demands: [{when: {tool: [[a]]}, needs: b, because: c}]", "too many lists"),
    ]
)
def test_rules_that_cannot_be_read_say_why(written, why):
    with pytest.raises(BadRules) as caught:
        read_rules(written)
    assert why in say_fault_of_rules(caught.value)


def test_groups_that_share_a_name_join():
    key = Meanings((("a", "b"), ("c", "d"), ("d", "e"), ("e", "B"))).key
    assert len({key(name) for name in ("a", "b", "c", "d", "E ")}) == 1
    assert key("f") != key("a")


def test_names_compare_in_lower_case_with_white_space_as_one_space():
    assert Meanings(()).key("  Air\t LET  out ") == "air let out"
