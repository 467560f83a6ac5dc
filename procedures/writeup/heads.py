"""What does the head of a write-up say as the fields of a form, and how do fields go back into it?

The text stays the one truth: only the lines of a field that was changed are written anew. Comments,
the order of the keys and every other line stay as they are.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from typing import Any

import yaml
from yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from procedures.writeup.plain_yaml import (
    OF_A_HEADER,
    BadYaml,
    Mapped,
    entries,
    read_plain,
    read_root,
    word,
    words,
)
from procedures.writeup.remarks import Unreadable, remark
from procedures.writeup.sections import RULER, cut, split_lines

# In the order in which a head is written.
KEYS = (
    "title",
    "level",
    "interval",
    "variants",
    "never",
    "given",
    "leaves",
    "off",
    "leaves off",
    "follows",
)
_ONE = frozenset({"title", "level", "interval", "follows"})
# The library ends a line here, and a text does not: their numbers would part.
_OTHER_BREAKS = ("\x85", "\u2028", "\u2029")
_CONTENT = (
    yaml.ScalarToken,
    yaml.ValueToken,
    yaml.BlockEntryToken,
    yaml.FlowSequenceStartToken,
    yaml.FlowSequenceEndToken,
    yaml.FlowMappingStartToken,
    yaml.FlowMappingEndToken,
    yaml.FlowEntryToken,
)
Fork = tuple[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Head:
    """The fields of a head. A fork is a question and its answers; `never` holds each combination
    as it is written.
    """

    title: str = ""
    level: str = ""
    interval: str = ""
    variants: tuple[Fork, ...] = ()
    never: tuple[str, ...] = ()
    given: tuple[str, ...] = ()
    leaves: tuple[str, ...] = ()
    off: tuple[str, ...] = ()
    leaves_off: tuple[str, ...] = ()
    follows: str = ""


@dataclass(frozen=True, slots=True)
class _Entry:
    """One key with its value; its lines are counted from 0 at the start of the header."""

    key: str
    value: Node
    column: int
    colon: int
    first: int
    end: int


@dataclass(frozen=True, slots=True)
class _Header:
    """The lines of a header, its entries, and how far each line is filled with what is no
    remark.
    """

    rows: list[str]
    entries: tuple[_Entry, ...]
    filled: dict[int, int]

    def remark_on(self, row: int) -> str:
        """What stands behind the last value of a line, from its # on; empty without one."""
        rest = self.rows[row][self.filled.get(row, 0) :].strip()
        return rest if rest.startswith("#") else ""


def read_head(text: str) -> Head:
    """The fields of the head of a text; a key that cannot be read counts as empty. Raises
    Unreadable where the head as a whole cannot be changed as a form.
    """
    return _fields(_header(text))


def write_head(text: str, head: Head) -> str:
    """The text with these fields in its head; the same text, letter by letter, where they say what
    it says. Raises Unreadable where that cannot be done without touching anything else.
    """
    header = _header(text)
    was = _fields(header)
    changed = [key for key in KEYS if _of(head, key) != _of(was, key)]
    if not changed:
        return text
    rows = list(header.rows)
    by_key = {entry.key: entry for entry in header.entries}
    place = {key: _place(key, by_key, len(rows)) for key in changed}
    # From the last to the first, so that the numbers of the lines before stay right.
    for key in sorted(changed, key=lambda key: (-place[key], key not in by_key, -KEYS.index(key))):
        entry, value, at = by_key.get(key), _of(head, key), place[key]
        if entry is None:
            column = header.entries[0].column if header.entries else 0
            rows[at:at] = _written(key, value, " " * column + f"{key}:")
        else:
            rows[entry.first : entry.end] = _rewritten(header, entry, value)
    new = _with_rows(text, rows)
    if _fields(_header(new)) != head or _below(new) != _below(text):
        raise Unreadable(remark("head-as-text"))
    return new


def _of(head: Head, key: str) -> Any:
    return getattr(head, key.replace(" ", "_"))


def _header(text: str) -> _Header:
    """The header of a text, taken apart. Raises Unreadable."""
    sheet = cut(text)
    if not sheet.closed:
        raise Unreadable(remark("header-without-end"))
    header = sheet.header or ""
    if header.startswith("\ufeff") or any(mark in header for mark in _OTHER_BREAKS):
        raise Unreadable(remark("head-as-text"))
    rows = header.split("\n") if sheet.header is not None and header else []
    # One empty line and no line at all read the same; the rows of the text tell.
    if sheet.header == "" and sheet.rows[1].rstrip() != RULER:
        rows = [""]
    try:
        root = read_root(header, OF_A_HEADER)
        found = [] if root is None else entries(root)
    except BadYaml as bad:
        raise Unreadable(remark("header-unreadable", because=bad.remark)) from bad
    if root is None or not found:
        return _Header(rows, (), {})
    return _taken_apart(header, rows, root)


def _taken_apart(header: str, rows: list[str], root: Node) -> _Header:
    filled = _filled(header)
    if not isinstance(root, MappingNode) or root.flow_style:
        raise Unreadable(remark("head-as-text"))
    starts = [key.start_mark for key, _ in root.value]
    found = []
    for place, (key, value) in enumerate(root.value):
        at = starts[place]
        # Written as “? key”, or behind something else: such lines are left to the text.
        row, end = rows[at.line], key.end_mark
        if row[: at.column].strip(" ") or row[end.column :].lstrip(" ")[:1] != ":":
            raise Unreadable(remark("head-as-text"))
        colon = row.index(":", end.column)
        stop = starts[place + 1].line if place + 1 < len(starts) else len(rows)
        last = max((row for row in filled if at.line <= row < stop), default=at.line)
        found.append(_Entry(key.value, value, at.column, colon, at.line, last + 1))
    # Of a key that stands there twice the first is read, and so the first is changed.
    seen: dict[str, _Entry] = {}
    for entry in found:
        seen.setdefault(entry.key, entry)
    return _Header(rows, tuple(seen.values()), filled)


def _filled(header: str) -> dict[int, int]:
    """For each line that holds something, the column behind the last of it."""
    filled: dict[int, int] = {}
    for token in yaml.scan(header, Loader=yaml.BaseLoader):
        if not isinstance(token, _CONTENT):
            continue
        start, end = token.start_mark, token.end_mark
        for row in range(start.line, end.line):
            filled[row] = sys.maxsize
        if end.column:
            filled[end.line] = max(filled.get(end.line, 0), end.column)
    return filled


def _fields(header: _Header) -> Head:
    head = Head()
    for entry in header.entries:
        if entry.key in KEYS:
            value = _value(entry)
            if value is not None:
                head = replace(head, **{entry.key.replace(" ", "_"): value})
    return head


def _value(entry: _Entry) -> Any:
    """The value of a key as its field holds it; None where it cannot be read."""
    try:
        if entry.key in _ONE:
            return word(entry.value)
        if entry.key == "variants":
            return tuple(
                (" ".join(name.split()), tuple(said for said, _ in words(options)))
                for name, _, options in entries(entry.value)
            )
        return tuple(said for said, _ in words(entry.value))
    except BadYaml:
        return None


def _place(key: str, by_key: dict[str, _Entry], end: int) -> int:
    """The line on which a key stands, or belongs: behind the nearest one that comes before it."""
    if key in by_key:
        return by_key[key].first
    before = [by_key[other].end for other in KEYS[: KEYS.index(key)] if other in by_key]
    if before:
        return before[-1]
    return min((entry.first for entry in by_key.values()), default=end)


def _rewritten(header: _Header, entry: _Entry, value: Any) -> list[str]:
    """The lines of a key with another value, and with every remark that stood on them."""
    if _value(entry) is None:
        raise Unreadable(remark("head-key-as-text", key=entry.key))
    row = header.rows[entry.first]
    key = row[: entry.colon + 1]
    remarks = [said for at in range(entry.first, entry.end) if (said := header.remark_on(at))]
    new = _written(entry.key, value, key, entry.value)
    if remarks and entry.end == entry.first + 1 and len(new) == 1:
        return [f"{new[0]}  {remarks[0]}"]
    return [*(" " * entry.column + said for said in remarks), *new]


def _written(key: str, value: Any, start: str, was: Node | None = None) -> list[str]:
    """The lines that say a value behind its key; none for an empty one."""
    if not value:
        return []
    if key in _ONE:
        return [f"{start} {_plain_or_quoted(value)}"]
    if key == "variants":
        is_block = isinstance(was, MappingNode) and not was.flow_style
        column = was.start_mark.column if was is not None and is_block else _indent(start) + 2
        return [
            start,
            *(
                f"{' ' * column}{_plain_or_quoted(name)}: {_listed(options)}"
                for name, options in value
            ),
        ]
    if isinstance(was, SequenceNode) and not was.flow_style:
        column = was.start_mark.column
        return [start, *(f"{' ' * column}- {_plain_or_quoted(one)}" for one in value)]
    if isinstance(was, ScalarNode) and len(value) == 1:
        return [f"{start} {_plain_or_quoted(value[0])}"]
    return [f"{start} {_listed(value)}"]


def _indent(start: str) -> int:
    return len(start) - len(start.lstrip(" "))


def _listed(values: tuple[str, ...]) -> str:
    return f"[{', '.join(map(_plain_or_quoted, values))}]"


def _plain_or_quoted(said: str) -> str:
    """A word as it is, where it reads as itself in a list and behind a key; else in quotes."""
    try:
        listed = read_plain(f"k: [{said}]", OF_A_HEADER)
        alone = read_plain(f"k: {said}", OF_A_HEADER)
        key = read_plain(f"{said}: k", OF_A_HEADER)
    except BadYaml:
        listed = alone = key = None
    if (
        "\n" not in said
        and isinstance(listed, Mapped)
        and listed.values == {"k": [said]}
        and isinstance(alone, Mapped)
        and alone.values == {"k": said}
        and isinstance(key, Mapped)
        and key.values == {said: "k"}
    ):
        return said
    written = yaml.dump(said, default_style='"', allow_unicode=True, width=sys.maxsize)
    return str(written).strip()


def _with_rows(text: str, rows: list[str]) -> str:
    """The text with these lines between its rulers."""
    lines = split_lines(text)
    end = next((end for _, end in lines if end), "\n")
    header = cut(text).header
    if header is None:
        mark = "\ufeff" if text.startswith("\ufeff") else ""
        said = "".join(f"{row}{end}" for row in (RULER, *rows, RULER))
        return f"{mark}{said}{text.removeprefix(mark)}"
    close = next(at for at, (row, _) in enumerate(lines) if at and row.rstrip() == RULER)
    # An old line keeps its own end, whatever the others have.
    old = dict(lines[1:close])
    said = "".join(f"{row}{old.get(row, end)}" for row in rows)
    return "".join(map("".join, lines[:1])) + said + "".join(map("".join, lines[close:]))


def _below(text: str) -> str:
    """What stands below the header."""
    lines = split_lines(text.removeprefix("\ufeff"))
    if cut(text).header is None:
        return text.removeprefix("\ufeff")
    close = next(at for at, (row, _) in enumerate(lines) if at and row.rstrip() == RULER)
    return "".join(map("".join, lines[close + 1 :]))
