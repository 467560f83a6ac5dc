"""Is the state of the bench kept right for each combination, and is it all that decides how the
work goes on?
"""

from itertools import permutations

import pytest

from procedures.rehearsal.cases import ALL, NONE, Cases
from procedures.rehearsal.orders import Orders, demanded_pairs, is_right_order, right_orders
from procedures.rehearsal.state import Mark, State, add, drop, find_marks, mark
from procedures.rehearsal.variants import combinations, steps_for
from procedures.writeup.parse import parse
from procedures.writeup.rules import read_rules
from tests.procedures.grow import grow
from tests.procedures.told import RULES, text, told

CASES = Cases((2,))
PRONG, EYELET = CASES.option(0, (1,)), CASES.option(0, (0,))
HEADER = Mark(1, "cap", ALL)


def test_adding_and_dropping_touch_one_name_in_its_combinations():
    sets = {"other": ALL}
    add(CASES, sets, "cap", PRONG)
    assert sets == {"other": ALL, "cap": PRONG}
    add(CASES, sets, "cap", EYELET)
    assert sets["cap"] == ALL
    drop(CASES, sets, "cap", PRONG)
    assert sets == {"other": ALL, "cap": EYELET}
    drop(CASES, sets, "cap", ALL)
    assert sets["cap"] == NONE
    drop(CASES, sets, "nowhere", ALL)
    assert "nowhere" not in sets


def test_the_newest_mark_counts_where_it_applies_and_the_older_one_elsewhere():
    marks = {}
    mark(CASES, marks, "cap", Mark(5, "cap", ALL))
    mark(CASES, marks, "cap", Mark(9, "Cap", PRONG))
    assert marks["cap"] == (Mark(5, "cap", EYELET), Mark(9, "Cap", PRONG))
    mark(CASES, marks, "cap", Mark(12, "cap", PRONG))
    # what holds nowhere any more is gone
    assert marks["cap"] == (Mark(5, "cap", EYELET), Mark(12, "cap", PRONG))
    mark(CASES, marks, "cap", Mark(20, "cap", ALL))
    assert marks["cap"] == (Mark(20, "cap", ALL),)


def test_marks_come_lowest_line_first_and_the_header_stands_in_where_there_is_none():
    marks = (Mark(9, "Cap", PRONG),)
    assert list(find_marks(CASES, marks, ALL, HEADER)) == [
        Mark(1, "cap", EYELET),
        Mark(9, "Cap", PRONG),
    ]
    assert list(find_marks(CASES, marks, PRONG, HEADER)) == [Mark(9, "Cap", PRONG)]
    assert list(find_marks(CASES, marks, EYELET, HEADER)) == [Mark(1, "cap", EYELET)]
    assert list(find_marks(CASES, (), NONE, HEADER)) == []
    late = (Mark(9, "cap", EYELET), Mark(4, "cap", PRONG))
    assert [each.line for each in find_marks(CASES, late, ALL, HEADER)] == [4, 9]


SETS = ("held", "taken", "opened", "off", "scrapped", "moved")


@pytest.mark.parametrize("name", [*SETS, "done"])
def test_a_copy_goes_its_own_way(name):
    state = State()
    getattr(state, name)["x"] = PRONG
    after = state.copy()
    assert getattr(after, name) == {"x": PRONG}
    getattr(after, name)["y"] = ALL
    assert getattr(state, name) == {"x": PRONG}


def test_a_copy_goes_its_own_way_in_what_was_missed_and_marked_too():
    state = State(lacked={"x"}, facts={"x": (HEADER,)}, parts={"y": (HEADER,)})
    after = state.copy()
    assert (after.lacked, after.facts, after.parts) == ({"x"}, {"x": (HEADER,)}, {"y": (HEADER,)})
    after.lacked.add("z")
    after.facts["z"] = after.parts["z"] = ()
    assert (state.lacked, state.facts, state.parts) == ({"x"}, {"x": (HEADER,)}, {"y": (HEADER,)})


@pytest.mark.parametrize("name", SETS)
def test_each_set_decides_how_the_work_goes_on(name):
    one, other, neither = State(), State(), State()
    getattr(one, name)["x"] = PRONG
    getattr(other, name)["x"] = EYELET
    getattr(neither, name)["x"] = NONE  # dropped everywhere is as never there
    assert len({one.essence(), other.essence(), State().essence()}) == 3
    assert neither.essence() == State().essence()


def test_sets_are_not_taken_for_each_other():
    assert len({State(**{name: {"x": ALL}}).essence() for name in SETS}) == len(SETS)


def test_what_was_missed_decides_and_lines_do_not():
    assert State(lacked={"x"}).essence() != State().essence()
    assert State(facts={"x": (HEADER,)}, parts={"x": (HEADER,)}).essence() == State().essence()


# --- orders that are counted by what the bench looks like, against each order tried by itself


def grown():
    """Grown write-ups for one of their forks, with up to five neighbouring steps that apply to
    it.
    """
    for seed in range(1, 120):
        files, rules = grow(seed)
        found = read_rules(rules)
        for told_text in files.values():
            writeup = parse(told_text)
            for fork in combinations(writeup)[-1:]:
                ids = [step.id for step in steps_for(writeup, fork)]
                if len(set(ids)) == len(ids) and len({step.id for step in writeup.steps}) == len(
                    writeup.steps
                ):
                    for start in range(0, len(ids) - 3, 4):
                        yield writeup, found, fork, ids[start : start + 4]


def test_orders_of_grown_write_ups_are_counted_as_if_each_were_tried():
    cases = list(grown())
    counts = set()
    for writeup, rules, fork, shown in cases:
        # what `is_right_order` makes anew for each order
        orders = Orders(writeup, rules, fork, shown)
        right = [order for order in permutations(shown) if orders.is_right(order)]
        assert is_right_order(writeup, rules, fork, right[-1])
        counts.add(len(right))
        assert right_orders(writeup, rules, fork, shown) == len(right)
        always = {
            (a, b)
            for a in shown
            for b in shown
            if a != b and all(order.index(a) < order.index(b) for order in right)
        }
        assert set(demanded_pairs(writeup, rules, fork, shown)) == always
    assert len(cases) > 100
    assert len(counts) > 5


RULE = read_rules(RULES)


def test_a_fact_that_no_step_makes_is_missed_once_in_whatever_order():
    """The own text misses it in its first step; that another step meets it first is no new error, a
    second error in one step is.
    """
    writeup = parse(text("### A\nneeds: z\n### B\nneeds: z\n### C\nmakes: x\n### D\nneeds: x\n"))
    # a and b are free, c comes before d: 4! / 2; but where b is first, b misses z, which the
    # write-up never lets it
    right = [order for order in permutations("abcd") if is_right_order(writeup, RULE, {}, order)]
    assert right_orders(writeup, RULE, {}, list("abcd")) == len(right)
    assert all(order.index("c") < order.index("d") for order in right)
    assert ("a", "b", "c", "d") in right
    assert ("b", "a", "c", "d") not in right


# --- a fact that the header gives


def test_a_given_fact_that_was_ended_is_needed_in_vain_and_not_unknown():
    """The language: `never-made` is for a fact that nothing makes and the header does not give; one
    that was there and is ended is not met.
    """
    assert told("### A\nends: wheel out\n### B\nneeds: wheel out\n", "given: wheel out\n") == [
        ("need-not-met", "b", "wheel out", {})
    ]
    assert told("### B\nneeds: wheel out\n") == [("never-made", "b", "wheel out", {})]
    assert told("### B\nneeds: wheel out\n", "given: wheel out\n") == []
