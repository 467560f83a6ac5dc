"""Which columns of a list say one thing together: a first and a last name, a mark and its day?"""

from __future__ import annotations

from collections.abc import Sequence

from training.exchange.matrix.marks import MarkKind, read_mark
from training.exchange.matrix.meaning import Sheet, SheetCell

FIRST_NAMES = ("first name", "first names", "given name", "forename")
LAST_NAMES = ("last name", "last names", "family name", "surname")
DAY_HEADS = ("date", "day", "on", "signed on", "date signed", "date of sign-off")
UNMARKED = "-"  # a day without a mark; what it means is asked


def join_names(sheet: Sheet) -> Sheet:
    """The sheet with one column of names, where it has one for first and one for last names."""
    for number, row in enumerate(sheet.rows):
        heads = [make_plain_head(cell.text) for cell in row]
        first = next((at for at, head in enumerate(heads) if head in FIRST_NAMES), None)
        last = next((at for at, head in enumerate(heads) if head in LAST_NAMES), None)
        if first is not None and last is not None:
            kept = min(first, last)
            rows = list(sheet.rows[:number])
            rows.append(_put(row, kept, SheetCell(row[kept].place, "Name")))
            for below in sheet.rows[number + 1 :]:
                name = f"{below[first].text} {below[last].text}".strip()
                rows.append(_put(below, kept, SheetCell(below[kept].place, name)))
            gone = max(first, last)
            return Sheet(
                sheet.name, tuple((*one[:gone], *one[gone + 1 :]) for one in rows), sheet.said
            )
    return sheet


def _put(row: tuple[SheetCell, ...], at: int, cell: SheetCell) -> tuple[SheetCell, ...]:
    return (*row[:at], cell, *row[at + 1 :])


def make_plain_head(head: str) -> str:
    """A head without capitals and the signs around it, to compare it with words."""
    return head.casefold().strip(" .:")


def find_day_columns(
    rows: Sequence[Sequence[SheetCell]], columns: Sequence[int], heads: Sequence[str]
) -> dict[int, int]:
    """For each column of marks the column of their days right of it; nothing where not each has
    one, since it is then open which service a day is for. `rows` are those below the heads.
    """
    dates = {at for at, head in enumerate(heads) if make_plain_head(head) in DAY_HEADS}
    marks = [column for column in columns if column not in dates]
    if any(column + 1 not in dates for column in marks):
        return {}
    # Marks with days of their own need none, and another one beside them is for something else.
    if any(read_mark(row[column].text).days for row in rows for column in marks):
        return {}
    return {column: column + 1 for column in marks}


def are_days(cells: Sequence[SheetCell]) -> bool:
    """Whether a column holds days."""
    return any(read_mark(cell.text).kind is MarkKind.DAY for cell in cells)


def join_day(mark: SheetCell, day: SheetCell) -> SheetCell:
    """A mark and the day beside it as one cell."""
    if not day.text:
        return mark
    return SheetCell(mark.place, f"{mark.text or UNMARKED} {day.text}")
