"""Does every reader of a text from outside take a time that grows with the text, and not with its
square?
"""

from itertools import product

import pytest

from procedures.pictures.svg import clean_svg
from procedures.rehearsal.walk import rehearse
from procedures.writeup import header, rules
from procedures.writeup.diff import compare
from procedures.writeup.drawings import find_named
from procedures.writeup.ids import write_ids
from procedures.writeup.marked_html import mark_changes
from procedures.writeup.old_text import draft_from_old
from procedures.writeup.parse import parse
from procedures.writeup.proof.proofing import proof
from procedures.writeup.search import find
from procedures.writeup.three_texts import stretches
from procedures.writeup.word_diff import turning_words, values_in, word_diff
from quizzes.kinds.spots import SHOWN
from quizzes.marking.advice import advise
from quizzes.marking.texts import read_questions
from tests.hostile.growing import of, too_fast_growing
from tests.hostile.seeds import LEADS, UNITS, WORKS

QUESTION = (
    "writeup: a\nquestions:\n  - name: b\n    kind: choose one\n    steps: [c]\n    stem: |\n     "
    " What? {}\n    options:\n      - text: Yes\n        right: yes\n      - text: No {}\n    "
    "says: So.\n"
)


def drawing(attribute: str):
    """A drawing with a hostile value in one attribute."""
    shape = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M0 0"/><polygon '
        f'{attribute}="VALUE"/></svg>'
    )
    return lambda text: clean_svg(shape.replace("VALUE", text).encode(), title="a", description="b")


READERS = {
    "parse": (parse, LEADS, 1_000),
    "proof": (lambda text: proof(parse(text), text), LEADS, 750),
    "old text": (draft_from_old, LEADS, 1_000),
    "ids": (write_ids, ("introduction", "step's title", "step"), 1_000),
    "drawings named": (
        lambda text: find_named(f"{text} drawing:"),
        ("introduction", "step"),
        1_000,
    ),
    "rehearsal": (
        lambda text: rehearse(parse(text), rules.ShopRules()),
        ("fields", "header", "step"),
        1_000,
    ),
    "rules": (rules.read_rules, ("bare",), 2_400),
    "questions": (read_questions, ("bare",), 2_400),
    "advice": (
        lambda text: [
            advise(one)
            for one in read_questions(
                QUESTION.format(text.replace("\n", " "), text.replace("\n", " "))
            )
        ],
        ("bare",),
        500,
    ),
    "values": (values_in, ("bare",), 2_000),
    "turning words": (turning_words, ("bare",), 2_000),
    "search": (lambda text: find(text, {"a": parse(f"{WORKS}{text}")}), ("bare",), 1_000),
    "drawing's numbers": (drawing("points"), ("bare",), 2_000),
    "drawing's turns": (drawing("transform"), ("bare",), 2_000),
    "drawing's number": (drawing("stroke-width"), ("bare",), 2_000),
    "drawing's style": (drawing("style"), ("bare",), 2_000),
}
FLOWS = (
    "[",
    "{",
    "[ ",
    "- [",
    "[a, ",
    "a: [",
    "[[1 ",
    "{a: ",
    "\n",
    " ",
    "a: b\n",
    "- a\n",
    "'",
    '"',
    "#",
    "- - ",
    "? ",
    "| ",
    ">\n",
)
# the library looks 1,024 letters ahead for a key
YAML = dict.fromkeys(("rules", "questions"), 1_100)
MORE = {
    "rules": (
        *FLOWS,
        "safe: {a: b}\n",
        "same: [[a, b]]\n",
        "- [a, b]\n",
        "temporary: [",
        "states:\n  - [a, b]\n",
        "&a [*a,",
        "a: &a\n",
    ),
    "questions": (*FLOWS, "questions:\n", "  - name: a\n", "- [", "{", "a: ", "? a\n"),
    "drawing's numbers": ("1 ", "1,", "1.5", "1e5 ", "1-", "0000", "+", "1e", "1 , "),
    "drawing's turns": ("rotate(1)", "rotate (", "rotate", "rotate(1) ,", "scale(1 2),, "),
    "drawing's number": ("0", "1e", "1.", "+1"),
    "drawing's style": ("a:b;", "fill:url(#a);", "fill:url(", ";;", ":"),
}


@pytest.fixture(autouse=True)
def _reads_again(monkeypatch):
    """What is measured again is read again."""
    monkeypatch.setattr(header, "_read", header._read.__wrapped__)


@pytest.mark.parametrize("name", READERS)
def test_a_reader_takes_a_time_that_grows_with_the_text(name):
    reader, leads, length = READERS[name]
    units = [*(() if name in YAML else UNITS), *MORE.get(name, ())]
    for (row, lead), (column, unit) in product(enumerate(leads), enumerate(units)):
        # Where there are many beginnings, a piece comes at every other one, by turns with an end.
        if len(leads) >= 4 and (row + column) % 2:
            continue
        ends = ("", "!x") if len(leads) < 4 else (("", "!x")[(row + column) // 2 % 2],)
        for end in ends:
            found = too_fast_growing(
                reader, of(unit, LEADS[lead], end), length, shortest=YAML.get(name, 0)
            )
            assert not found, f"{name}, {lead}: {unit!r} again and again + {end!r}: {found}"


def binary(length: int, turn: int) -> str:
    """Words of two kinds in an order that repeats nowhere for long: the binary digits of n * n +
    turn, one by one.
    """
    digits = "".join(f"{number * number + turn:b}" for number in range(1, length))[:length]
    return " ".join("ab"[int(digit)] for digit in digits)


@pytest.mark.parametrize(
    "shape",
    [
        lambda length: ("a " * (length // 2), "b " * (length // 2)),
        lambda length: ("a b " * (length // 4), "b a a " * (length // 6)),
        lambda length: ("x" + " a" * (length // 2) + " y", "z" + " a" * (length // 3) + " w"),
        lambda length: (binary(length // 2, 0), binary(length // 2, 7)),
    ],
)
def test_words_are_compared_in_a_time_that_grows_with_them(shape):
    found = too_fast_growing(lambda text: word_diff(*shape(len(text))), of("x"), 10_000)
    assert not found, found


@pytest.mark.parametrize("row", ["<p>a</p>", "<p>a b</p> ", " ", "a b "])
def test_marks_are_set_in_a_time_that_grows_with_the_pieces(row):
    found = too_fast_growing(
        lambda text: mark_changes(text, f"b{text[::-1]}"), of(row), 1_000
    ) or too_fast_growing(lambda text: mark_changes(text, f"b {text} c {text}"), of(row), 500)
    assert not found, found


STEPS = [
    lambda number: f"### Step {number} {{#s{number}}}\ncritical: yes\n\nTurn it.\n\n",
    lambda number: f"## Phase {number}\n\n",
    lambda number: (
        f'### Step {number}\n\n!!! danger "Air"\n    hazard: Air.\n\nUnscrew the top cap.\n\n'
    ),
    lambda number: f'!!! warning "Oil {number % 3}"\n    hazard: Oil.\n\n',
]


@pytest.mark.parametrize("piece", STEPS)
@pytest.mark.parametrize("other", ["the same backwards", "others"])
def test_revisions_are_compared_in_a_time_that_grows_with_them(piece, other):
    def both(text: str) -> None:
        places = range(len(text))
        others = (
            reversed(places) if other == "the same backwards" else range(len(text), 2 * len(text))
        )
        old, new = (WORKS + "".join(map(piece, order)) for order in (places, others))
        compare(parse(old), parse(new))

    found = too_fast_growing(both, of("x"), 100)
    assert not found, found


@pytest.mark.parametrize("row", ["a\n", "a\nb\n", "a\nb\na\nc\n"])
def test_three_texts_are_laid_side_by_side_in_a_time_that_grows_with_them(row):
    found = too_fast_growing(
        lambda text: stretches(text, f"b\n{text}c\n", text[::-1]), of(row), 1_000
    )
    assert not found, found


def test_drawings_shown_in_a_question_are_found_in_a_time_that_grows_with_it():
    for unit in UNITS:
        found = too_fast_growing(SHOWN.findall, of(unit), 2_000)
        assert not found, f"{unit!r}: {found}"
