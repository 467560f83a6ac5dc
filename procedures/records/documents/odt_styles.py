"""What do the styles of an .odt say: bold words, a heading, a caution, how a list counts?

OpenDocument 1.3, part 3, clauses 16 and 19: a style has what it says itself and else what its
parent says.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from procedures.records.documents.docx_lists import LETTERS
from procedures.records.documents.docx_styles import find_child, find_value
from procedures.records.documents.parts import find_name
from procedures.writeup.remarks import Remark, remark

if TYPE_CHECKING:
    from lxml.etree import _Element

MOST_STEPS_UP = 20
_SIGNAL_WORD = re.compile(r"\b(danger|warning|caution|notice)\b")


@dataclass(frozen=True, slots=True)
class Look:
    """What a style says of a paragraph."""

    heading: int = 0
    is_bold: bool = False
    is_hidden: bool = False
    is_struck: bool = False
    signal_word: str = ""

    @property
    def left_by(self) -> Remark | None:
        """Why its words are left out; None where they are taken."""
        if self.is_hidden:
            return remark("left-hidden")
        return remark("left-struck") if self.is_struck else None


class OdtStyles:
    """The styles of a document, and how far each list has been counted."""

    def __init__(self, *roots: _Element | None) -> None:
        self._rows: dict[str, _Element] = {}
        self._lists: dict[str, dict[int, _Element]] = {}
        self._last: dict[tuple[str, int], int] = {}
        for root in roots:
            for one in [] if root is None else root.iter():
                if find_name(one) == "style":
                    self._rows.setdefault(find_value(one, "name"), one)
                elif find_name(one) == "list-style":
                    self._lists[find_value(one, "name")] = {
                        int(find_value(each, "level")): each
                        for each in one
                        if find_value(each, "level").isdecimal()
                    }

    def of_paragraph(self, name: str) -> Look:
        """What the style of a paragraph says."""
        look = Look()
        for row in reversed(self._chain(name)):
            title = (find_value(row, "display-name") or find_value(row, "name")).lower()
            word = _SIGNAL_WORD.search(title)
            if word:
                look = replace(look, signal_word=word[1])
            if title == "title":
                look = replace(look, heading=1)
            look = _with(look, row)
        return look

    def of_text(self, name: str, bold: bool) -> Look:
        """What the style of words says, which are bold without it or not."""
        look = Look(is_bold=bold)
        for row in reversed(self._chain(name)):
            look = _with(look, row)
        return look

    def _chain(self, name: str) -> list[_Element]:
        chain: list[_Element] = []
        while name in self._rows and len(chain) < MOST_STEPS_UP and self._rows[name] not in chain:
            chain.append(self._rows[name])
            name = find_value(chain[-1], "parent-style-name")
        return chain

    def begin_of(self, style: str, level: int, *, goes_on: str) -> int:
        """The number before the first one of a list."""
        if goes_on == "true":
            return self._last.get((style, level), 0)
        said = find_value(self._lists.get(style, {}).get(level + 1), "start-value")
        return int(said) - 1 if said.isdecimal() and 0 < len(said) < 6 else 0

    def note(self, style: str, level: int, count: int) -> None:
        """How far a list has been counted, for one that goes on with it."""
        self._last[style, level] = count

    def item_of(self, style: str, numbers: tuple[int, ...]) -> tuple[str, str, int]:
        """The kind of an item, its label, and its level."""
        level = len(numbers) - 1
        row = self._lists.get(style, {}).get(level + 1)
        form = find_value(row, "num-format")
        if row is None or find_name(row) != "list-level-style-number" or not form:
            return "bullet", "", level
        if form != "1":
            return "letter", LETTERS[(max(numbers[-1], 1) - 1) % len(LETTERS)], level
        shown = find_value(row, "display-levels")
        if level and shown.isdecimal() and int(shown[:2]) > 1:
            return "number", ".".join(str(max(1, one)) for one in numbers), 0
        return "number", str(numbers[-1]), level


def _with(look: Look, row: _Element) -> Look:
    said = find_child(row, "text-properties")
    if said is None:
        return look
    weight = find_value(said, "font-weight")
    if weight:
        heavy = weight.isdecimal() and int(weight[:4]) >= 600
        look = replace(look, is_bold=weight == "bold" or heavy)
    line = find_value(said, "text-line-through-style")
    if line:
        look = replace(look, is_struck=line != "none")
    return replace(look, is_hidden=find_value(said, "display") == "none") if said.attrib else look
