"""Which number has an item of a list of a .docx? The file holds none: they are counted.

ECMA-376 Part 1, clause 17.9: a list (`num`) uses the levels of an abstract one; a level counts on
until one above it is counted.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures.records.documents.docx_styles import Style, find_child, find_value
from procedures.records.documents.parts import find_name

if TYPE_CHECKING:
    from lxml.etree import _Element

LETTERS = "abcdefghijklmnopqrstuvwxyz"
LEVELS = 9


class Lists:
    """The lists of a document, and how far each has been counted."""

    def __init__(self, root: _Element | None) -> None:
        self._levels: dict[str, dict[int, _Element]] = {}
        self._abstract: dict[str, str] = {}
        self._starts: dict[str, dict[int, int]] = {}
        self._counts: dict[str, list[int]] = {}
        self._begun: set[str] = set()
        for one in [] if root is None else root:
            if find_name(one) == "abstractNum":
                self._levels[find_value(one, "abstractNumId")] = {
                    _number(find_value(level, "ilvl")): level
                    for level in one
                    if find_name(level) == "lvl"
                }
            elif find_name(one) == "num":
                key = find_value(one, "numId")
                self._abstract[key] = find_value(find_child(one, "abstractNumId"), "val")
                self._starts[key] = {
                    _number(find_value(each, "ilvl")): _number(
                        find_value(find_child(each, "startOverride"), "val")
                    )
                    for each in one
                    if find_name(each) == "lvlOverride"
                    and find_child(each, "startOverride") is not None
                }

    def is_in_one(self, paragraph: _Element, style: Style) -> bool:
        """Whether a paragraph is an item of a list."""
        return style.item is not None

    def count(self, paragraph: _Element, style: Style) -> None:
        """Counts an item that has no words."""
        if style.item is not None:
            self.count_item(style.item)

    def count_item(self, item: tuple[str, int]) -> tuple[str, str, int]:
        """What kind of item the next one of this list and level is, its label, and its level."""
        key, level = item[0], min(item[1], LEVELS - 1)
        abstract = self._abstract.get(key, key)
        levels = self._levels.get(abstract, {})
        counts = self._counts.setdefault(abstract, [0] * LEVELS)
        if key not in self._begun:
            self._begun.add(key)
            for at, start in self._starts.get(key, {}).items():
                if at < LEVELS:
                    counts[at] = start - 1
        row = levels.get(level)
        if not counts[level]:
            counts[level] = _start(row) - 1
        counts[level] += 1
        for below in range(level + 1, LEVELS):
            counts[below] = 0
        return _told(row, counts, level)


def _told(row: _Element | None, counts: list[int], level: int) -> tuple[str, str, int]:
    form = find_value(find_child(row, "numFmt"), "val") if row is not None else "bullet"
    if form in ("bullet", "none", ""):
        return "bullet", "", level
    if form not in ("decimal", "decimalZero"):
        return "letter", LETTERS[(counts[level] - 1) % len(LETTERS)], level
    pattern = find_value(find_child(row, "lvlText"), "val") if row is not None else ""
    # “%1.%2” shows the number above too: then the item is a step of that part.
    if level and "%1" in pattern:
        return "number", ".".join(str(max(1, one)) for one in counts[: level + 1]), 0
    return "number", str(counts[level]), level


def _start(row: _Element | None) -> int:
    said = find_value(find_child(row, "start"), "val") if row is not None else ""
    return _number(said) if said else 1


def _number(said: str) -> int:
    return int(said) if said.isascii() and said.isdecimal() and len(said) < 6 else 0
