"""Which cells does a shop's matrix hold, as a spreadsheet or a text file keeps it?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any
from unicodedata import normalize

from django.utils.translation import gettext

from training.exchange.folder.csv_rows import SIGNS, OddCell, Unreadable, decode, split_lines
from training.exchange.folder.workbook import Workbook, weigh, write_typed
from training.exchange.matrix.marks import read_mark
from training.exchange.matrix.meaning import Sheet, SheetCell

LARGEST = 5 * 1024 * 1024  # bytes of the file
MOST_ROWS, MOST_COLUMNS = 2_000, 200
LONGEST = 500  # letters of a cell
KINDS = (".xlsx", ".ods", ".csv", ".txt", ".tsv")


def make_plain(sheets: Sequence[Sheet]) -> list[Any]:
    """The sheets as lists and texts, so that a page can hand them on; `read_plain` reads them."""
    return [
        [sheet.name, [[[cell.place, cell.text] for cell in row] for row in sheet.rows]]
        for sheet in sheets
    ]


def read_plain(said: list[Any]) -> list[Sheet]:
    """The sheets that `make_plain` wrote."""
    return [
        Sheet(name, tuple(tuple(SheetCell(place, text) for place, text in row) for row in rows))
        for name, rows in said
    ]


def read_sheets(path: Path) -> list[Sheet]:
    """Every sheet of the file that has a cell. Raises Unreadable."""
    kind = path.suffix.lower()
    if kind not in KINDS:
        expected = gettext("one of {kinds}").format(kinds=", ".join(KINDS))
        raise Unreadable(0, gettext("the file is of another kind"), expected)
    if path.stat().st_size > LARGEST:
        expected = gettext("a smaller file, with one list")
        raise Unreadable(0, gettext("the file is larger than 5 MB"), expected)
    if kind == ".xlsx":
        found = _of_workbook(path)
    elif kind == ".ods":
        found = _of_open_document(path)
    else:
        found = iter([_of_text(path.read_bytes())])
    sheets = [sheet for sheet in found if sheet.rows]
    if not sheets:
        raise Unreadable(0, gettext("the file is empty"), gettext("a table of names and services"))
    return sheets


def _of_workbook(path: Path) -> Iterator[Sheet]:
    book = Workbook(path)
    try:
        for name in book.names:
            rows = book.rows(name)
            yield _sheet(name, [(rows.header_row, rows.header), *rows.lines])
            _refuse_odd(rows.odd)
    finally:
        book.close()


def _refuse_odd(odd: Iterable[OddCell]) -> None:
    """Raises Unreadable for the first day or mark that may be meant for more cells than one, or for
    none. A title or a head may be merged.
    """
    for cell in odd:
        if not cell.is_merged or read_mark(cell.text).is_mark:
            raise Unreadable(cell.row, cell.wrong, gettext("a list without such cells"))


def _of_open_document(path: Path) -> Iterator[Sheet]:
    # Before it is unpacked: a spreadsheet is a zip file, and can be a bomb.
    weigh(path)
    from python_calamine import CalamineError, CalamineWorkbook

    from training.exchange.folder.open_document import find_odd_cells

    _refuse_odd(find_odd_cells(path.read_bytes()))

    try:
        book = CalamineWorkbook.from_path(path)
        for name in book.sheet_names:
            lines = book.get_sheet_by_name(name).to_python(skip_empty_area=False)
            texts = [[write_typed(value) for value in line] for line in lines]
            yield _sheet(name, enumerate(texts, 1))
    except CalamineError as error:
        wrong = gettext("the spreadsheet cannot be opened")
        raise Unreadable(0, wrong, gettext("a spreadsheet without a password")) from error


def _of_text(data: bytes) -> Sheet:
    text, encoding = decode(data)
    if "\0" in text:
        raise Unreadable(0, gettext("the file holds a null character"), gettext("plain text"))
    # The right sign gives rows of one length; a wrong one cuts inside names.
    read = [_read_with(sign, text) for sign in SIGNS]
    best, broken = max(read, key=lambda one: _evenness(one[0]))
    # A quote that nothing closes would take all people below it into one cell.
    if broken:
        raise Unreadable(
            broken.row,
            gettext(
                'line {row} has a quote (") that is not closed, or text right behind one'
            ).format(row=broken.row),
            gettext("a list in which every quote is closed"),
        )
    return _sheet("", enumerate(best, 1), (encoding,) if encoding else ())


def _read_with(sign: str, text: str) -> tuple[list[list[str]], Unreadable | None]:
    """The rows of a text parted by a sign, up to the first that cannot be read."""
    lines: list[list[str]] = []
    try:
        for _, line in split_lines(text, sign):
            lines.append(line)
    except Unreadable as broken:
        return lines, broken
    return lines, None


def _evenness(lines: list[list[str]]) -> tuple[int, int]:
    """How many cells the rows have that are as long as most rows of more than one cell are."""
    lengths = Counter(len(line) for line in lines if len(line) > 1)
    length, count = max(lengths.items(), key=lambda pair: (pair[1], pair[0]), default=(0, 0))
    return count * length, count


def _sheet(name: str, lines: Iterable[tuple[int, list[str]]], said: tuple[str, ...] = ()) -> Sheet:
    kept: list[tuple[int, list[str]]] = []
    for number, line in lines:
        # Composed: some systems write an accent as a sign of its own behind its letter.
        texts = [" ".join(normalize("NFC", text).split())[:LONGEST] for text in line]
        if any(texts):
            kept.append((number, texts))
        if len(kept) > MOST_ROWS or any(texts[MOST_COLUMNS:]):
            wrong = gettext(
                "the sheet is larger than {most_rows} rows or {most_columns} columns"
            ).format(most_rows=MOST_ROWS, most_columns=MOST_COLUMNS)
            raise Unreadable(number, wrong, gettext("one list of names and services"))
    from openpyxl.utils import get_column_letter

    columns = sorted({at for _, texts in kept for at, text in enumerate(texts) if text})
    rows = tuple(
        tuple(
            SheetCell(
                f"{get_column_letter(column + 1)}{number}",
                texts[column] if column < len(texts) else "",
            )
            for column in columns
        )
        for number, texts in kept
    )
    return Sheet(name, rows, said)
