"""Which rows of cells does a CSV file hold, however a spreadsheet wrote it?

Ours is UTF-8 with commas. Spreadsheets also write semicolons or tabs (where the comma is the
decimal sign), the old Windows code page, a byte order mark, or UTF-16: all of these are read, and
it is said that they were.
"""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Collection, Iterator
from dataclasses import dataclass, field

from django.utils.translation import gettext, gettext_noop

SIGNS = {
    ",": "",
    ";": gettext_noop("its cells are parted by semicolons"),
    "\t": gettext_noop("its cells are parted by tabs"),
}


class Unreadable(Exception):
    """Why a file, or the rest of it from one row on, cannot be read."""

    def __init__(self, row: int, wrong: str, expected: str) -> None:
        super().__init__(wrong)
        self.row, self.wrong, self.expected = row, wrong, expected


@dataclass(frozen=True, slots=True)
class OddCell:
    """A cell that says more by its look than by its text: what it holds could be meant for more
    cells than one, or for none.
    """

    row: int
    cells: str  # such as C4, or C4:C6
    text: str
    wrong: str
    expected: str
    is_merged: bool = False


def say_merged(row: int, cells: str, text: str) -> OddCell:
    """Merged cells, of which the first one holds the text."""
    wrong = gettext("the cells {places} are merged, and “{text}” may be for each of them")
    expected = gettext("cells that are not merged, each with what it says")
    told = wrong.format(places=cells, text=text)
    return OddCell(row, cells, text, told, expected, is_merged=True)


def say_struck(row: int, cell: str, text: str) -> OddCell:
    """A cell whose words have a line through them."""
    wrong = gettext("“{text}” in {place} is struck through").format(text=text, place=cell)
    return OddCell(row, cell, text, wrong, gettext("a cell that counts, or an empty one"))


@dataclass(slots=True)
class Rows:
    """The rows of one file: `header` in row `header_row`, then each row by its number; `said` is
    worth telling people. `odd` is whole when the lines are read.
    """

    header_row: int
    header: list[str]
    lines: Iterator[tuple[int, list[str]]]
    said: list[str] = field(default_factory=list)
    odd: list[OddCell] = field(default_factory=list)
    is_padded: bool = False  # whether empty cells at the end of a row may be missing


def csv_rows(data: bytes, known: Collection[str]) -> Rows:
    """The rows of a CSV file; `known` are the names of columns, by which its sign is told. Raises
    Unreadable.
    """
    text, encoding = decode(data)
    # PostgreSQL keeps no null character in a text.
    if "\0" in text:
        raise Unreadable(0, gettext("the file holds a null character"), gettext("plain text"))
    sign = _sign(text, known)
    lines = split_lines(text, sign)
    header = next(lines, (1, []))
    said = [why for why in (encoding, SIGNS[sign] and gettext(SIGNS[sign])) if why]
    return Rows(header[0], header[1], lines, said)


def split_lines(text: str, sign: str) -> Iterator[tuple[int, list[str]]]:
    """The rows of a text by the number of their first line, with their cells parted by a sign.
    Raises Unreadable while they are read.
    """
    return _lines(csv.reader(io.StringIO(text, newline=""), delimiter=sign, strict=True))


def decode(data: bytes) -> tuple[str, str]:
    """The text of a file, and what is worth saying of how it is written. Raises Unreadable."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        try:
            return data.decode("utf-16"), gettext("it is written in UTF-16")
        except UnicodeDecodeError as error:
            raise Unreadable(
                0,
                gettext("the text begins as UTF-16 and is none"),
                gettext("a file saved as UTF-8"),
            ) from error
    try:
        return data.decode("utf-8-sig"), ""
    # Windows-1252 reads almost any bytes, so it comes last, and is told.
    except UnicodeDecodeError as error:
        row = data[: error.start].count(b"\n") + 1
    try:
        return data.decode("cp1252"), gettext(
            "it is written in Windows-1252, the old code page; look at names with accents"
        )
    except UnicodeDecodeError as error:
        raise Unreadable(
            row,
            gettext("the text is neither UTF-8 nor Windows-1252"),
            gettext("a file saved as UTF-8"),
        ) from error


def _sign(text: str, known: Collection[str]) -> str:
    """The sign that parts the header into the most names of columns; the comma where none is
    better.
    """
    first = text.partition("\n")[0]
    return max(
        SIGNS, key=lambda sign: len({cell.strip(' "\r') for cell in first.split(sign)} & set(known))
    )


def _lines(reader: csv._reader) -> Iterator[tuple[int, list[str]]]:  # type: ignore[name-defined]
    row = reader.line_num
    try:
        for line in reader:
            first, row = row + 1, reader.line_num
            yield first, line
    except csv.Error as error:
        # Where the row begins: a quote that nothing closes is told at the end of the file.
        wrong = gettext("the row cannot be read ({error})").format(error=error)
        raise Unreadable(row + 1, wrong, gettext("comma-separated cells")) from error
