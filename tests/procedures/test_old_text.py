"""Does an old procedure become a draft in which every line of it still stands?"""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures.writeup.old_text import draft_from_old
from procedures.writeup.parse import parse

OLD = """\
LOWER-LEG SERVICE
=================
Written by the shop.

MAKE READY
1. Put the fork in the stand.
2) Let all the air out. Press the valve core
   until the hiss stops.
   a) press it twice
   b) cycle the fork
WARNING: Air under pressure can blind.
Step 3: Loosen the foot bolts
TAKE IT APART
1. Pull the lower leg off.

CAUTION
Do not scratch the shaft.

2. Look at the wipers, as in step 1.
"""


def test_headings_become_phases_and_numbered_lines_steps():
    read = parse(draft_from_old(OLD).text)
    assert read.title == "LOWER-LEG SERVICE"
    # a heading has a blank line above it
    assert [phase.title for phase in read.phases] == ["MAKE READY"]
    assert [step.title for step in read.steps] == [
        "Put the fork in the stand",
        "Let all the air out",
        "Loosen the foot bolts",
        "Pull the lower leg off",
        "Look at the wipers, as in step 1",
    ]
    assert read.steps[1].body.startswith(
        "Let all the air out. Press the valve core until the hiss stops."
    )
    assert "- a) press it twice\n- b) cycle the fork" in read.steps[1].body


def test_lines_with_a_signal_word_become_cautions_before_the_work():
    """A warning stands before the step it belongs to (ANSI Z535.6 and MIL-STD-38784, as in the
    shop's writing rules).
    """
    read = parse(draft_from_old(OLD).text)
    assert [
        (step.title, caution.word, caution.text) for step in read.steps for caution in step.cautions
    ] == [
        ("Loosen the foot bolts", "warning", "Air under pressure can blind."),
        ("Look at the wipers, as in step 1", "caution", "Do not scratch the shaft."),
    ]
    assert not [fault for fault in read.faults if fault.code == "caution-after-action"]


def test_what_is_a_guess_is_told_by_line():
    told = {(one.line, one.why.code) for one in draft_from_old(OLD).unsure}
    assert {line for line, _ in told} == {3, 11, 16, 19}
    assert (19, "step-by-number") in told


@pytest.mark.parametrize(
    ("line", "word", "text"),
    [
        ("WARNING: Hot.", "warning", "Hot."),
        ("Caution - sharp edge", "caution", "sharp edge"),
        ("**DANGER!** Do not open.", "danger", "Do not open."),
        ("> **Notice:** Keep it dry.", "notice", "Keep it dry."),
        ("3. WARNING: Hot.", "warning", "Hot."),
        ('!!! danger "Air"', "danger", '"Air"'),
    ],
)
def test_a_caution_is_known_however_it_is_written(line, word, text):
    read = parse(draft_from_old(f"Title\n\n1. One\n\n{line}\n\n4. Two\n").text)
    (caution,) = read.steps[-1].cautions
    assert (caution.word, caution.text) == (word, text)


@pytest.mark.parametrize(
    "line",
    [
        "Warnings are given below.",
        "1.5 mm hex key",
        "10 Nm",
        "2026. was long ago",
        "caution is good",
    ],
)
def test_what_only_looks_like_a_mark_is_text(line):
    read = parse(draft_from_old(f"Title\n\n1. One\n\n{line}\n").text)
    assert len(read.steps) == 1
    assert line in read.steps[0].body


@pytest.mark.parametrize(
    ("old", "steps"),
    [
        ("# T\n\n## A\n\n### One\nx\n\n### Two\n", ["One", "Two"]),
        ("T\n\na) One\nb) Two\n", ["One", "Two"]),
        ("T\n\n- One\n- Two\n", ["One", "Two"]),
        ("T\n\n1 Ready\n1.1 One\n1.2 Two\n", ["One", "Two"]),
        ("T\n\n(1) One\n(2) Two\n", ["One", "Two"]),
        ("T\n\nSTEP 1 - One\nSTEP 2 - Two\n", ["One", "Two"]),
    ],
)
def test_steps_are_found_in_other_hands(old, steps):
    assert [step.title for step in parse(draft_from_old(old).text).steps] == steps


def test_a_write_up_stays_as_it_is():
    text = "---\ntitle: T\n---\n### One {#one}\n\nDo it.\n"
    assert draft_from_old(text).text == text


PIECES = [
    "1. ",
    "2) ",
    "Step 3: ",
    "a) ",
    "WARNING: ",
    "CAUTION",
    "# ",
    "## ",
    "### ",
    "---",
    "===",
    "```",
    "~~~",
    "!!! note",
    "!!! danger ",
    "- ",
    "> ",
    "| a |",
    "tool: x",
    "[[5 mL]]",
    "{#x}",
    "title: T",
    "ALL CAPITALS",
    "words and more words",
    "\n",
    "\n",
    "\n\n",
    "    ",
    "\t",
    "\r\n",
    "\ufeff",
    "<b>",
    "1.1 Two",
    "Phase 2",
]
# what a line may lose: its number, letter, signal word
MARK = re.compile(r"(\d{1,3}|step|[a-z]|danger|warning|caution|notice)\Z", re.IGNORECASE)


def stands(line: str, there: str) -> bool:
    """Whether the words of a line stand in a text in their order, but for the marks that the line
    begins with.
    """
    said = re.findall(r"\w+", line)
    marks = next((place for place, word in enumerate(said) if not MARK.match(word)), len(said))
    return any(
        f" {' '.join(said[place:])} " in f" {there} " or place == len(said)
        for place in range(marks + 1)
    )


@given(st.lists(st.sampled_from(PIECES) | st.text(max_size=6), max_size=30).map("".join))
def test_every_line_of_the_old_text_stands_somewhere_in_the_draft(old):
    made = draft_from_old(old)
    read = parse(made.text)
    there = " ".join(re.findall(r"\w+", f"{read.title} {made.text}"))
    for line in re.split(r"\r\n|\n|\r", old.removeprefix("\ufeff")):
        assert stands(line, there), line
    assert read.title
    assert not [
        fault for fault in read.faults if fault.code == "bad-header" and fault.about != "###"
    ]


@given(st.lists(st.sampled_from(PIECES) | st.text(max_size=6), max_size=30).map("".join))
def test_every_line_that_is_told_is_a_line_of_the_old_text(old):
    rows = re.split(r"\r\n|\n|\r", old.removeprefix("\ufeff"))
    assert all(rows[one.line - 1].strip() == one.text for one in draft_from_old(old).unsure)


def test_a_very_long_old_text_is_read():
    made = draft_from_old(
        "T\n\n"
        + "".join(f"{number % 999}. Do it\n" for number in range(5_000))
        + "a"
        + " " * 100_000
        + "x"
    )
    assert made.text.count("### Do it") == 5_000
