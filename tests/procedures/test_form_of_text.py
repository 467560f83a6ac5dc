"""Is the text of a write-up the one truth, whether it is changed as a form or as text?"""

import re
from collections import Counter
from dataclasses import replace
from difflib import SequenceMatcher
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from procedures.writeup.blocks import (
    INTRO,
    cut_blocks,
    find_block,
    insert_after,
    move_block,
    replace_block,
    split_step,
    take_out,
)
from procedures.writeup.drawings import find_named
from procedures.writeup.heads import KEYS, Head, read_head, write_head
from procedures.writeup.ids import write_ids
from procedures.writeup.parse import parse
from procedures.writeup.remarks import Unreadable
from procedures.writeup.step_fields import ORDER, Warned, read_step, write_step
from procedures.writeup.step_pictures import StepPicture
from tests.for_each import for_each
from tests.procedures.texts_to_edit import TEXTS, WORDS

SHOP = sorted(Path("fixtures/writeups").glob("*.md"))
MANY = settings(max_examples=40, deadline=None)
NAMES = [key.replace(" ", "_") for key in KEYS]
SAID = {
    **dict.fromkeys(("title", "level", "interval", "follows"), WORDS),
    **dict.fromkeys(
        ("given", "leaves", "off", "leaves_off", "never"), st.lists(WORDS, max_size=3).map(tuple)
    ),
    "variants": st.lists(
        st.tuples(WORDS, st.lists(WORDS, min_size=1, max_size=2).map(tuple)),
        max_size=2,
        unique_by=lambda row: row[0],
    ).map(tuple),
}


def head_or_none(text):
    try:
        return read_head(text)
    except Unreadable:
        return None


def differing(old, new):
    """The lines that are no longer there, and the new ones."""
    old, new = old.split("\n"), new.split("\n")
    gone, come = [], []
    for what, a, b, c, d in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if what != "equal":
            gone += old[a:b]
            come += new[c:d]
    return gone, come


def readings(text):
    """What the parser reads of each step, wherever it stands, and in which order."""
    found = {}
    for step in parse(text).steps:
        plain = replace(
            step,
            number=0,
            line=0,
            phase="",
            lines=(),
            body=step.body.strip(),
            **{
                name: tuple(replace(one, line=0) for one in getattr(step, name))
                for name in ("cautions", "only_if", "uses", "torques", "measures", "checks")
            },
        )
        found[step.id] = plain
    return found


def keys_of(text):
    return [block.key for block in cut_blocks(text).blocks]


@MANY
@given(TEXTS)
def test_a_text_out_of_its_fields_and_blocks_is_the_same_text_letter_by_letter(text):
    cut = cut_blocks(text)
    assert cut.above + "".join(block.text + block.gap for block in cut.blocks) == text
    for block in cut.blocks:
        if block.is_step:
            assert write_step(block.text, read_step(block.text)) == block.text
    head = head_or_none(text)
    assume(head is not None)
    assert write_head(text, head) == text


@MANY
@given(TEXTS, st.sampled_from(NAMES), st.data())
def test_a_field_of_the_head_changes_its_own_lines_and_reads_as_it_was_meant(text, name, data):
    head = head_or_none(text)
    assume(head is not None)
    wanted = replace(head, **{name: data.draw(SAID[name])})
    try:
        new = write_head(text, wanted)
    except Unreadable:
        assume(False)
    assert read_head(new) == wanted
    key = name.replace("_", " ")
    gone, _ = differing(text.replace("\r", ""), new.replace("\r", ""))
    # Lines of the key itself, and those of its list further in.
    assert all(row.startswith((f"{key}:", " ")) for row in gone if row)
    remarks = [row.partition("#")[2] for row in text.split("\n") if row.strip().startswith("# a")]
    assert all(f"#{said}".rstrip("\r") in new for said in remarks)
    before, after = parse(text), parse(new)
    others = [other for other in NAMES if other not in (name, "variants", "never")]
    assert [getattr(before, other) for other in others] == [
        getattr(after, other) for other in others
    ]


@MANY
@given(TEXTS, st.data())
def test_a_block_moves_there_and_back_and_no_other_reads_differently(text, data):
    text = write_ids(text)
    key, up = data.draw(st.sampled_from(keys_of(text))), data.draw(st.booleans())
    try:
        moved = move_block(text, key, up=up)
    except Unreadable:
        assume(False)
    assert readings(moved) == readings(text)
    block = find_block(text, key)
    if block.is_step:
        assert abs(keys_of(moved).index(key) - keys_of(text).index(key)) in (0, 1)
        assert move_block(moved, key, up=not up) == text
    else:
        back = next(one for one in cut_blocks(moved).blocks if one.text == block.text)
        if sum(one.text == block.text for one in cut_blocks(moved).blocks) == 1:
            assert move_block(moved, back.key, up=not up) == text


@MANY
@given(TEXTS, st.data())
def test_a_step_put_in_is_taken_out_again_and_no_other_reads_differently(text, data):
    text = write_ids(text)
    key = data.draw(st.sampled_from(keys_of(text)))
    assume(find_block(text, key).text)
    try:
        more = insert_after(text, key, "### Brand new step\nmakes: x\n\nDo this.\n")
    except Unreadable:
        assume(False)
    (new,) = set(readings(more)) - set(readings(text))
    assert {one: read for one, read in readings(more).items() if one != new} == readings(text)
    assert keys_of(more)[keys_of(more).index(new) - 1] == key
    assert take_out(more, new) == text


@MANY
@given(TEXTS, st.sampled_from(ORDER), st.data())
def test_a_field_of_a_step_changes_its_own_lines_and_reads_as_it_was_meant(text, key, data):
    steps = [block for block in cut_blocks(text).blocks if block.is_step]
    assume(steps)
    block = data.draw(st.sampled_from(steps))
    was = read_step(block.text)
    values = {**was.values, key: ("x y",)} if data.draw(st.booleans()) else dict(was.values)
    if key not in values or values == was.values:
        values.pop(key, None)
    new = write_step(block.text, replace(was, values=values))
    assert read_step(new) == replace(was, values=values)
    gone, come = differing(block.text.replace("\r", ""), new.replace("\r", ""))
    assert all(row.startswith(f"{key}:") for row in (*gone, *come))


@MANY
@given(TEXTS, st.data())
def test_a_caution_and_a_text_are_written_as_they_are_read(text, data):
    steps = [block for block in cut_blocks(text).blocks if block.is_step]
    assume(steps)
    was = read_step(data.draw(st.sampled_from(steps)).text)
    block = next(one for one in steps if read_step(one.text) == was)
    added = (*was.cautions, Warned("danger", "A cap", "It flies.", "It blinds.", "Wait.", "More."))
    wanted = replace(was, title="Another title", cautions=added, body="One.\n\nTwo.")
    new = write_step(block.text, wanted)
    assert read_step(new) == wanted
    assert write_step(new, replace(wanted, body=was.body, cautions=was.cautions)).count("!!!") == (
        block.text.count("!!!")
    )


PICTURES = st.lists(
    st.builds(
        StepPicture, st.sampled_from(["cap", "pump-2"]), st.sampled_from(["Cap", "28 N·m (left)!"])
    ),
    max_size=2,
).map(tuple)


@MANY
@given(TEXTS, PICTURES, PICTURES, st.sampled_from([None, "", "Do it.\n\n- Two"]), st.data())
def test_pictures_are_put_round_a_text_and_taken_out_as_they_are_meant(
    text, before, after, body, data
):
    steps = [block for block in cut_blocks(text).blocks if block.is_step]
    assume(steps)
    block = data.draw(st.sampled_from(steps))
    was = read_step(block.text)
    wanted = replace(was, before=before, after=after, body=was.body if body is None else body)
    # A caution first in the text would join those above it, and a picture that stands before a
    # caution is text; the form says so and changes nothing.
    assume(not re.match(r"(?:\s|!\[.*\n)*!!!", wanted.body))
    if not wanted.body:
        wanted = replace(wanted, before=before + after, after=())
    # In an open fence a picture is code, and nothing is put there.
    assume(wanted.body.count("```") % 2 == 0)
    new = write_step(block.text, wanted)
    assert read_step(new) == wanted
    named = [one.name for one in find_named(new)]
    assert named[: len(wanted.before)] == [one.name for one in wanted.before]
    bare = replace(wanted, before=(), after=())
    assert read_step(write_step(new, bare)) == bare
    # A picture in the place of another may make other lines look moved: they are counted.
    gone = Counter(block.text.splitlines()) - Counter(new.splitlines())
    if body is None:
        assert all(row.startswith("![") for row in gone if row.strip())


STEP = """---
title: T
---
Why.

## Phase

### One {#one}
needs: a
tool: pump

First.

Then.

### Two {#two}
after: one

Second.
"""


def test_a_step_is_split_at_its_lines_and_keeps_its_id():
    new = split_step(STEP, "one", title="And then", lines=[2, 6])
    assert find_block(new, "one").text == "### One {#one}\nneeds: a\n\nFirst."
    assert find_block(new, "and-then").text == "### And then {#and-then}\ntool: pump\n\nThen."
    assert keys_of(new) == [INTRO, "phase.1", "one", "and-then", "two"]
    assert readings(new)["two"] == readings(STEP)["two"]


@for_each(
    [
        (lambda: take_out(STEP, "one"), "step-is-named"),
        (lambda: replace_block(STEP, "one", "### One {#uno}\n\nFirst."), "step-is-named"),
        (lambda: replace_block(STEP, "one", "### One {#one}\n\n```\nopen"), "block-touches-others"),
        (lambda: replace_block(STEP, "one", "no heading"), "block-without-heading"),
        (lambda: insert_after(STEP, "one", "---\ntitle: x\n---\n"), "block-without-heading"),
        (lambda: replace_block(STEP, INTRO, "## A phase"), "block-touches-others"),
        (lambda: move_block(STEP, "two", up=False), "block-at-the-end"),
        (lambda: move_block(STEP, "phase.1", up=True), "block-at-the-end"),
        (lambda: move_block(STEP, "three", up=True), "no-such-block"),
        (lambda: take_out(STEP, INTRO), "no-such-block"),
        (lambda: split_step(STEP, "one", title=" ", lines=[6]), "split-without-title"),
        (lambda: split_step(STEP, "one", title="x", lines=[1]), "split-without-text"),
        (lambda: write_head("---\ntitle: x", Head(title="y")), "header-without-end"),
        (lambda: write_head("---\n{title: x}\n---\n", Head(title="y")), "head-as-text"),
        (lambda: write_head("---\nlevel: [a]\n---\n", Head(level="y")), "head-key-as-text"),
    ]
)
def test_what_cannot_be_done_without_touching_anything_else_is_refused(change, code):
    with pytest.raises(Unreadable) as refused:
        change()
    assert refused.value.remark.code == code


def test_a_step_that_would_read_otherwise_than_it_was_meant_is_refused():
    step = find_block(STEP, "one").text
    for wrong in ({"body": "### Two"}, {"body": '!!! danger "x"'}, {"title": " x"}):
        with pytest.raises(Unreadable):
            write_step(step, replace(read_step(step), **wrong))


def test_what_is_typed_as_text_may_be_several_steps():
    new = replace_block(STEP, "one", "### One {#one}\n\nFirst.\n\n### New\n\nThen.\n")
    assert keys_of(new) == [INTRO, "phase.1", "one", "new", "two"]
    assert "First.\n\n### New {#new}\n\nThen.\n\n### Two" in new


@pytest.mark.parametrize("path", SHOP[::7], ids=lambda path: path.stem)
def test_each_step_of_a_write_up_of_the_shop_can_be_changed_as_a_form(path):
    text = path.read_text(encoding="utf-8")
    assert write_head(text, read_head(text)) == text
    for block in cut_blocks(text).blocks[1:]:
        if block.is_step:
            said = replace(read_step(block.text), title="Other")
            new = replace_block(text, block.key, write_step(block.text, said))
            assert differing(text, new)[0] == [block.text.split("\n")[0]]
