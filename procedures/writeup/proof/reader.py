"""Which paragraphs of running text has a write-up, in which step, and on which line does each sentence begin?"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from procedures.writeup.model import Step, WriteUp
from procedures.writeup.proof.words import sentences

_FENCE = re.compile(r"\s*(```|~~~)")
_SKIP = re.compile(r"\s*(\||!\[|#{1,6}\s)")
_CAUTION = re.compile(r"([ \t]*)!!!")
_ITEM = re.compile(r"^\s*(?:[-*+]|\d+[.)]|[a-z]\))\s+")
_NEW = re.compile(rf"{_FENCE.pattern}|{_SKIP.pattern}|{_CAUTION.pattern}|{_ITEM.pattern}")
_MARKUP = re.compile(r"\[\[|\]\]|\*\*|__|`|!?\[(?=[^\]]*\]\()|\]\([^)]*\)")


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence: its words without markup, and the line on which it begins."""

    text: str
    line: int


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph or list item; `step` is None above the first step. `is_item` for a list item."""

    step: Step | None
    sentences: tuple[Sentence, ...]
    is_item: bool


def paragraphs(writeup: WriteUp, text: str) -> tuple[Paragraph, ...]:
    """The running text of a write-up, without header, headings, fields, cautions, tables, pictures and code."""
    rows = text.split("\n")
    steps = {step.line: step for step in writeup.steps}
    return tuple(_made(step, rows_here, is_item) for step, rows_here, is_item in _blocks(rows, steps))


def _blocks(rows: list[str], steps: dict[int, Step]) -> Iterator[tuple[Step | None, list[tuple[int, str]], bool]]:
    """The blocks of running text: the step, the rows with their numbers, and whether it is a list item."""
    step: Step | None = None
    block: list[tuple[int, str]] = []
    is_item = False
    place = _Place()
    for number, row in _below_header(rows):
        if block and (place.in_fence or not row.strip() or _NEW.match(row)):
            yield step, block, is_item
            block, is_item = [], False
        if number in steps:
            step = steps[number]
            place.enter_step()
        elif row.startswith("## "):
            step = None
        elif place.is_running(row):
            if not block:
                is_item = bool(_ITEM.match(row))
                row = _ITEM.sub("", row)
            block.append((number, row))
    if block:
        yield step, block, is_item


@dataclass(slots=True)
class _Place:
    """Where the reading stands: inside a code fence, the fields of a step, or a caution (by how far its first line stands in)."""

    in_fence: bool = False
    in_fields: bool = False
    caution: int | None = None

    def enter_step(self) -> None:
        self.in_fields, self.caution = True, None

    def is_running(self, row: str) -> bool:
        """Is this row running text? Takes note of what it opens and closes."""
        if _FENCE.match(row):
            self.in_fence = not self.in_fence
            return False
        if self.in_fence:
            return False
        if not row.strip():
            self.in_fields = False
            return False
        if self.caution is not None and len(row) - len(row.lstrip()) > self.caution:
            return False
        opening = _CAUTION.match(row)
        self.caution = len(opening[1]) if opening else None
        return not (opening or self.in_fields or _SKIP.match(row))


def _below_header(rows: list[str]) -> Iterator[tuple[int, str]]:
    start = 0
    if rows and rows[0].strip("\ufeff \r") == "---":
        start = next((place + 1 for place, row in enumerate(rows[1:], start=1) if row.rstrip() == "---"), len(rows))
    yield from ((number, row.rstrip("\r")) for number, row in enumerate(rows[start:], start=start + 1))


def _made(step: Step | None, rows: list[tuple[int, str]], is_item: bool) -> Paragraph:
    """The sentences of these rows, each with the line on which it begins."""
    joined, starts = "", []
    for number, row in rows:
        starts.append((len(joined), number))
        joined += plain(row).strip() + " "
    found, place = [], 0
    for sentence in sentences(joined.strip()):
        place = max(joined.find(sentence, place), place)
        line = max((number for start, number in starts if start <= place), default=rows[0][0])
        found.append(Sentence(sentence, line))
        place += len(sentence)
    return Paragraph(step, tuple(found), is_item)


def plain(text: str) -> str:
    """The words without the signs of Markdown."""
    return _MARKUP.sub("", text)
