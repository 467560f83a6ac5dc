"""Is every safe and complete order right, and no other?

The expected counts are worked out by hand: orders of n steps are n! (factorial); a chain of three
has one; a fixed pair halves them.
"""

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures.rehearsal.orders import demanded_pairs, is_right_order, right_orders
from procedures.writeup.parse import parse
from procedures.writeup.rules import read_rules
from tests.procedures.told import RING, RULES, WARNING, text

RULE = read_rules(RULES)
FREE = parse(text("### A\n### B\n### C\n"))
CHAIN = parse(text("### A\nmakes: x\n### B\nneeds: x\nmakes: y\n### C\nneeds: y\n"))
AIR = parse(
    text(
        "### A {#let-out}\nmakes: air let out\n### T {#tool}\ntool: pump\n"
        f"### B {{#open}}\nopens: air chamber\ntakes off: cap\n{WARNING}### Z {{#fixed}}\n### "
        f"C {{#close}}\nfits: cap\n"
    )
)


def test_free_steps_may_stand_in_any_order():
    assert right_orders(FREE, RULE, {}, ["a", "b", "c"]) == 6
    assert demanded_pairs(FREE, RULE, {}, ["a", "b", "c"]) == ()
    assert is_right_order(FREE, RULE, {}, ["c", "a", "b"])


def test_a_chain_has_one_order():
    assert right_orders(CHAIN, RULE, {}, ["a", "b", "c"]) == 1
    assert demanded_pairs(CHAIN, RULE, {}, ["c", "b", "a"]) == (("a", "b"), ("a", "c"), ("b", "c"))
    assert is_right_order(CHAIN, RULE, {}, ["a", "b", "c"])
    assert not is_right_order(CHAIN, RULE, {}, ["b", "a", "c"])


def test_every_safe_order_is_right():
    # let-out before open before close; the tool step is free: 4! / 3! = 4 orders.
    shown = ["let-out", "tool", "open", "close"]
    assert right_orders(AIR, RULE, {}, shown) == 4
    assert demanded_pairs(AIR, RULE, {}, shown) == (
        ("let-out", "open"),
        ("let-out", "close"),
        ("open", "close"),
    )
    assert is_right_order(AIR, RULE, {}, ["tool", "let-out", "open", "close"])
    assert not is_right_order(AIR, RULE, {}, ["open", "tool", "let-out", "close"])


def test_steps_that_are_not_shown_stay_where_they_are():
    # tool and close are put into the places of each other; let-out and open stay.
    assert is_right_order(AIR, RULE, {}, ["open", "close"])
    assert not is_right_order(AIR, RULE, {}, ["close", "tool"])
    assert right_orders(AIR, RULE, {}, ["tool", "close"]) == 1


def test_an_error_that_the_write_up_has_itself_does_not_count():
    faulty = parse(text("### A\nneeds: z\n### B\n### C\nmakes: x\n### D\nneeds: x\n"))
    assert is_right_order(faulty, RULE, {}, ["b", "a", "c", "d"])
    assert right_orders(faulty, RULE, {}, ["a", "b", "c", "d"]) == 12


def test_a_fact_that_nothing_makes_is_missed_once_also_where_it_was_ended_since():
    # a misses z, b ends it, c would miss it again: that is told once, of a. So c must not come
    # before a, nor b (it would end nothing).
    lacking = parse(text("### A\nneeds: z\n### B\nends: z\n### C\nneeds: z\n"))
    assert [order for order in permutations("abc") if is_right_order(lacking, RULE, {}, order)] == [
        ("a", "b", "c"),
        ("a", "c", "b"),
    ]
    assert right_orders(lacking, RULE, {}, ["a", "b", "c"]) == 2


def test_what_is_missed_is_told_apart_from_what_is_ended_for_nothing():
    # b ends z for nothing, and a misses it: both stand in the text. With a first, z is taken as
    # given, and b ends that.
    nothing = parse(text("### B\nends: z\n### A\nneeds: z\n"))
    assert right_orders(nothing, RULE, {}, ["a", "b"]) == 2
    # a misses z, b ends it, c ends it for nothing; that b should end it for nothing is a new error,
    # that c does it first is none.
    twice = parse(text("### A\nneeds: z\n### B\nends: z\n### C\nends: z\n"))
    assert [order for order in permutations("abc") if is_right_order(twice, RULE, {}, order)] == [
        ("a", "b", "c"),
        ("c", "a", "b"),
    ]
    assert right_orders(twice, RULE, {}, ["a", "b", "c"]) == 2


def test_an_order_given_by_after_is_demanded():
    clean = parse(text("### Clean\n### Inspect\nafter: clean\n"))
    assert demanded_pairs(clean, RULE, {}, ["clean", "inspect"]) == (("clean", "inspect"),)


def test_the_fork_decides():
    writeup = parse(
        text(
            "### A\nonly if: ring = prong\nmakes: x\n### B\nonly if: ring = prong\nneeds: "
            "x\n### C\n### D\n",
            RING,
        )
    )
    assert right_orders(writeup, RULE, {"ring": "prong"}, ["a", "b", "c"]) == 3
    assert right_orders(writeup, RULE, {"ring": "eyelet"}, ["c", "d"]) == 2
    with pytest.raises(ValueError, match="a"):
        right_orders(writeup, RULE, {"ring": "eyelet"}, ["a", "c"])


def test_a_wrong_question_is_refused():
    with pytest.raises(ValueError, match="twice"):
        is_right_order(FREE, RULE, {}, ["a", "a"])
    with pytest.raises(ValueError, match="nowhere"):
        is_right_order(FREE, RULE, {}, ["a", "nowhere"])
    eight = parse(text("".join(f"### S{number}\n" for number in range(8))))
    assert right_orders(eight, RULE, {}, [f"s{number}" for number in range(7)]) == 5040
    with pytest.raises(ValueError, match="7"):
        right_orders(eight, RULE, {}, [f"s{number}" for number in range(8)])


FIELDS = [
    "needs: x",
    "makes: x",
    "ends: x",
    "takes off: cap",
    "fits: cap",
    "scraps: cap",
    "fits new: cap",
    "makes: shaft guarded",
    "ends: shaft guarded",
    "after: s0",
]
steps = st.lists(st.lists(st.sampled_from(FIELDS), max_size=2), min_size=2, max_size=6)


@given(steps, st.data())
def test_counting_agrees_with_trying_each_order(chosen, data):
    writeup = parse(
        text(
            "".join(
                f"### S {{#s{number}}}\n" + "".join(f"{each}\n" for each in fields)
                for number, fields in enumerate(chosen)
            )
        )
    )
    ids = [step.id for step in writeup.steps]
    shown = data.draw(st.lists(st.sampled_from(ids), unique=True, max_size=4))
    right = [order for order in permutations(shown) if is_right_order(writeup, RULE, {}, order)]
    assert right_orders(writeup, RULE, {}, shown) == len(right)
    always = {
        (a, b)
        for a in shown
        for b in shown
        if a != b and all(order.index(a) < order.index(b) for order in right)
    }
    assert set(demanded_pairs(writeup, RULE, {}, shown)) == always
    assert tuple(each for each in ids if each in shown) in right
