"""Do marks stand round what changed, and stay both pieces whole?

No outside source: what is expected follows from the rule that only words and drawings are marked.
"""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures.writeup.marked_html import MOST_TOKENS, leave_out_same, mark_changes, split_blocks


@pytest.mark.parametrize(
    ("before", "now", "was", "is_now"),
    [
        ("<p>a b c</p>", "<p>a x c</p>", "<p>a <del>b</del> c</p>", "<p>a <ins>x</ins> c</p>"),
        ("<p>a</p>", "<p>a b c</p>", "<p>a</p>", "<p>a <ins>b c</ins></p>"),
        ("<p>a</p><p>b c</p>", "<p>a</p>", "<p>a</p><p><del>b c</del></p>", "<p>a</p>"),
        ("<b>a</b>", "<i>a</i>", "<b>a</b>", "<i>a</i>"),
        (
            '<svg id="was-line-3-0"><title>a</title></svg>',
            '<svg id="now-line-9-0"><title>a</title></svg>',
            '<svg id="was-line-3-0"><title>a</title></svg>',
            '<svg id="now-line-9-0"><title>a</title></svg>',
        ),
        ("<svg>a</svg>", "<svg>b</svg>", "<del><svg>a</svg></del>", "<ins><svg>b</svg></ins>"),
    ],
)
def test_what_changed_is_marked_where_it_stands(before, now, was, is_now):
    assert mark_changes(before, now) == (was, is_now)


PIECES = st.lists(
    st.sampled_from(["<p>", "</p>", "a", "b", "cc", " ", "\n", "<svg>x</svg>", "<br>", "&amp;"]),
    max_size=14,
).map("".join)


@given(PIECES, PIECES)
def test_without_its_marks_each_piece_is_what_it_was(before, now):
    was, is_now = mark_changes(before, now)
    assert re.sub("</?del>", "", was) == before
    assert re.sub("</?ins>", "", is_now) == now
    for marked, mark in ((was, "del"), (is_now, "ins")):
        for inside in re.findall(f"<{mark}>(.*?)</{mark}>", marked, re.DOTALL):
            assert not re.search("</?p>|<br>", inside)
            assert inside.strip()


@given(PIECES)
def test_a_piece_beside_itself_has_no_marks(piece):
    assert mark_changes(piece, piece) == (piece, piece)


def test_a_piece_that_is_too_long_is_shown_without_marks():
    long = "<p>" + "a b " * MOST_TOKENS + "</p>"
    assert mark_changes(long, "<p>c</p>") == (long, "<p>c</p>")


def test_a_paragraph_that_is_the_same_is_left_out_whole_and_no_other():
    drawing = '<p><span><svg id="{0}-line-3-0"><path d="M0 0"/></svg></span></p>'
    one = "<p>a<br>b</p>\n" + drawing.format("was") + "\n<ol>\n<li>c</li>\n<li>d</li>\n</ol>"
    other = "<p>a<br>x</p>\n" + drawing.format("now") + "\n<ol>\n<li>c</li>\n<li>d</li>\n</ol>"
    assert "".join(split_blocks(one)) == one
    assert len(split_blocks(one)) == 3
    assert leave_out_same(one, other) == "<p>a<br>b</p>"
    assert leave_out_same(one, one) == ""
