"""Does the proofing stand any text, in order and on lines that are there, and how does the demo
stand?
"""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures.records.wording.say import say
from procedures.writeup.parse import parse
from procedures.writeup.proof.catalogue import CATALOGUE, LEVELS
from procedures.writeup.proof.proofing import find_unanswered, proof
from tests.for_each import for_each
from tests.procedures.planted import library

PIECES = [
    "---\n",
    "title: T\n",
    "\n### ",
    "\n## ",
    "{#id}",
    "\n\n",
    "\n",
    "\r\n",
    "    ",
    "tool: vise\n",
    "torque: 7 N·m\n",
    "uses: oil\n",
    '!!! warning "W"\n',
    "!!! notice\n",
    "    hazard: air\n",
    "    harm: be careful\n",
    "    avoid: Press it, then pull\n",
    "- ",
    "1. ",
    "3) ",
    "> ",
    "Note: ",
    "```\n",
    "| a |\n",
    "[[28 N·m]]",
    "28 N·m (200 in-lbf)",
    "Remove the top cap",
    " and ",
    ", ",
    ". ",
    "If ",
    "step 4",
    "should be unscrewed",
    "don’t",
    "(",
    ")",
    "“",
    "”",
    "**",
    "Wait. ",
    "It ",
    "…",
    "![x](y)",
    "8 to 5 mm",
    " ; ",
]
scraps = st.lists(st.sampled_from(PIECES) | st.text(max_size=4), max_size=40).map("".join)


@given(st.text() | scraps)
def test_any_text_is_proofed_in_order_on_lines_that_are_there(written):
    rows = len(re.split(r"\r\n|\n|\r", written.removeprefix("\ufeff")))
    found = proof(parse(written), written)
    assert all(1 <= each.line <= rows for each in found)
    assert [each.line for each in found] == sorted(each.line for each in found)
    assert len({each.key for each in found}) == len(found)
    assert all(
        each.rule in CATALOGUE and each.level in LEVELS and say(each.remark) and each.about
        for each in found
    )


@given(scraps)
def test_what_is_answered_asks_no_more(written):
    found = proof(parse(written), written)
    asking = find_unanswered(found, ())
    assert {each.key for each in asking} == {each.key for each in found if each.asks}
    assert find_unanswered(found, [each.key for each in asking]) == ()


@for_each(
    [
        "a" + " " * 300_000 + "b",
        "[[" * 100_000,
        "`" * 100_001,
        '!!! warning "' * 60_000,
        "- [x" * 70_000,
        "(" * 200_000,
        "1. " * 100_000,
        "step 4 " * 50_000,
        "28 N·m (" * 50_000,
        "the " * 90_000,
        "“" * 100_000,
        "air " * 80_000,
        "charge " * 50_000,
        "push " * 50_000,
        "A. " * 100_000,
        "take the cap " * 30_000,
    ]
)
def test_a_very_long_line_is_proofed(line):
    text = f"---\ntitle: T\n---\n### S\n\n{line}\n"
    assert all(each.line <= 6 for each in proof(parse(text), text))


def test_a_text_that_is_too_long_to_be_read_has_no_findings():
    text = "a" * 1_000_001
    assert proof(parse(text), text) == ()


@pytest.mark.parametrize("name", sorted(library()))
def test_the_words_of_a_finding_stand_at_its_line(name):
    """In the demo write-ups: what a finding is about begins on the line that it names."""
    text = library()[name]
    rows = text.split("\n")
    for each in proof(parse(text), text):
        if each.rule.startswith(("LG", "ST", "NU")) and each.step:
            row = re.sub(r"\[\[|\]\]|\*|`", "", rows[each.line - 1])
            assert each.about.split()[0].strip("“”") in row
