"""Which cells of a spreadsheet of OpenDocument (.ods) say more by their look than by their text?

Element names and their meaning are those of OpenDocument 1.3, part 3 (OASIS, also ISO/IEC 26300).
The words themselves are read by a library, which tells nothing of merged cells, of lines through
words, or of formulas that nobody has worked out.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from django.utils.translation import gettext

from procedures.records.documents.docx_styles import find_value
from procedures.records.documents.model import BadDocument
from procedures.records.documents.odt_styles import OdtStyles
from procedures.records.documents.parts import ZipParts, find_name
from training.exchange.folder.csv_rows import OddCell, Unreadable, say_merged, say_struck

if TYPE_CHECKING:
    from lxml.etree import _Element

MOST_REPEATED = 1_000_000  # rows or columns, more than any program has
ROWS = {"table-header-rows", "table-rows", "table-row-group"}


def find_odd_cells(data: bytes) -> list[OddCell]:
    """The merged and the struck cells of all its sheets. Raises Unreadable, also for a formula
    without a value.
    """
    try:
        parts = ZipParts(data)
        root, master = parts.xml("content.xml"), parts.xml("styles.xml")
    except BadDocument as bad:
        raise Unreadable(
            0,
            gettext("the spreadsheet cannot be opened"),
            gettext("a smaller spreadsheet without a password"),
        ) from bad
    styles = OdtStyles(root, master)
    tables = [] if root is None else [one for one in root.iter() if find_name(one) == "table"]
    return [odd for table in tables for odd in _odd_in(table, styles)]


def _odd_in(table: _Element, styles: OdtStyles) -> Iterator[OddCell]:
    row = 1
    for one in _rows_of(table):
        column = 0
        for cell in one:
            if find_name(cell) in ("table-cell", "covered-table-cell"):
                yield from _odd(cell, row, column, styles)
                column += _count(cell, "number-columns-repeated")
        row += _count(one, "number-rows-repeated")


def _rows_of(holder: _Element) -> Iterator[_Element]:
    for one in holder:
        if find_name(one) == "table-row":
            yield one
        elif find_name(one) in ROWS:
            yield from _rows_of(one)


def _odd(cell: _Element, row: int, column: int, styles: OdtStyles) -> Iterator[OddCell]:
    from openpyxl.utils import get_column_letter

    place = f"{get_column_letter(column + 1)}{row}"
    words = [one for one in cell if find_name(one) in ("p", "h")]
    shown = " ".join("".join(map(str, one.itertext())) for one in words).strip()
    # A day as it is kept: what is shown of it is in the format of whoever made the list.
    text = find_value(cell, "date-value")[:10] or shown or find_value(cell, "value")
    if find_value(cell, "formula") and not find_value(cell, "value-type"):
        raise Unreadable(
            row,
            gettext("the formula in {place} has no value yet").format(place=place),
            gettext("a workbook saved by a spreadsheet"),
        )
    if not text:
        return
    across = _count(cell, "number-columns-spanned")
    down = _count(cell, "number-rows-spanned")
    if across > 1 or down > 1:
        last = f"{get_column_letter(column + across)}{row + down - 1}"
        yield say_merged(row, f"{place}:{last}", text)
    looks = [cell, *(each for one in words for each in one.iter())]
    names = {find_value(one, "style-name") for one in looks}
    if any(styles.of_text(name, bold=False).is_struck for name in names if name):
        yield say_struck(row, place, text)


def _count(element: _Element, name: str) -> int:
    said = find_value(element, name)
    return min(int(said), MOST_REPEATED) if said.isdecimal() and len(said) < 9 else 1
