"""What does the style of a paragraph of a .docx say: a heading, a list, a caution, bold words?

ECMA-376 Part 1, clause 17.7: a style has what it says itself and else what the one says that it is
based on.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from procedures.records.documents.parts import find_name

if TYPE_CHECKING:
    from lxml.etree import _Element

MOST_STEPS_UP = 20  # styles that are based on one another
OFF = frozenset({"0", "false", "off", "none"})
_HEADING = re.compile(r"heading ([1-9])\Z")
_SIGNAL_WORD = re.compile(r"\b(danger|warning|caution|notice)\b")


@dataclass(frozen=True, slots=True)
class Style:
    """What is known of a paragraph besides its words. `item` is the list and the level in it."""

    heading: int = 0
    is_bold: bool = False
    signal_word: str = ""
    item: tuple[str, int] | None = None


class Styles:
    """The styles of a document."""

    def __init__(self, root: _Element | None) -> None:
        self._rows = {
            find_value(one, "styleId"): one
            for one in ([] if root is None else root)
            if find_name(one) == "style"
        }

    def of_paragraph(self, paragraph: _Element) -> Style:
        """What the paragraph's style says, and above it what the paragraph says itself."""
        own = find_child(paragraph, "pPr")
        if own is None:
            return Style()
        named = find_child(own, "pStyle")
        style = self._named(find_value(named, "val")) if named is not None else Style()
        return _with(style, own)

    def is_bold_run(self, look: _Element | None) -> bool:
        """Whether the words of a run are bold, by themselves or by their style."""
        if look is None:
            return False
        bold = find_child(look, "b")
        if bold is not None:
            return find_value(bold, "val") not in OFF
        named = find_child(look, "rStyle")
        return named is not None and self._named(find_value(named, "val")).is_bold

    def _named(self, key: str) -> Style:
        chain: list[_Element] = []
        while key in self._rows and len(chain) < MOST_STEPS_UP and self._rows[key] not in chain:
            chain.append(self._rows[key])
            below = find_child(chain[-1], "basedOn")
            key = find_value(below, "val") if below is not None else ""
        style = Style()
        for row in reversed(chain):
            style = _named_by(style, row)
            for part in ("pPr", "rPr"):
                look = find_child(row, part)
                if look is not None:
                    style = _with(style, look)
        return style


def _named_by(style: Style, row: _Element) -> Style:
    """What the name of a style tells, which every program writes in English."""
    named = find_child(row, "name")
    name = find_value(named, "val").lower() if named is not None else ""
    heading, word = _HEADING.match(name), _SIGNAL_WORD.search(name)
    if heading:
        return replace(style, heading=int(heading[1]))
    if name == "title":
        return replace(style, heading=1)
    return replace(style, signal_word=word[1]) if word else style


def _with(style: Style, look: _Element) -> Style:
    outline, numbered = find_child(look, "outlineLvl"), find_child(look, "numPr")
    if outline is not None and find_value(outline, "val").isdecimal():
        level = int(find_value(outline, "val")[:2])
        # 9 is the level of ordinary text.
        style = replace(style, heading=level + 1 if level < 9 else 0)
    if find_child(look, "b") is not None:
        style = replace(style, is_bold=is_on(look, "b"))
    if numbered is not None:
        key, level_row = find_child(numbered, "numId"), find_child(numbered, "ilvl")
        number = find_value(key, "val") if key is not None else (style.item or ("", 0))[0]
        said = find_value(level_row, "val") if level_row is not None else "0"
        level = int(said) if said.isdecimal() and len(said) < 2 else 0
        # The list 0 takes a paragraph out of the list of its style.
        style = replace(style, item=(number, level) if number not in ("", "0") else None)
    return style


def find_child(element: _Element, name: str) -> _Element | None:
    """The first child of this name."""
    return next((one for one in element if find_name(one) == name), None)


def is_on(look: _Element, name: str) -> bool:
    """Whether a look says this, which may be said as plain presence."""
    found = find_child(look, name)
    return found is not None and find_value(found, "val") not in OFF


def find_value(element: _Element | None, name: str) -> str:
    """An attribute, whichever of the two namespaces the file is written in; empty without it."""
    if element is None:
        return ""
    for key, value in element.attrib.items():
        if str(key).rpartition("}")[2] == name:
            return str(value)
    return ""
