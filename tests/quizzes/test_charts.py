"""Do charts stand where their numbers are, with every word inside and none on another?"""

import re
from datetime import date
from itertools import combinations, pairwise
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont
from scipy.stats import binomtest

from quizzes.psychometrics.charts.grammar import LETTER, Scale, keep_apart, split_words
from tests.for_each import for_each
from tests.quizzes.charted import (
    BOTH,
    CHANCES,
    CHARTS,
    FIRST,
    LEVELS,
    ON_PHONE,
    TITLES,
    UNTIL,
    shared,
)
from tests.quizzes.published import near

# Widths of letters from a font that is none of ours; those of the usual wide fonts are up to a
# seventh wider.
FONT = ImageFont.load_default(size=LETTER)
WIDER = 1.15
MARKS = ("circle", "polyline", "rect", "path")


def parsed(svg):
    return ElementTree.fromstring(svg)  # our own


def box(word):
    """The room of one <text>: left, right, top, bottom."""
    wide = WIDER * FONT.getlength(word.text)
    back = {"start": 0, "middle": 0.5, "end": 1}[word.get("text-anchor")] * wide
    x, y = float(word.get("x")) - back, float(word.get("y"))
    return x, x + wide, y - 0.75 * LETTER, y + 0.25 * LETTER


@for_each(BOTH)
def test_every_word_is_inside_and_on_no_other(name):
    root = parsed(BOTH[name])
    width, height = map(float, root.get("viewBox").split()[2:])
    words = [(word.text, box(word)) for word in root.iter("text")]
    assert len(words) > 5
    for word, (left, right, top, bottom) in words:
        assert left >= 0, word
        assert right <= width, word
        assert top >= 0, word
        assert bottom <= height, word
    for (one, a), (other, b) in combinations(words, 2):
        assert a[1] <= b[0] or b[1] <= a[0] or a[3] <= b[2] or b[3] <= a[2], (one, other)


@for_each(BOTH)
def test_every_chart_has_a_name_a_description_and_no_colour(name):
    root = parsed(BOTH[name])
    told = {child.get("id"): child.text for child in root if child.tag in ("title", "desc")}
    assert root.get("role") == "img"
    assert root.get("aria-labelledby").split() == list(told)
    assert all(told.values())
    assert len(told) == 2
    paints = {one.get(paint) for one in root.iter() for paint in ("fill", "stroke")} - {None}
    assert {paint for paint in paints if not re.fullmatch(r"url\(#[\w-]+-hatch\)", paint)} <= {
        "currentColor",
        "none",
    }
    assert not {one.get("style") for one in root.iter()} - {None}
    assert float(root.get("font-size")) >= 12


def test_no_two_charts_of_a_page_share_an_id():
    ids = [one.get("id") for svg in BOTH.values() for one in parsed(svg).iter() if one.get("id")]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("name", CHARTS)
def test_a_phone_gets_the_same_marks_as_a_desk(name):
    """Only where they stand differs: what is drawn of the numbers is drawn on both."""
    marks = [
        [
            len(list(parsed(charts[name]).iter(tag)))
            for tag in ("circle", "polyline", "path", "rect")
        ]
        for charts in (CHARTS, ON_PHONE)
    ]
    assert marks[0] == marks[1]
    assert sum(marks[0]) > 3


@pytest.mark.parametrize("name", ["shares", "difficulty", "choices", "time line"])
def test_what_a_row_or_a_line_is_about_is_said_in_words(name):
    """No number of a table stands for a title; hostile ones stay words."""
    words = [word.text for word in parsed(CHARTS[name]).iter("text")]
    assert any(TITLES[0] in word for word in words)
    assert any("<b>" in word for word in words)
    assert any(word.endswith("…") for word in words)


ends = st.floats(-1e3, 1e3)


@given(low=ends, span=st.floats(1e-3, 1e3), start=ends, end=ends, values=st.lists(ends, min_size=2))
def test_a_scale_is_that_of_numpy_and_never_turns_back(low, span, start, end, values):
    scale = Scale(low, low + span, start, end)
    at = [scale.at(value) for value in sorted(values)]
    assert at == pytest.approx(
        list(np.interp(sorted(values), [low, low + span], [start, end])), abs=1e-6
    )
    assert all((after - before) * (end - start) >= -1e-6 for before, after in pairwise(at))


@given(st.lists(st.floats(0, 200), min_size=1, max_size=9))
def test_labels_are_kept_apart_in_their_order_and_inside(heights):
    moved = keep_apart(heights, 18, 0, 200)
    assert all(-1e-9 <= one <= 200 + 1e-9 for one in moved)
    order = sorted(range(len(heights)), key=lambda place: heights[place])
    assert all(moved[b] - moved[a] >= 18 - 1e-9 for a, b in pairwise(order))


def test_words_are_cut_only_where_they_have_no_room():
    assert split_words("Which ring goes back?", 400) == ("Which ring goes back?",)
    two = split_words("Which ring goes back?", 100)
    assert " ".join(two) == "Which ring goes back?"
    assert split_words("Which ring goes back into the groove?", 100)[-1].endswith("…")


def points_of(root):
    return np.array(
        [tuple(map(float, pair.split(","))) for pair in root.find("polyline").get("points").split()]
    )


def test_the_operating_curve_stands_where_the_chances_are_and_marks_the_guesser():
    root = parsed(CHARTS["operating"])
    points = points_of(root)
    assert np.all(np.diff(points[:, 0]) > 0)
    assert np.all(np.diff(points[:, 1]) < 0)  # upward is less
    assert points[:, 0] == near(np.interp(LEVELS, [0, 1], points[[0, -1], 0]), 0.06)
    # The floor and the top are the grid lines of 0 and 100 %.
    marks = {
        word.text: float(word.get("y")) - 4
        for word in root.iter("text")
        if word.get("text-anchor") == "end"
    }
    assert points[:, 1] == near(np.interp(CHANCES, [0, 1], [marks["0 %"], marks["100 %"]]), 0.11)
    (guesser,) = [one.get("d") for one in root.iter("path")]
    x, top = map(float, re.match(r"M([\d.]+) ([\d.]+)l", guesser).groups())
    assert (x, top + 6) == near(tuple(points[0]), 0.11)
    assert any(word.text == "guesses everything" for word in root.iter("text"))


def test_the_bars_of_shares_are_the_wilson_intervals_of_scipy():
    root = parsed(CHARTS["shares"])
    marks = {word.text: float(word.get("x")) for word in root.iter("text")}
    bars = [
        (float(one.get("x1")), float(one.get("x2")))
        for one in root.iter("line")
        if one.get("stroke-width") == "2"
    ][1:]  # the first is in the key
    dots = [float(one.get("cx")) for one in root.iter("circle")][1:]
    for right, (bar, dot) in enumerate(zip(bars, dots, strict=True)):
        bounds = binomtest(right, 24).proportion_ci(method="wilson")
        wanted = np.interp([bounds.low, bounds.high], [0, 1], [marks["0 %"], marks["100 %"]])
        assert bar == near(tuple(wanted), 0.06)
        assert bar[0] <= dot <= bar[1]
    # a diamond for each question of which it is known what guessing gets, and one in the key
    known = sum(one.guess is not None for one in shared(TITLES))
    assert len(list(root.iter("path"))) == known + 1


def test_the_difficulty_map_puts_easy_to_the_left():
    dots = [float(one.get("cx")) for one in parsed(CHARTS["difficulty"]).iter("circle")]
    assert dots == sorted(dots)
    assert np.diff(dots) == near(np.diff(dots)[0], 0.11)  # one logit apart each


def test_the_right_option_is_the_whole_line_and_every_other_has_dashes_of_its_own():
    root = parsed(CHARTS["choices"])
    dashes = [one.get("stroke-dasharray") for one in root.findall("polyline")]
    assert dashes[0] is None
    assert len(set(dashes)) == len(dashes) == 4
    assert [word.text.startswith("✓") for word in root.iter("text")].count(True) == 1
    # a guesser takes each of four options alike, in every group
    marks = {word.text: float(word.get("y")) - 4 for word in root.iter("text")}
    tops = [float(one.get("d").split()[1].partition("l")[0]) for one in root.iter("path")]
    assert [top + 6 for top in tops] == near([marks["25 %"]] * 3, 0.11)


def test_a_day_of_the_time_line_lies_where_its_share_of_the_days_is():
    root = parsed(CHARTS["time line"])
    bars = list(root.iter("rect"))[:3]
    left, right = float(bars[0].get("x")), float(bars[2].get("x")) + float(bars[2].get("width"))
    days = [FIRST, date(2024, 6, 2), date(2026, 6, 2), UNTIL]
    numbers = np.array([day.toordinal() for day in days[1:3]])
    wanted = np.interp(numbers, [FIRST.toordinal(), UNTIL.toordinal() + 1], [left, right])
    assert [float(one.get("x")) for one in bars[1:]] == near(tuple(wanted), 0.06)
    assert [one.get("fill") for one in bars] == ["none", "currentColor", "url(#spans-hatch)"]
    assert all(one.find("title").text == TITLES[2] for one in root.iter("path") if len(one))
