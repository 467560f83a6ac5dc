"""Is every drawing of the library in the shop's one hand, and does mirroring keep its words
readable and its sense?
"""

import re
from itertools import combinations
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

from procedures.pictures.clean import clean
from procedures.records.library import library
from procedures.writeup.drawings import names_in, place_drawing, view_box
from tests.architecture.documents import example
from tests.for_each import for_each

SVG = "{http://www.w3.org/2000/svg}"
LIBRARY = library()
NAMES = sorted(LIBRARY)
# pixels on a phone, where a drawing of 320 units stands at 320 pixels: a choice of ours, no source
SMALLEST_TEXT = 12


of_each_drawing = for_each(LIBRARY.values())


def tree(svg):
    return ElementTree.fromstring(svg)


def flipped(svg, *, mirror=True):
    """A drawing as a page shows it mirrored, as a file of its own."""
    shown = place_drawing(svg, uid="m", mirror=mirror)
    return shown.replace("<svg", f'<svg xmlns="{SVG[1:-1]}"', 1)


def may_mirror(svg):
    """A drawing stays as it is when it says so, or when its words say left or right."""
    sides = any(re.search(r"\b(left|right)\b", words, re.I) for words in tree(svg).itertext())
    return tree(svg).get("data-mirror") != "no" and not sides


def test_the_worked_example_of_the_library_is_one():
    svg = example("procedures/drawings/README.md", "svg")
    assert clean(svg.encode(), title="t", description="d").width == 320
    assert flipped(svg) != flipped(svg, mirror=False)
    assert "crush washer" not in place_drawing(svg, uid="a", labels=False).partition("</desc>")[2]


def test_there_are_enough():
    assert len(NAMES) >= 25


@of_each_drawing
def test_a_library_drawing_says_what_it_is(entry):
    root = tree(entry.svg)
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    # WAI-ARIA 1.2: an svg with role img is named by the elements of its aria-labelledby.
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
    assert title.text
    assert desc.text
    assert title.text == entry.title


@of_each_drawing
def test_a_library_drawing_keeps_to_ink_and_to_its_box(entry):
    root = tree(entry.svg)
    left, top, width, height = view_box(entry.svg)
    assert (left, top, width) == (0, 0, 320)
    for element in root.iter():
        assert {"style", "class"} & set(element.attrib) <= {"class"}
        for paint in (element.get("fill"), element.get("stroke")):
            assert paint in {None, "none", "currentColor"} or re.fullmatch(r"url\(#[\w-]+\)", paint)
        if element.tag == f"{SVG}text":
            assert 0 <= float(element.get("x")) <= width
            assert 0 <= float(element.get("y")) <= height
            assert float(element.get("font-size") or root.get("font-size")) >= SMALLEST_TEXT


@of_each_drawing
def test_a_library_drawing_passes_the_same_cleaning_as_an_upload(entry):
    made = clean(entry.svg.encode(), title="t", description="d")
    shapes = {"path", "circle", "ellipse", "text", "pattern"}
    assert [e.tag for e in tree(made.data).iter() if e.tag.removeprefix(SVG) in shapes] == [
        e.tag for e in tree(entry.svg).iter() if e.tag.removeprefix(SVG) in shapes
    ]


@of_each_drawing
def test_a_library_drawing_gives_no_side_and_no_verdict_away(entry):
    """It may be an option of a question and stand mirrored: its words say neither left nor right
    nor which one is the wrong one.
    """
    words = " ".join(tree(entry.svg).itertext())
    assert not re.search(r"\b(left|right|wrong|correct)\b", f"{words} {entry.words}", re.IGNORECASE)


@of_each_drawing
def test_a_placed_drawing_has_ids_of_its_own_and_no_words_to_search_by(entry):
    both = [tree(place_drawing(entry.svg, uid=uid)) for uid in ("a", "b")]
    ids = [element.get("id") for root in both for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    for root in both:
        own = {element.get("id") for element in root.iter()}
        meant = {
            found
            for e in root.iter()
            for value in e.attrib.values()
            for found in re.findall(r"url\(#([^)]*)\)", value)
        }
        assert meant | set(root.get("aria-labelledby").split()) <= own
        assert not any(key.startswith("data-") for key in root.attrib)


@of_each_drawing
def test_without_its_labels_a_drawing_names_no_part(entry):
    bare = tree(place_drawing(entry.svg, uid="a", labels=False))
    assert [e.text for e in bare.iter("text") if len(e.text) > 2] == []


@of_each_drawing
def test_a_drawing_that_another_text_names_brings_no_title_that_a_pointer_would_show(entry):
    bare = tree(place_drawing(entry.svg, uid="a", named=False))
    assert [e.tag for e in bare.iter() if e.tag in ("title", "desc")] == []
    assert {"role", "aria-labelledby"} & set(bare.attrib) == set()
    shapes = [e.get("d") for e in bare.iter("path")]
    assert shapes == [e.get("d") for e in tree(place_drawing(entry.svg, uid="a")).iter("path")]


def matrices(transform):
    """Each function of a transform attribute as a 2 × 3 matrix (SVG 1.1, section 7.6)."""
    for name, numbers in re.findall(r"(\w+)\(([^)]*)\)", transform or ""):
        given = [float(part) for part in numbers.replace(",", " ").split()]
        assert name in ("matrix", "translate")
        yield given if name == "matrix" else [1, 0, 0, 1, *given, *[0] * (2 - len(given))]


def times(m, k):
    return [
        m[0] * k[0] + m[2] * k[1],
        m[1] * k[0] + m[3] * k[1],
        m[0] * k[2] + m[2] * k[3],
        m[1] * k[2] + m[3] * k[3],
        m[0] * k[4] + m[2] * k[5] + m[4],
        m[1] * k[4] + m[3] * k[5] + m[5],
    ]


def texts(svg):
    """Each text of a drawing: its words, the matrix it is drawn with, where it starts and to which
    side it runs.
    """

    def walk(element, matrix, anchor):
        for own in matrices(element.get("transform")):
            matrix = times(matrix, own)
        anchor = element.get("text-anchor", anchor)
        if element.tag.removeprefix(SVG) == "text":
            x, y = float(element.get("x", 0)), float(element.get("y", 0))
            yield (
                element.text,
                matrix[:4],
                matrix[0] * x + matrix[2] * y + matrix[4],
                matrix[1] * x + matrix[3] * y + matrix[5],
                anchor,
            )
        for child in element:
            yield from walk(child, matrix, anchor)

    yield from walk(tree(svg), [1, 0, 0, 1, 0, 0], "start")


FLIPPED = {"start": "end", "middle": "middle", "end": "start"}


@of_each_drawing
def test_a_mirrored_drawing_is_flipped_and_its_words_read_on(entry):
    shown = flipped(entry.svg)
    assert may_mirror(entry.svg) == (shown.count("matrix(-1") > 0)
    if not may_mirror(entry.svg):
        return
    width = view_box(entry.svg)[2]
    assert view_box(shown) == view_box(entry.svg)
    expected = [
        (word, [1, 0, 0, 1], width - x, y, FLIPPED[anchor])
        for word, _, x, y, anchor in texts(entry.svg)
    ]
    assert list(texts(shown)) == [
        (w, m, pytest.approx(x), pytest.approx(y), a) for w, m, x, y, a in expected
    ]
    paths = [[e.get("d") for e in tree(svg).iter(f"{SVG}path")] for svg in (entry.svg, shown)]
    assert paths[0] == paths[1]


@given(
    st.floats(-50, 50),
    st.floats(-50, 50),
    st.floats(-9, 9),
    st.sampled_from(["start", "middle", "end"]),
)
def test_words_in_moved_groups_and_lines_of_their_own_read_on(shift, x, dx, anchor):
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="-10 0 100 50"><g '
        f'transform="translate({shift:.3f} 4)" text-anchor="{anchor}">'
        f'<text x="{x:.3f}" y="7" dx="{dx:.3f}">P</text></g></svg>'
    )
    ((_, _, before, y, _),) = texts(svg)
    ((_, matrix, after, y2, side),) = texts(flipped(svg))
    assert matrix == [1, 0, 0, 1]
    assert after == pytest.approx(80 - before, abs=0.01)  # the middle of the view box is at 40
    assert (y2, side) == (y, FLIPPED[anchor])
    assert float(re.search(r'dx="([^"]*)"', flipped(svg))[1]) == pytest.approx(-dx, abs=0.01)


@pytest.mark.parametrize("word", ["Cap on the left", "RIGHT side"])
def test_a_drawing_that_speaks_of_sides_is_not_flipped(word):
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><desc>{word}</desc><path '
        'd="M0 0L9 9"/></svg>'
    )
    assert "matrix" not in flipped(svg)
    assert not may_mirror(svg)


def test_threads_stay_right_handed():
    assert not may_mirror(LIBRARY["foot-bolt"].svg)
    assert may_mirror(LIBRARY["back-up-ring-low-side"].svg)


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("![up](drawing:ring)", {"ring"}),
        ("a ![up](drawing:ring) b ![up]( drawing:cap )", {"ring", "cap"}),
        ('![up](<drawing:ring> "title")', {"ring"}),
        ("[up](drawing:ring)", set()),
        ("`![up](drawing:ring)`", set()),
        ("```\n![up](drawing:ring)\n```", set()),
        ("![up](https://elsewhere.test/drawing:ring)", set()),
    ],
)
def test_the_names_in_a_text(text, names):
    assert names_in(text) == names


def leaders(svg):
    """The two ends of each line from a label to its part."""
    for group in tree(svg).iter(f"{SVG}g"):
        if group.get("class") == "labels":
            for path in group.iter(f"{SVG}path"):
                yield tuple(map(float, re.findall(r"-?[\d.]+", path.get("d"))))


def cross(one, other):
    """Whether two segments cross inside both, by the signs of four areas."""

    def side(ax, ay, bx, by, x, y):
        return (bx - ax) * (y - ay) - (by - ay) * (x - ax)

    return (
        side(*one, *other[:2]) * side(*one, *other[2:]) < 0
        and side(*other, *one[:2]) * side(*other, *one[2:]) < 0
    )


@of_each_drawing
def test_no_leader_crosses_another(entry):
    lines = list(leaders(entry.svg))
    assert all(len(line) == 4 for line in lines)
    assert [pair for pair in combinations(lines, 2) if cross(*pair)] == []


def box(element, root):
    """About where a text stands: by the font that Pillow brings along, and a little wider."""
    size = float(element.get("font-size") or root.get("font-size"))
    x, y = float(element.get("x")), float(element.get("y"))
    wide = 1.05 * ImageFont.load_default(size).getlength(element.text)
    left = x - {"start": 0, "middle": wide / 2, "end": wide}[element.get("text-anchor", "start")]
    return left, y - size, left + wide, y


@of_each_drawing
def test_no_word_lies_on_another_or_outside(entry):
    root = tree(entry.svg)
    boxes = [box(element, root) for element in root.iter(f"{SVG}text")]
    assert all(left >= 0 and right <= 320 for left, _, right, _ in boxes), boxes
    for (left, top, right, bottom), (left2, top2, right2, bottom2) in combinations(boxes, 2):
        assert right <= left2 or right2 <= left or bottom <= top2 or bottom2 <= top


def heights(name):
    """How far down the piston seal and the dent in the wall stand in a drawing of an air spring."""
    svg = LIBRARY[name].svg
    seal = float(re.search(r'<ellipse[^>]*cy="([\d.]+)"', svg)[1])
    dent = float(re.search(r'd="M[^"]*Q[\d.]+ ([\d.]+) ', svg)[1])
    return seal, dent


def test_the_port_lies_where_the_piston_stands_at_full_length():
    """A trade magazine on fork air springs: the chambers meet where the piston seal stands at the
    dent; that it lies near full extension is from memory. A fork that goes in carries the piston
    up, away from the seal head.
    """
    seal, dent = heights("transfer-port-open")
    assert seal == dent
    for name in ("transfer-port-passed", "air-spring"):
        seal, dent = heights(name)
        assert seal < dent, name
