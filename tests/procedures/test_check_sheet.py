"""Does the check sheet ask for what matters, and call right only what was done right?

What is on it, and that a prompted critical line is not right, are the shop's own rules: common practice, no source.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures.writeup.check_sheet import (
    NOT_RIGHT,
    PROMPTED,
    SEEN,
    UNAIDED,
    LineSeen,
    check_sheet,
    is_right,
    seen,
    unseen,
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
    assert lines[2].values == ("foot bolt 7 ± 0.5 N·m", "sag 20 to 30 %")
    assert [line.number for line in lines] == [2, 3, 4]


def test_a_line_keeps_how_it_was_seen_and_what_was_measured():
    line = seen(unseen(check_sheet(parse(TEXT).steps))[2], UNAIDED, ["7.1", "25"])
    assert line.as_dict() == {
        "step": "tighten", "title": "Tighten", "critical": False, "seen": "unaided",
        "values": [
            {"wanted": "foot bolt 7 ± 0.5 N·m", "measured": "7.1"}, {"wanted": "sag 20 to 30 %", "measured": "25"},
        ],
    }  # fmt: skip


def test_another_word_is_refused():
    with pytest.raises(ValueError, match="unaided, prompted, not right"):
        seen(LineSeen("a", "A", critical=True), "nearly", [])


lines = st.lists(st.builds(LineSeen, st.just("a"), st.just("A"), critical=st.booleans(), seen=st.sampled_from(SEEN)), max_size=6)


@given(lines)
def test_one_line_that_is_not_right_spoils_it(found):
    assert not is_right([*found, LineSeen("b", "B", critical=False, seen=NOT_RIGHT)])


@given(lines)
def test_a_prompt_spoils_it_only_where_it_is_critical(found):
    assert is_right([*found, LineSeen("b", "B", critical=False, seen=PROMPTED)]) == is_right(found)
    assert not is_right([*found, LineSeen("b", "B", critical=True, seen=PROMPTED)])
