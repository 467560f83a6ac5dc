"""Does the reader of write-ups stand any text, and do ids stay what they are?"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures.records.wording.say import say_fault_of_rules
from procedures.rehearsal.walk import rehearse
from procedures.writeup.ids import write_ids
from procedures.writeup.parse import parse
from procedures.writeup.rules import BadRules, ShopRules, read_rules
from tests.procedures.told import text

PIECES = [
    "---",
    "title: T",
    "### ",
    "## ",
    "Same",
    "Other one!",
    " {#same}",
    " {#same-2}",
    " {#Bad Id}",
    "\n",
    "\n",
    "\n",
    "\r\n",
    "\r",
    "\t",
    "needs: a",
    "makes: a; b",
    "only if: ring = prong",
    "torque: 5",
    '!!! warning "W"',
    "    hazard: h",
    "```",
    "~~~",
    "[[5 mL]]",
    "variants: {ring: [a, b]}",
    "\ufeff",
]
scraps = st.lists(st.sampled_from(PIECES) | st.text(max_size=5), max_size=40).map("".join)


@given(st.text() | scraps)
def test_any_text_is_read_and_rehearsed(written):
    read = parse(written)
    found = rehearse(read, ShopRules())
    assert len({step.id for step in read.steps}) == len(read.steps)
    assert {
        (fault.code, fault.about) for fault in read.faults if fault.code != "caution-after-action"
    } <= {(each.code, each.about) for each in found}


@given(scraps)
def test_every_line_that_is_named_is_there(written):
    rows = written.replace("\r\n", "\n").replace("\r", "\n").count("\n") + 1
    read = parse(written)
    assert all(1 <= fault.line <= rows for fault in read.faults)
    assert all(1 <= step.line <= rows for step in read.steps)


@given(scraps)
def test_writing_ids_keeps_every_id_and_writes_them_once(written):
    once = write_ids(written)
    assert [step.id for step in parse(once).steps] == [step.id for step in parse(written).steps]
    assert write_ids(once) == once


@given(scraps)
def test_writing_ids_changes_nothing_but_step_headings(written):
    before, after = written.split("\n"), write_ids(written).split("\n")
    assert len(before) == len(after)
    assert all(was == is_ or "###" in was for was, is_ in zip(before, after, strict=True))


def test_ids_are_written_behind_the_title_and_line_ends_stay():
    assert (
        write_ids("### A b  \r\n### C {#x}\r\n```\r\n### no\r\n")
        == "### A b {#a-b}\r\n### C {#x}\r\n```\r\n### no\r\n"
    )


def test_an_id_stays_when_the_title_changes_after_it_was_written():
    renamed = write_ids(text("### Let the air out\n")).replace("Let the air out", "Release the air")
    assert [(step.id, step.title) for step in parse(renamed).steps] == [
        ("let-the-air-out", "Release the air")
    ]


@pytest.mark.parametrize(
    "line",
    [
        "### a" + " " * 300_000 + "b",
        "### a" + " {#x" * 50_000,
        "a" + " " * 300_000 + "x",
        "[[" * 100_000,
        "`" * 100_001,
        "!!! warning" + ' "' * 90_000,
        "- [x" * 70_000,
    ],
)
@pytest.mark.parametrize("place", ["### S\n{}\n", "### S\n\n{}\n"])
def test_a_very_long_line_is_read(line, place):
    assert parse(text(place.format(line))).steps[0].id == "s"


@given(st.text())
def test_any_text_is_rules_or_refused_with_its_line(written):
    try:
        read = read_rules(written)
    except BadRules as bad:
        read = say_fault_of_rules(bad)
    assert isinstance(read, ShopRules) or read.startswith("line ")
