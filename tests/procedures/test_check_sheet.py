"""Does the check sheet ask for what matters, and call right only what was done right?

What is on it, and that a prompted critical line is not right, are the shop's own rules: common
practice, no source.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures.records.wording.say import say
from procedures.writeup.check_sheet import (
    NOT_RIGHT,
    PROMPTED,
    SEEN,
    UNAIDED,
    LineSeen,
    check_sheet,
    is_right,
    mark_seen,
)
from procedures.writeup.parse import parse

TEXT = """---
title: T
---
## P

### Look {#look}

Look.

### Let it out {#let-out}
critical: a cap can blind
makes: air let out

Let it out.

### Hold {#hold}
hold: yes

Wait.

### Tighten {#tighten}
torque: foot bolt 7 ± 0.5 N·m
measure: sag 20..30 %

Tighten.
"""


def test_the_sheet_has_critical_steps_hold_points_and_values_and_nothing_else():
    lines = check_sheet(parse(TEXT).steps)
    assert [line.step for line in lines] == ["let-out", "hold", "tighten"]
    assert [value.wanted for value in lines[2].values] == [
        "foot bolt 7 ± 0.5 N·m",
        "sag 20 to 30 %",
    ]


def tighten(how, *measured, note=""):
    return mark_seen(check_sheet(parse(TEXT).steps)[2], how, measured, note)


def test_a_line_keeps_how_it_was_seen_what_was_measured_and_whether_that_is_in_its_range():
    assert tighten(UNAIDED, "7.1", "25 %", note=" Slowly. ").as_dict() == {
        "step": "tighten",
        "title": "Tighten",
        "critical": False,
        "seen": "unaided",
        "values": [
            {"wanted": "foot bolt 7 ± 0.5 N·m", "measured": "7.1", "within": True},
            {"wanted": "sag 20 to 30 %", "measured": "25 %", "within": True},
        ],
        "note": "Slowly.",
    }


# 1 N·m = 8.850745767 in·lbf (NIST SP 811, appendix B.8: 1 lbf·in = 0.112 984 8 N·m): 7.5 N·m lies
# between 66.3 and 66.4 in·lbf.
@pytest.mark.parametrize(
    ("measured", "is_within"),
    [
        ("6.5", True),
        ("7.5", True),
        ("7,5", True),
        ("7.5 N·m", True),
        ("7.51", False),
        ("6.49", False),
        ("66.3 in·lbf", True),
        ("66.4 in·lbf", False),
        ("6.9..7.1", True),
        ("7 ± 0.6", False),
        ("", None),
    ],
)
def test_a_value_is_held_against_its_range_both_ends_included(measured, is_within):
    assert tighten(UNAIDED, measured, "25").values[0].is_within is is_within


def test_a_value_outside_its_range_does_not_stand_in_a_line_that_is_told_as_right():
    (fault,) = tighten(UNAIDED, "9", "25").faults()
    assert say(fault).startswith("Tighten: 9 is outside foot bolt 7 ± 0.5 N·m.")
    assert tighten(NOT_RIGHT, "9", "25").faults() == []
    assert tighten(UNAIDED, "", "").faults() == []


@pytest.mark.parametrize("typed", ["tight", "7 bar", "--", "7 7"])
def test_a_value_that_cannot_be_read_is_told_with_its_line(typed):
    (fault,) = tighten(NOT_RIGHT, typed, "25").faults()
    assert say(fault).startswith("Tighten: ")


def test_another_word_is_refused():
    with pytest.raises(ValueError, match="unaided, prompted, not right"):
        mark_seen(LineSeen("a", "A", critical=True), "nearly", [])


lines = st.lists(
    st.builds(
        LineSeen, st.just("a"), st.just("A"), critical=st.booleans(), seen=st.sampled_from(SEEN)
    ),
    max_size=6,
)


@given(lines)
def test_one_line_that_is_not_right_spoils_it(found):
    assert not is_right([*found, LineSeen("b", "B", critical=False, seen=NOT_RIGHT)])


@given(lines)
def test_a_prompt_spoils_it_only_where_it_is_critical(found):
    assert is_right([*found, LineSeen("b", "B", critical=False, seen=PROMPTED)]) == is_right(found)
    assert not is_right([*found, LineSeen("b", "B", critical=True, seen=PROMPTED)])
