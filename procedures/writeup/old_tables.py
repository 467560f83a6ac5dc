"""Which lines of an old text are a table of torques, and what does each of its rows become?"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from procedures.writeup.old_lines import OldLine
from procedures.writeup.old_torques import OtherRow, TorqueRow, TorqueTable, read_torques
from procedures.writeup.remarks import remark

_PARTED = re.compile(r"(?<!\\)\|")
_UNDER_HEAD = re.compile(r":?-+:?")


def take_torques(lines: tuple[OldLine, ...]) -> tuple[OldLine, ...]:
    """The lines, those of tables between bars that are torques beyond doubt marked as such, and
    each other row of such a table with the reason why it is none.
    """
    found: list[OldLine] = []
    for is_table, run in groupby(lines, key=_is_row):
        stretch = list(run)
        found += _taken(stretch) if is_table else stretch
    return tuple(found)


def _is_row(line: OldLine) -> bool:
    return line.kind == "text" and len(line.text) > 2 and line.text[0] == line.text[-1] == "|"


def _taken(run: list[OldLine]) -> list[OldLine]:
    cells = [_cells(line.text) for line in run]
    is_ruler = [all(map(_UNDER_HEAD.fullmatch, row)) for row in cells]
    told = [line for line, ruler in zip(run, is_ruler, strict=True) if not ruler]
    rows = [row for row, ruler in zip(cells, is_ruler, strict=True) if not ruler]
    if len({len(row) for row in rows}) != 1:
        return run
    table = read_torques(rows)
    if table is None:
        return run
    rulers = [line for line, ruler in zip(run, is_ruler, strict=True) if ruler]
    head = [*told[:1], *rulers] if table.head else rulers
    return list(_lines_of(table, told[1:] if table.head else told, head))


def _cells(text: str) -> tuple[str, ...]:
    return tuple(" ".join(cell.split()) for cell in _PARTED.split(text)[1:-1])


def _lines_of(
    table: TorqueTable, below: Sequence[OldLine], head: Sequence[OldLine]
) -> Iterator[OldLine]:
    """The rows that stay under their head, then the torques."""
    rows = list(zip(table.rows, below, strict=True))
    others = [(row, line) for row, line in rows if isinstance(row, OtherRow)]
    if others:
        yield from head
        yield from (replace(line, doubt=row.why) for row, line in others)
    as_typed = tuple(line.text for line in head)
    is_first = True
    for row, line in rows:
        if not isinstance(row, TorqueRow):
            continue
        more = ("", row.converted) if row.converted else ()
        yield replace(
            line,
            kind="torque",
            said=row.title,
            label=row.field,
            doubt=remark("torque-from-table"),
            below=(*as_typed, line.text, *more),
        )
        if is_first and not others:
            # Told with the first torque: it stands in the steps of all of them.
            yield from (replace(one, kind="head of torques") for one in head)
        is_first = False
