"""Which cells does a shop's matrix hold, as a spreadsheet or a text file keeps it?"""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

from training.exchange.csv_rows import SIGNS, Unreadable, decode
from training.exchange.workbook import NO_WORKBOOK, Workbook, weigh

LARGEST = 5 * 1024 * 1024  # bytes of the file
MOST_ROWS, MOST_COLUMNS = 2_000, 200
LONGEST = 500  # letters of a cell
KINDS = (".xlsx", ".ods", ".csv", ".txt", ".tsv")


@dataclass(frozen=True, slots=True)
class SheetCell:
    """One cell: how a spreadsheet names its place, such as C4, and what stands in it."""

    place: str
    text: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet: its name, its rows of equal length without those that are empty, and what was
    found in reading it.
    """

    name: str
    rows: tuple[tuple[SheetCell, ...], ...]
    said: tuple[str, ...] = ()

    def turned(self) -> Sheet:
        """The same sheet, with its rows as columns."""
        return Sheet(self.name, tuple(zip(*self.rows, strict=True)), self.said)


def make_plain(sheets: Sequence[Sheet]) -> list[Any]:
    """The sheets as lists and texts, so that a page can hand them on; `from_plain` reads them."""
    return [
        [sheet.name, [[[cell.place, cell.text] for cell in row] for row in sheet.rows]]
        for sheet in sheets
    ]


def read_plain(said: list[Any]) -> list[Sheet]:
    """The sheets that `as_plain` wrote."""
    return [
        Sheet(name, tuple(tuple(SheetCell(place, text) for place, text in row) for row in rows))
        for name, rows in said
    ]


def read_sheets(path: Path) -> list[Sheet]:
    """Every sheet of the file that has a cell. Raises Unreadable."""
    kind = path.suffix.lower()
    if kind not in KINDS:
        raise Unreadable(0, "the file is of another kind", f"one of {', '.join(KINDS)}")
    if path.stat().st_size > LARGEST:
        raise Unreadable(0, "the file is larger than 5 MB", "a smaller file, with one matrix")
    if kind == ".xlsx":
        found = _of_workbook(path)
    elif kind == ".ods":
        found = _of_open_document(path)
    else:
        found = iter([_of_text(path.read_bytes())])
    sheets = [sheet for sheet in found if sheet.rows]
    if not sheets:
        raise Unreadable(0, "the file is empty", "a table of names and services")
    return sheets


def _of_workbook(path: Path) -> Iterator[Sheet]:
    book = Workbook(path)
    try:
        for name in book.names:
            rows = book.rows(name)
            yield _sheet(name, [(rows.header_row, rows.header), *rows.lines])
    finally:
        book.close()


def _of_open_document(path: Path) -> Iterator[Sheet]:
    # Before it is unpacked: a spreadsheet is a zip file, and can be a bomb.
    weigh(path)
    from python_calamine import CalamineError, CalamineWorkbook

    try:
        book = CalamineWorkbook.from_path(path)
        for name in book.sheet_names:
            lines = book.get_sheet_by_name(name).to_python(skip_empty_area=False)
            texts = [[_text(value) for value in line] for line in lines]
            yield _sheet(name, enumerate(texts, 1))
    except CalamineError as error:
        raise Unreadable(0, "the spreadsheet cannot be opened", NO_WORKBOOK) from error


def _text(value: Any) -> str:
    match value:
        # Before the numbers: to Python, True is 1.
        case bool():
            return "yes" if value else "no"
        case datetime():
            return value.date().isoformat()
        case date():
            return value.isoformat()
        case float() if value.is_integer():
            return str(int(value))
        case _:
            return str(value)


def _of_text(data: bytes) -> Sheet:
    text, encoding = decode(data)
    if "\0" in text:
        raise Unreadable(0, "the file holds a null character", "plain text")
    best: list[list[str]] = []
    for sign in SIGNS:
        lines = list(csv.reader(io.StringIO(text, newline=""), delimiter=sign))
        # The right sign gives rows of one length; a wrong one cuts inside names.
        best = max(best, lines, key=_evenness)
    return _sheet("", enumerate(best, 1), (encoding,) if encoding else ())


def _evenness(lines: list[list[str]]) -> tuple[int, int]:
    """How many cells the rows have that are as long as most rows of more than one cell are."""
    lengths = Counter(len(line) for line in lines if len(line) > 1)
    length, count = max(lengths.items(), key=lambda pair: (pair[1], pair[0]), default=(0, 0))
    return count * length, count


def _sheet(name: str, lines: Iterable[tuple[int, list[str]]], said: tuple[str, ...] = ()) -> Sheet:
    kept: list[tuple[int, list[str]]] = []
    for number, line in lines:
        texts = [" ".join(text.split())[:LONGEST] for text in line]
        if any(texts):
            kept.append((number, texts))
        if len(kept) > MOST_ROWS or any(texts[MOST_COLUMNS:]):
            wrong = f"the sheet is larger than {MOST_ROWS} rows or {MOST_COLUMNS} columns"
            raise Unreadable(number, wrong, "one matrix of names and services")
    columns = sorted({at for _, texts in kept for at, text in enumerate(texts) if text})
    rows = tuple(
        tuple(
            SheetCell(f"{letters(column)}{number}", texts[column] if column < len(texts) else "")
            for column in columns
        )
        for number, texts in kept
    )
    return Sheet(name, rows, said)


def letters(column: int) -> str:
    """How a spreadsheet names a column: A, B … Z, AA …; the first is 0."""
    found = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        found = chr(ord("A") + rest) + found
    return found
