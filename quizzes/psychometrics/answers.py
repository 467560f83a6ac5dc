"""Which answers does a table in CSV hold, or where can't it be read?

A table has a header of items and one row a person; the first column may be named `person`. Cells
hold the option that was chosen, and a second table (`item,key`) says which is right; or they hold 1
(right) and 0 (wrong). An empty cell was not answered. Commas, semicolons and tabs part cells alike.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from procedures.writeup.remarks import Unreadable, remark

# Codes are kept in one byte, with 0 for “not answered”.
MOST_OPTIONS = 250  # of one item; more is free text, not options
RIGHT = {"1": 0, "1.0": 0, "0": -1, "0.0": -1, "": -1}


class BadTable(Unreadable):
    """The table can't be taken."""


@dataclass(frozen=True, slots=True)
class Grid:
    """A table as it stands: the names of its columns, and its rows with the line on which each
    stands (from 1).
    """

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Key:
    """The right option of an item, and every option on offer where the key says so (else empty)."""

    right: str
    options: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Answers:
    """What people chose: for each person and item the place of the option, from 0; −1 = not
    answered.

    `options` are the options of each item in their order, `right` the place of the right one.
    `is_marked` says that the table held only right and wrong; right is then the only option.
    """

    items: tuple[str, ...]
    options: tuple[tuple[str, ...], ...]
    right: tuple[int, ...]
    chosen: tuple[tuple[int, ...], ...]
    is_marked: bool


def read_grid(text: str, first: str) -> Grid:
    """The table in a text, without the column named `first` where it stands first. Raises
    BadTable.
    """
    text = text.removeprefix("\ufeff")
    header = next((line for line in text.splitlines() if line.strip()), "")
    # Spreadsheets write semicolons where the comma is the decimal point.
    parting = max(",;\t", key=header.count)
    reader = csv.reader(io.StringIO(text), delimiter=parting, strict=True)
    try:
        read = [([cell.strip() for cell in row], reader.line_num) for row in reader]
    except csv.Error as error:
        raise BadTable(remark("no-csv", line=reader.line_num, problem=str(error))) from error
    kept = [(row, line) for row, line in read if row]
    if not kept or not any(kept[0][0]):
        raise BadTable(remark("table-empty"))
    columns = kept[0][0]
    # A table of one column holds an item, even one that is called so.
    names = len(columns) > 1 and columns[0].casefold() == first
    for row, line in kept[1:]:
        if len(row) != len(columns):
            raise BadTable(remark("cells-of-row", line=line, count=len(row), wanted=len(columns)))
    columns = columns[names:]
    _refuse_names(columns)
    return Grid(
        tuple(columns),
        tuple(tuple(row[names:]) for row, _ in kept[1:]),
        tuple(line for _, line in kept[1:]),
    )


def read_key(text: str) -> dict[str, Key]:
    """The key by item, from a table with the columns item and key (and, if it likes, options: A B C
    D). Raises BadTable.
    """
    grid = read_grid(text, "")
    names = [name.casefold() for name in grid.columns]
    if not {"item", "key"} <= set(names) <= {"item", "key", "options"}:
        raise BadTable(remark("key-header"))
    keys: dict[str, Key] = {}
    for row, line in zip(grid.rows, grid.lines, strict=True):
        cells = dict(zip(names, row, strict=True))
        item, right, options = cells["item"], cells["key"], tuple(cells.get("options", "").split())
        if not item or not right:
            raise BadTable(remark("key-incomplete", line=line))
        if item in keys:
            raise BadTable(remark("key-twice", line=line, item=item))
        if options and _plain(right) not in {_plain(option) for option in options}:
            raise BadTable(remark("key-not-listed", line=line, right=right, item=item))
        keys[item] = Key(right, options)
    return keys


def read_answers(text: str, key: Mapping[str, Key] | None = None) -> Answers:
    """The answers in a text; without a key its cells are 1, 0 or empty. Raises BadTable."""
    grid = read_grid(text, "person")
    if not grid.rows:
        raise BadTable(remark("table-without-people"))
    if key is None:
        return _marked(grid)
    _refuse_keys(grid.columns, key)
    columns = list(zip(*grid.rows, strict=True))
    options = _options(grid, columns, key)
    places = [{_plain(option): place for place, option in enumerate(one)} for one in options]
    chosen = [
        tuple(by_name.get(_plain(cell), -1) for cell in cells)
        for by_name, cells in zip(places, columns, strict=True)
    ]
    right = tuple(
        by_name[_plain(key[item].right)] for item, by_name in zip(grid.columns, places, strict=True)
    )
    return Answers(grid.columns, options, right, tuple(zip(*chosen, strict=True)), is_marked=False)


def _marked(grid: Grid) -> Answers:
    chosen = []
    for row, line in zip(grid.rows, grid.lines, strict=True):
        for item, cell in zip(grid.columns, row, strict=True):
            if cell not in RIGHT:
                raise BadTable(remark("no-mark", line=line, cell=cell, item=item))
        chosen.append(tuple(RIGHT[cell] for cell in row))
    many = len(grid.columns)
    return Answers(grid.columns, (("1",),) * many, (0,) * many, tuple(chosen), is_marked=True)


def _options(
    grid: Grid, columns: Sequence[Sequence[str]], key: Mapping[str, Key]
) -> tuple[tuple[str, ...], ...]:
    """The options of each item, by name: those that the key lists; else the right one and those
    chosen.

    Options of one letter are those of an answer sheet: each that stands anywhere in the table is on
    offer at every item.
    """
    letters = {cell for cells in columns for cell in cells if cell} | {
        one.right for one in key.values()
    }
    sheet = sorted(letters) if all(len(cell) == 1 for cell in letters) else []
    found = []
    for item, cells in zip(grid.columns, columns, strict=True):
        listed = key[item].options
        if listed:
            _refuse_unlisted(item, cells, grid.lines, listed)
        # Backwards and the key last: of several spellings the key's own is shown, else the first.
        seen = {_plain(cell): cell for cell in [*sheet, *reversed(cells), key[item].right] if cell}
        options = listed or tuple(
            seen[name] for name in sorted(seen, key=lambda name: (len(name), name))
        )
        if len(options) > MOST_OPTIONS:
            raise BadTable(
                remark("options-of-item", item=item, count=len(options), most=MOST_OPTIONS)
            )
        found.append(options)
    return tuple(found)


def _refuse_unlisted(
    item: str, cells: Sequence[str], lines: Sequence[int], listed: Sequence[str]
) -> None:
    known = {_plain(option) for option in listed}
    for cell, line in zip(cells, lines, strict=True):
        if cell and _plain(cell) not in known:
            raise BadTable(
                remark("no-such-option", line=line, item=item, cell=cell, known=tuple(listed))
            )


def _refuse_names(columns: Sequence[str]) -> None:
    if "" in columns:
        raise BadTable(remark("column-without-name", number=columns.index("") + 1))
    twice = sorted({name for name in columns if columns.count(name) > 1})
    if twice:
        raise BadTable(remark("column-twice", name=twice[0]))


def _refuse_keys(items: Sequence[str], key: Mapping[str, Key]) -> None:
    without = [item for item in items if item not in key]
    if without:
        raise BadTable(remark("item-without-key", item=without[0]))
    unknown = [item for item in key if item not in items]
    if unknown:
        raise BadTable(remark("key-of-no-item", item=unknown[0]))


def _plain(name: str) -> str:
    """The name of an option as it is compared: b is B, as on a paper sheet."""
    return name.casefold()
