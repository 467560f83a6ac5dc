"""Of which blocks does a text consist (its introduction, phases and steps), and how is one put in,
moved, split, replaced or taken out?

Each change is a function from a text to a text. Nothing but the block itself changes: what would
make another step read differently is refused with a remark. The gaps between the blocks stay where
they are, so that moving there and back gives the same text.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from procedures.writeup.grammar import NAMES, split_values
from procedures.writeup.ids import step_ids, write_ids
from procedures.writeup.remarks import Unreadable, remark
from procedures.writeup.sections import cut, split_lines

INTRO = "phase.0"
"""The key of what stands before the first heading. A dot is in no id of a step."""


@dataclass(frozen=True, slots=True)
class TextBlock:
    """One piece of a text. `key` names it: the id of a step, `phase.2`, or INTRO; `gap` is the line
    end and the blank lines behind its text.
    """

    key: str
    depth: int
    title: str
    line: int
    end: int
    text: str
    gap: str

    @property
    def is_step(self) -> bool:
        return self.depth == 3


@dataclass(frozen=True, slots=True)
class TextBlocks:
    """A text cut up: what stands above the body, and its blocks in their order."""

    above: str
    blocks: tuple[TextBlock, ...]

    def place_of(self, key: str) -> int:
        """Where a block stands, from 0. Raises Unreadable where there is none of this key."""
        for place, block in enumerate(self.blocks):
            if block.key == key:
                return place
        raise Unreadable(remark("no-such-block"))


def cut_blocks(text: str) -> TextBlocks:
    """The blocks of a text; put together again they give the text."""
    sheet, rows = cut(text), split_lines(text)
    ids = iter(step_ids([section for section in sheet.sections if section.depth == 3]))
    found: list[TextBlock] = []
    phases = 0
    for section in sheet.sections:
        phases += section.depth == 2
        key = next(ids) if section.depth == 3 else f"phase.{phases}"
        # The introduction has no heading: it begins on the line below the one it is counted from.
        start = section.line if section.depth else section.line + 1
        lines = rows[start - 1 : section.end - 1]
        filled = max((at for at, (row, _) in enumerate(lines, 1) if row.strip()), default=0)
        core = "".join(map("".join, lines[:filled]))
        behind = lines[filled - 1][1] if filled else ""
        gap = behind + "".join(map("".join, lines[filled:]))
        core = core[: len(core) - len(behind)]
        found.append(TextBlock(key, section.depth, section.title, start, section.end, core, gap))
    above = "".join(map("".join, rows[: found[0].line - 1]))
    return TextBlocks(above, tuple(found))


def find_block(text: str, key: str) -> TextBlock:
    """The block of this key. Raises Unreadable where there is none."""
    cut_up = cut_blocks(text)
    return cut_up.blocks[cut_up.place_of(key)]


def move_block(text: str, key: str, *, up: bool) -> str:
    """The text with a step one place further up or down, or a phase with all its steps past the
    next phase. Raises Unreadable at the end of the way.
    """
    was = cut_blocks(write_ids(text))
    place = was.place_of(key)
    if place == 0:
        raise Unreadable(remark("block-at-the-end"))
    groups = _groups(was.blocks, key)
    at = next(number for number, group in enumerate(groups) if place in group)
    other = at - 1 if up else at + 1
    # The introduction stays where it is, and so do steps before the first phase.
    first = (
        0
        if was.blocks[place].is_step
        else next(number for number, group in enumerate(groups) if was.blocks[group[0]].depth == 2)
    )
    if not first <= other < len(groups):
        raise Unreadable(remark("block-at-the-end"))
    groups[at], groups[other] = groups[other], groups[at]
    return _put_together(was, [was.blocks[place] for group in groups for place in group])


def _groups(blocks: Sequence[TextBlock], key: str) -> list[list[int]]:
    """The places that move as one: each block by itself, or each phase with its steps."""
    places = range(1, len(blocks))
    if any(block.key == key and block.is_step for block in blocks):
        return [[place] for place in places]
    groups: list[list[int]] = []
    for place in places:
        if blocks[place].depth == 2 or not groups:
            groups.append([])
        groups[-1].append(place)
    return groups


def insert_after(text: str, key: str, new: str) -> str:
    """The text with a new phase or step behind this block. Raises Unreadable where the new text
    begins with no heading.
    """
    was = cut_blocks(write_ids(text))
    place = was.place_of(key)
    fresh = _fresh(new, (2, 3))
    before, after = was.blocks[: place + 1], was.blocks[place + 1 :]
    apart = _end(text) * 2
    if after:
        return _checked(was, [*before, *_apart(fresh, apart), *after])
    gap = before[-1].gap
    before = (*before[:-1], replace(before[-1], gap=apart if before[-1].text else gap))
    fresh = _apart(fresh, apart)
    return _checked(was, [*before, *fresh[:-1], replace(fresh[-1], gap=gap)])


def replace_block(text: str, key: str, new: str) -> str:
    """The text with this block said otherwise; what is typed may hold further steps. Raises
    Unreadable where it begins with no heading of its kind, or where a step loses an id that another
    step names.
    """
    was = cut_blocks(write_ids(text))
    place = was.place_of(key)
    old = was.blocks[place]
    fresh = _fresh(new, (old.depth,))
    if old.is_step and _id_of(fresh[0], old) != old.key:
        _must_be_unnamed(was, old.key)
    end, gap = _end(text), old.gap
    # A piece that was empty had no line end of its own to leave behind.
    if fresh[-1].text and not old.text:
        gap = end + (gap or end)
    elif old.text and not fresh[-1].text:
        gap = gap.removeprefix(end)
    fresh = [*_apart(fresh[:-1], end * 2), replace(fresh[-1], gap=gap)]
    return _checked(was, [*was.blocks[:place], *fresh, *was.blocks[place + 1 :]])


def take_out(text: str, key: str) -> str:
    """The text without this block. Raises Unreadable for a step that another one names."""
    was = cut_blocks(write_ids(text))
    place = was.place_of(key)
    if place == 0:
        raise Unreadable(remark("no-such-block"))
    if was.blocks[place].is_step:
        _must_be_unnamed(was, key)
    kept = [*was.blocks[:place], *was.blocks[place + 1 :]]
    if place == len(was.blocks) - 1:
        kept[-1] = replace(kept[-1], gap=was.blocks[place].gap)
    return _checked(was, kept)


def split_step(text: str, key: str, *, title: str, lines: Collection[int]) -> str:
    """The text with a step made into two: the lines named, counted from 1 below its heading, belong
    to a new one behind it. Raises Unreadable where nothing would stand in one of the two.
    """
    was = cut_blocks(write_ids(text))
    step = was.blocks[was.place_of(key)]
    rows = _rows(step.text)
    if not step.is_step or not title.strip():
        raise Unreadable(remark("split-without-title"))
    fields = field_lines(step.text)
    here = [row for at, row in enumerate(rows) if at == 0 or at not in lines]
    there = [row for at, row in enumerate(rows) if at in lines and at in fields]
    body = [row for at, row in enumerate(rows) if at in lines and at not in fields]
    if not any(row.strip() for row in body):
        raise Unreadable(remark("split-without-text"))
    end = _end(text)
    new = end.join([f"### {' '.join(title.split())}", *there, "", *_trimmed(body)])
    first = replace_block(text, key, end.join(_trimmed(here)))
    return insert_after(first, key, new)


def field_lines(step: str) -> range:
    """The places of the field lines of a step's text, its heading being 0."""
    sheet = cut(step)
    stop = len(sheet.rows) + 1
    for number in range(2, stop):
        if not sheet.line(number).strip() or number in sheet.fences:
            return range(1, number - 1)
    return range(1, stop - 1)


def _rows(text: str) -> list[str]:
    return [row for row, _ in split_lines(text)]


def _trimmed(rows: list[str]) -> list[str]:
    """The lines without blank ones at their ends."""
    filled = [at for at, row in enumerate(rows) if row.strip()]
    return rows[filled[0] : filled[-1] + 1] if filled else []


def _end(text: str) -> str:
    """The line end of a text."""
    return next((end for _, end in split_lines(text) if end), "\n")


def _fresh(new: str, depths: tuple[int, ...]) -> list[TextBlock]:
    """The blocks of what was typed. Raises Unreadable where it begins with no such heading."""
    if depths == (0,):
        core = "\n".join(_trimmed(_rows(new)))
        return [TextBlock("", 0, "", 0, 0, core, "")]
    # A ruler above it would be read as a header.
    blocks = list(cut_blocks(f"\n{new}").blocks)
    if blocks[0].text or len(blocks) < 2 or blocks[1].depth not in depths:
        raise Unreadable(remark("block-without-heading"))
    return [replace(block, key="") for block in blocks[1:]]


def _apart(blocks: Sequence[TextBlock], gap: str) -> list[TextBlock]:
    return [block if block.gap else replace(block, gap=gap) for block in blocks]


def _id_of(new: TextBlock, old: TextBlock) -> str:
    written = next(iter(cut(f"\n{new.text}").sections[1:]), None)
    return old.key if written is None or written.written_id is None else written.written_id


def _must_be_unnamed(was: TextBlocks, key: str) -> None:
    """Raises Unreadable where another step says that it comes after this one."""
    naming = tuple(
        block.title for block in was.blocks if block.is_step and key in _named(block.text)
    )
    if naming:
        raise Unreadable(remark("step-is-named", steps=naming))


def _named(step: str) -> set[str]:
    rows = _rows(step)
    fields = [rows[at].partition(":") for at in field_lines(step)]
    return {
        name
        for key, _, value in fields
        if key.strip() == NAMES["after"]
        for name in split_values(value)
    }


def _put_together(was: TextBlocks, order: Sequence[TextBlock]) -> str:
    """The text with its blocks, of which the first stays, in this order and its gaps in the old
    one.
    """
    moved = [was.blocks[0], *order]
    gaps = [block.gap for block in was.blocks]
    return _checked(was, [replace(block, gap=gap) for block, gap in zip(moved, gaps, strict=True)])


def _checked(was: TextBlocks, blocks: Sequence[TextBlock]) -> str:
    """The text of these blocks, every step with its id. Raises Unreadable where one that was there
    before would be read otherwise.
    """
    new = write_ids(was.above + "".join(block.text + block.gap for block in blocks))
    read = cut_blocks(new)
    same = len(read.blocks) == len(blocks) and read.above == was.above
    if not same or not all(map(_is_as_it_was, read.blocks, blocks)):
        raise Unreadable(remark("block-touches-others"))
    return new


def _is_as_it_was(read: TextBlock, meant: TextBlock) -> bool:
    if read.depth != meant.depth:
        return False
    # What was typed has no key yet, and may get its id only now.
    if not meant.key:
        return True
    return read.text == meant.text and (not read.is_step or read.key == meant.key)
