"""What is a table of an old procedure: steps in rows, a box round a caution, torques, or another
table of values?

Old procedures set all of them as tables (common practice, no source); which one it is, is a guess
that is told.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from procedures.records.documents.model import OldPiece, Span
from procedures.writeup.old_torques import PARTS, TorqueTable, read_torques
from procedures.writeup.remarks import Remark, remark

TableRows = tuple[tuple[str, ...], ...]
_NUMBER = re.compile(r"(\d{1,3})[.):]?\Z")
_SIGNAL_WORD = re.compile(r"\A\W*+(danger|warning|caution|notice)\W*+\Z", re.IGNORECASE)


def split_table(place: Remark, rows: TableRows) -> Iterator[OldPiece]:
    """The pieces that a table becomes; a cell holds a line for each of its paragraphs."""
    filled = tuple(row for row in rows if any(cell.strip() for cell in row))
    if not filled:
        return
    width = max(len(row) for row in filled)
    even = tuple(tuple(row) + ("",) * (width - len(row)) for row in filled)
    if width == 1 or len(even) == 1:
        yield from _box(place, even)
        return
    flat = tuple(tuple(" ".join(cell.split()) for cell in row) for row in even)
    head = _steps_from(even)
    # Counted rows are steps, unless their head says that they are parts.
    is_of_parts = head == 1 and bool(PARTS.match(even[0][1]))
    if head is not None and not is_of_parts:
        yield from _steps(place, even, head)
    elif (torques := read_torques(flat)) is not None:
        yield from _torques(place, torques)
    else:
        yield OldPiece(place, "table", rows=flat, doubt=remark("table-of-values"))


def _torques(place: Remark, table: TorqueTable) -> Iterator[OldPiece]:
    """A piece for each torque; before them, as a table, the rows that are none beyond doubt."""
    head = (table.head,) if table.head else ()
    if table.others:
        rows = (*head, *(one.row for one in table.others))
        doubts = (*(None for _ in head), *(one.why for one in table.others))
        yield OldPiece(place, "table", rows=rows, row_doubts=doubts)
    for one in table.torques:
        said = (Span(" | ".join(cell for cell in one.row if cell)),)
        doubt = remark("torque-from-table")
        yield OldPiece(place, "torque", said, rows=(*head, one.row), doubt=doubt, torque=one)


def _box(place: Remark, rows: TableRows) -> Iterator[OldPiece]:
    """One column, or one row: text with a frame round it, of which a signal word may be a cell."""
    cells = [cell for row in rows for cell in row if cell.strip()]
    word = _SIGNAL_WORD.match(cells[0])
    if word and len(cells) > 1:
        text = " ".join(" ".join(cells[1:]).split())
        doubt = remark("caution-from-table")
        yield OldPiece(place, "caution", (Span(text),), word[1].lower(), doubt=doubt)
        return
    for cell in cells:
        for line in cell.split("\n"):
            if line.strip():
                yield OldPiece(place, "text", (Span(line),))


def _steps_from(rows: TableRows) -> int | None:
    """The first row of numbered steps, where the first column counts 1, 2, 3 … to the end and the
    second one has words: 0, or 1 below a heading. None where it does not.
    """
    for head in (0, 1):
        numbers = [_NUMBER.match(row[0].strip()) for row in rows[head:]]
        counted = [int(one[1]) for one in numbers if one]
        if (
            len(counted) == len(rows) - head >= 2
            and counted == list(range(counted[0], counted[0] + len(counted)))
            and all(row[1].strip() for row in rows[head:])
        ):
            return head
    return None


def _steps(place: Remark, rows: TableRows, head: int) -> Iterator[OldPiece]:
    """Each row as a step; what stands in the further columns follows it, with its heading."""
    names = rows[0] if head else ("",) * len(rows[0])
    if head:
        flat = " | ".join(" ".join(cell.split()) for cell in names if cell.strip())
        yield OldPiece(place, "text", (Span(flat),), doubt=remark("head-of-steps"))
    for row in rows[head:]:
        number = _NUMBER.match(row[0].strip())
        doubt = remark("steps-from-table")
        label = number[1] if number else ""
        words = " ".join(row[1].split())
        yield OldPiece(place, "number", (Span(words),), label, doubt=doubt)
        for name, cell in zip(names[2:], row[2:], strict=True):
            text = " ".join(cell.split())
            if text:
                said = f"{' '.join(name.split())}: {text}" if name.strip() else text
                yield OldPiece(place, "text", (Span(said),))
