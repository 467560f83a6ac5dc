"""Which rows of cells does a workbook of a spreadsheet (.xlsx, ECMA-376) hold?

A workbook comes from outside: it is a zip of XML that can be made to grow without end, so what is
declared in it is weighed before any of it is opened, and a sheet is read row by row up to a bound.
"""

from __future__ import annotations

import re
import warnings
import zipfile
from collections.abc import Iterator
from datetime import date, datetime, time
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.utils.translation import gettext, gettext_noop

from training.exchange.folder.csv_rows import OddCell, Rows, Unreadable, say_merged, say_struck

MOST_UNPACKED = 200 * 1024 * 1024  # bytes of all parts
MOST_PARTS = 2_000
MOST_ROWS = 300_000
MOST_COLUMNS = 100
NO_WORKBOOK = gettext_noop("a workbook saved as .xlsx, without a password")
SMALLER = gettext_noop("a smaller workbook, or CSV files")
MERGED = re.compile(
    r'<(?:[a-z]{1,9}:)?mergeCell ref="([A-Z]{1,3})([0-9]{1,7}):([A-Z]{1,3}[0-9]{1,7})"'
)
LONGEST_MERGED = 60  # letters of what this finds
ONE_READ = 1024 * 1024  # bytes

# Row by row, the columns (from 0) at which merged cells begin, and all cells of each.
Merged = dict[int, set[tuple[int, str]]]


class Workbook:
    """An open workbook: the names of its sheets, and the rows of each. `close` it when done."""

    def __init__(self, path: Path) -> None:
        """Raises Unreadable for what is no workbook, or one that is too large."""
        weigh(path)
        from openpyxl import load_workbook

        try:
            # Of styles and extensions that it does not keep; only cells are of interest.
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", UserWarning)
                self._book = load_workbook(path, read_only=True, data_only=True, keep_links=False)
                # Opened twice, since the library gives values or formulas, never both, and a
                # formula without a value must not come in as an empty cell.
                self._formulas = load_workbook(
                    path, read_only=True, data_only=False, keep_links=False
                )
        # The library raises whatever a broken part makes it stumble over.
        except Exception as error:
            raise Unreadable(
                0, gettext("the workbook cannot be opened"), gettext(NO_WORKBOOK)
            ) from error
        self.names = [sheet.title for sheet in self._book.worksheets]

    def close(self) -> None:
        self._book.close()
        self._formulas.close()

    def rows(self, name: str) -> Rows:
        """The rows of a sheet, as texts. Raises Unreadable, also while its lines are read."""
        odd: list[OddCell] = []
        lines = _lines(self._book[name], self._formulas[name], odd)
        number, header = next(lines, (1, []))
        said = [gettext("read from the sheet {name} of a workbook").format(name=name)]
        return Rows(number, header, lines, said, odd, is_padded=True)


def weigh(path: Path) -> None:
    """Raises Unreadable where the parts of a file would unpack to more than is taken, or declare
    XML of their own.
    """
    try:
        with zipfile.ZipFile(path) as parts:
            # What a part declares is enough: zipfile reads no further than that.
            sizes = [part.file_size for part in parts.infolist()]
            if len(sizes) > MOST_PARTS or sum(sizes) > MOST_UNPACKED:
                raise Unreadable(
                    0, gettext("the workbook would unpack to more than 200 MB"), gettext(SMALLER)
                )
            for part in parts.infolist():
                if part.filename.endswith((".xml", ".rels")):
                    with parts.open(part) as opened:
                        # A part has no use for one, and entities make a small file a huge one.
                        if b"<!DOCTYPE" in opened.read(4096):
                            raise Unreadable(
                                0,
                                gettext("the workbook declares XML of its own making"),
                                gettext(NO_WORKBOOK),
                            )
    except Unreadable:
        raise
    except Exception as error:  # of zipfile's own kinds, and of each way to pack a part
        raise Unreadable(0, gettext("the file is no workbook"), gettext(NO_WORKBOOK)) from error


def _cells(sheet: Any) -> Iterator[tuple[Any, ...]]:
    sheet.reset_dimensions()  # what a sheet says of its own size is not to be trusted
    found: Iterator[tuple[Any, ...]] = sheet.iter_rows()
    return found


def _merged_in(sheet: Any) -> Merged:
    """The merged cells of a sheet. The library tells of them only where it holds all cells in
    memory.
    """
    from openpyxl.utils import column_index_from_string

    found: Merged = {}
    rest = ""
    with sheet._get_source() as part:
        while read := part.read(ONE_READ):
            text = rest + read.decode("latin-1")
            for column, row, last in MERGED.findall(text):
                place = (column_index_from_string(column) - 1, f"{column}{row}:{last}")
                found.setdefault(int(row), set()).add(place)
            rest = text[-LONGEST_MERGED:]  # what lies across two reads
    return found


def _odd_in(
    number: int, cells: tuple[Any, ...], line: list[str], merged: Merged
) -> Iterator[OddCell]:
    """The cells of a row that are merged or struck through; an empty one means nothing anyway."""
    for column, places in sorted(merged.get(number, ())):
        if column < len(line) and line[column]:
            yield say_merged(number, places, line[column])
    for cell, text in zip(cells, line, strict=False):
        if text and cell.font.strike:
            yield say_struck(number, cell.coordinate, text)


def _lines(sheet: Any, formulas: Any, odd: list[OddCell]) -> Iterator[tuple[int, list[str]]]:
    filled, number = 0, 0
    try:
        merged = _merged_in(sheet)
        both = zip(_cells(sheet), _cells(formulas), strict=False)
        for number, (cells, asked) in enumerate(both, start=1):
            line = [
                _text(number, cell, formula) for cell, formula in zip(cells, asked, strict=False)
            ]
            filled += any(line)
            if filled > MOST_ROWS or any(line[MOST_COLUMNS:]):
                wrong = gettext(
                    "the sheet is larger than {most_rows} rows or {most_columns} columns"
                ).format(most_rows=MOST_ROWS, most_columns=MOST_COLUMNS)
                raise Unreadable(number, wrong, gettext(SMALLER))
            odd += _odd_in(number, cells, line, merged)
            if any(line) or number == 1:
                yield number, line
    except Unreadable:
        raise
    except Exception as error:  # a broken part, see above
        raise Unreadable(
            number + 1, gettext("the sheet cannot be read from here on"), gettext(NO_WORKBOOK)
        ) from error


def _text(row: int, cell: Any, formula: Any) -> str:
    """What a cell says, as it would stand in a CSV file of ours."""
    if cell.value is None and formula.value is not None:
        raise Unreadable(
            row,
            gettext("the formula {value} has no value yet").format(value=formula.value),
            gettext("a workbook saved by a spreadsheet"),
        )
    if cell.data_type == "e":
        raise Unreadable(
            row,
            gettext("{place} shows the error {value}").format(
                place=cell.coordinate, value=cell.value
            ),
            gettext("a cell with a value, or an empty one"),
        )
    return write_typed(cell.value, cell.number_format)


def write_typed(value: Any, shown_as: str = "") -> str:
    """A typed value of a spreadsheet as text; a day has its time only where there is one."""
    match value:
        case None:
            return ""
        # Before the numbers: to Python, True is 1.
        case bool():
            return "yes" if value else "no"
        case datetime():
            return value.date().isoformat() if value.time() == time() else value.isoformat()
        case date():
            return value.isoformat()
        case int() | float():
            return _number(value, shown_as)
        case _:
            return str(value)


def _number(value: float, shown_as: str) -> str:
    """A number in plain digits; one that is shown as a percentage is kept in the sheet as its
    hundredth part.
    """
    # Through the shortest digits that mean this float, or 0.7 would come in as 0.69999….
    found = Decimal(repr(value)) * (100 if "%" in (shown_as or "") else 1)
    return f"{found.normalize():f}" if found.is_finite() else str(value)
