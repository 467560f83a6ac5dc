"""Where in a sheet are the names, the services and the marks?

Title rows, a numbered column, heads over merged cells, empty rows and columns, a sum or a legend
below: a shop's matrix has all of these. The body is where the marks are; the heads are the row
above it with the most texts; the names are the column left of it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from training.exchange.matrix.joining import (
    are_days,
    find_day_columns,
    join_day,
    join_names,
    make_plain_head,
)
from training.exchange.matrix.marks import Mark, MarkKind, read_mark
from training.exchange.matrix.meaning import Sheet, SheetCell
from training.exchange.matrix.names import NAME_HEADS, is_no_name, looks_like_name

FIELDS = {
    "role": ("role", "trade", "position", "job title", "function"),
    "workshop": ("workshop", "site", "location", "shop", "branch"),
    "started": ("started", "start", "start date", "first day", "hired", "joined", "since"),
    "left": ("left", "last day", "leaving date"),
    "login": ("login", "user", "user name", "username", "sign-in"),
}
LEFT_OUT = re.compile(
    r"no|nr|number|#|id|e-?mail|mail|phone|mobile|total|sum|count|notes?|comments?|remarks?|updated"
    r"|date"
)
END_HEADS = re.compile(r"\b(until|till|expires?|expiry|expiration|due|renewal|bis)\b")
SERVICE_WORDS = re.compile(
    r"\b(service|fork|shock|air|spring|damper|legs?|lowers?|travel|bushings?|brakes?|wheels?|seals?"
    r"|can|sag|bleed|rebuild|oil|hub|headset|set-?up|intake|checks?|rear|front|change|spacers?"
    r"|suspension|cartridge|stanchions?|tune|fitting|drivetrain|level \d)\b",
    re.IGNORECASE,
)
FIELD, SERVICE, OUT = "field", "service", "out"  # what a column is
LONGEST_WORD = 20


class NoMatrix(Exception):
    """There is no table of marks in the sheet. `code` says what is missing."""

    def __init__(self, code: str) -> None:
        super().__init__(code)
        self.code = code


@dataclass(frozen=True, slots=True)
class Service:
    """One column of marks with its head."""

    head: str
    place: str  # of the head
    column: int


@dataclass(frozen=True, slots=True)
class ListRow:
    """One person's row: the name and its place, what stands in known columns, and the marks by
    column.
    """

    name: str
    place: str
    fields: dict[str, SheetCell]
    marks: dict[int, tuple[SheetCell, Mark]]


@dataclass(frozen=True, slots=True)
class Matrix:
    """A sheet with names down and services across, and what was left out of it: code, place,
    text.
    """

    sheet: str
    services: tuple[Service, ...]
    lines: tuple[ListRow, ...]
    left_out: tuple[tuple[str, str, str], ...]
    count: int  # of marks
    is_turned: bool = False


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where the body lies: the row of heads, the column of names, and the columns of marks."""

    heads: int
    names: int
    columns: tuple[int, ...]


def find_matrix(
    sheet: Sheet, is_name: Callable[[str], bool], is_service: Callable[[str], bool], names: str = ""
) -> Matrix | None:
    """The matrix of a sheet, turned so that names go down; `names` says that they go `down` or
    `across`, where it is known. None where only somebody who knows the shop can tell which are
    the names.

    Raises NoMatrix.
    """
    sheet = join_names(sheet)
    frame = _frame(sheet)
    down = [sheet.rows[row][frame.names].text for row in range(frame.heads + 1, len(sheet.rows))]
    across = [sheet.rows[frame.heads][column].text for column in frame.columns]
    if not names:
        over = sheet.rows[max(frame.heads - 1, 0)][frame.names].text
        corner = sheet.rows[frame.heads][frame.names].text or over
        names = (
            "down"
            if NAME_HEADS.fullmatch(make_plain_head(corner))
            else _names_lie(down, across, is_name, is_service)
        )
    if not names:
        return None
    if names == "across":
        turned = sheet.turned()
        return _matrix(turned, _frame(turned), is_turned=True)
    return _matrix(sheet, frame, is_turned=False)


def _frame(sheet: Sheet) -> _Frame:
    marks = [[read_mark(cell.text) for cell in row] for row in sheet.rows]
    counted = Counter(column for row in marks for column, mark in enumerate(row) if _belongs(mark))
    if not counted:
        raise NoMatrix("no-marks")
    body = [row for row, found in enumerate(marks) if any(_belongs(mark) for mark in found)]
    names = _names_column(sheet, marks, body)
    columns = tuple(range(names + 1, len(marks[0])))
    if not columns:
        raise NoMatrix("no-services")

    def speaks(row: int) -> int:
        """How many words a row has where a body has marks, less its marks."""
        kinds = Counter(marks[row][column].kind for column in columns)
        texts = sum(kinds.values()) - kinds[MarkKind.EMPTY]
        corner = NAME_HEADS.fullmatch(make_plain_head(sheet.rows[row][names].text))
        # Nobody is called “Name”, whatever stands beside it, such as “Done” over a column of marks.
        if corner and texts:
            return len(columns) + 1
        # Marks count against a row, so that a person's row of words does not pass for the heads.
        return kinds[MarkKind.WORD] + bool(corner) - kinds[MarkKind.DAY] - kinds[MarkKind.UNDATED]

    # Of rows that say as much the upper one: heads that are repeated stand below.
    heads = max(range(body[-1]), key=lambda row: (speaks(row), -row), default=-1)
    if heads < 0 or speaks(heads) <= 0:
        raise NoMatrix("no-heads")
    below = heads + 1
    if below < len(marks) and _goes_on(sheet, marks, heads, names, columns):
        heads = below
    return _Frame(heads, names, columns)


def _goes_on(
    sheet: Sheet, marks: Sequence[Sequence[Mark]], heads: int, names: int, columns: Sequence[int]
) -> bool:
    """Whether the row below is the lower one of two rows of heads: it names what lies under one
    head over several columns, and nobody.
    """
    upper, lower = sheet.rows[heads], sheet.rows[heads + 1]
    fills = any(lower[column].text and not upper[column].text for column in columns)
    kinds = {marks[heads + 1][column].kind for column in columns}
    return fills and not lower[names].text and MarkKind.DAY not in kinds


def _belongs(mark: Mark) -> bool:
    return mark.is_mark and mark.kind is not MarkKind.NOTHING


def _names_column(sheet: Sheet, marks: Sequence[Sequence[Mark]], body: Sequence[int]) -> int:
    """The column of names: the one whose head says so, such as the second one behind roles; else
    the first column in which most rows of the body have words.
    """

    def holds_words(column: int) -> bool:
        words = sum(
            marks[row][column].kind is MarkKind.WORD and bool(re.search(r"[^\W\d_]", cell_text))
            for row in body
            if (cell_text := sheet.rows[row][column].text)
        )
        # Most, not all: sums and legends have no name.
        return words * 2 > len(body)

    for row in sheet.rows:
        headed = [
            at for at, cell in enumerate(row) if NAME_HEADS.fullmatch(make_plain_head(cell.text))
        ]
        # The uppermost such row, with other heads in it: further down “mechanic” is a role.
        if headed and sum(bool(cell.text) for cell in row) > 1:
            return headed[0] if holds_words(headed[0]) else _first_of(holds_words, marks)
    return _first_of(holds_words, marks)


def _first_of(holds_words: Callable[[int], bool], marks: Sequence[Sequence[Mark]]) -> int:
    found = next((column for column in range(len(marks[0])) if holds_words(column)), None)
    if found is None:
        raise NoMatrix("no-names")
    return found


def _names_lie(
    down: Sequence[str],
    across: Sequence[str],
    is_name: Callable[[str], bool],
    is_service: Callable[[str], bool],
) -> str:
    """`down`, `across`, or nothing where both could be."""

    def weigh(texts: Sequence[str]) -> float:
        said = [text for text in texts if text]
        points = sum(
            2.0 * is_name(text)
            - 2.0 * is_service(text)
            - bool(SERVICE_WORDS.search(text))
            + 0.5 * (looks_like_name(text) and " " in text)
            for text in said
        )
        return points / max(len(said), 1)

    difference = weigh(down) - weigh(across)
    # Too close to call: the owner is asked rather than a whole shop read sideways.
    if abs(difference) < 0.25:
        return ""
    return "down" if difference > 0 else "across"


def _matrix(sheet: Sheet, frame: _Frame, *, is_turned: bool) -> Matrix:
    rows = sheet.rows
    left_out: list[tuple[str, str, str]] = [
        ("title", cell.place, cell.text)
        for row in rows[: frame.heads]
        for cell in row
        if cell.text and cell not in _over(sheet, frame)
    ]
    fields: dict[int, str] = {}
    services: list[Service] = []
    heads = _heads(sheet, frame)
    kinds = {
        column: _kind_of(heads[column][0], _below(sheet, frame, column), column < frame.names)
        for column in range(len(rows[0]))
        if column != frame.names
    }
    days = find_day_columns(
        rows[frame.heads + 1 :],
        [column for column, (kind, _) in kinds.items() if kind == SERVICE],
        [cell.text for cell in rows[frame.heads]],
    )
    for column, (kind, said) in kinds.items():
        head, place = heads[column]
        if column in days.values():
            continue
        if kind == FIELD:
            fields[column] = said
        elif kind == SERVICE:
            services.append(Service(head, place, column))
        elif said == "column-without-head":
            below = _below(sheet, frame, column)
            left_out.append((said, below[0].place if below else place, ""))
        else:
            left_out.append((said, place, head or column_of(place)))
    lines, more = _lines(sheet, frame, fields, services, days)
    count = sum(mark.is_mark for line in lines for _, mark in line.marks.values())
    return Matrix(sheet.name, tuple(services), tuple(lines), (*left_out, *more), count, is_turned)


def _below(sheet: Sheet, frame: _Frame, column: int) -> list[SheetCell]:
    return [row[column] for row in sheet.rows[frame.heads + 1 :]]


def _kind_of(head: str, body: Sequence[SheetCell], is_before_names: bool) -> tuple[str, str]:
    """What a column is, and which field it has, or why it is left out."""
    plain = make_plain_head(head)
    known = next((field for field, words in FIELDS.items() if plain in words), "")
    if known:
        return FIELD, known
    if LEFT_OUT.fullmatch(plain) or is_before_names:
        return OUT, "column-of-days" if are_days(body) else "column"
    if not head:
        return OUT, "column-without-head"
    # The last day of something is no day on which it was signed.
    if END_HEADS.search(plain) and are_days(body):
        return OUT, "column-of-ends"
    return (OUT, "column-without-marks") if _is_no_service(body) else (SERVICE, "")


def _is_no_service(body: Sequence[SheetCell]) -> bool:
    """Whether a column holds only remarks, phone numbers or addresses. One of short words is a
    service: what they mean is asked.
    """
    texts = [cell.text for cell in body if cell.text]
    marks = [read_mark(text) for text in texts]
    if not texts or any(mark.kind is not MarkKind.WORD or mark.days for mark in marks):
        return False
    return any(len(text) > LONGEST_WORD or re.search(r"[@\d]", text) for text in texts)


def _over(sheet: Sheet, frame: _Frame) -> set[SheetCell]:
    """The cells right above the heads that say more of them: a group over several, or the head of
    one that is merged downwards.
    """
    if not frame.heads:
        return set()
    above = sheet.rows[frame.heads - 1]
    over = {above[column] for column in frame.columns if above[column].text}
    name = above[frame.names]
    return over | {name} if NAME_HEADS.fullmatch(make_plain_head(name.text)) else over


def _heads(sheet: Sheet, frame: _Frame) -> dict[int, tuple[str, str]]:
    """The head of each column with its place. Two heads that are the same get their groups in
    front.
    """
    row = sheet.rows[frame.heads]
    groups = [""] * len(row)
    if frame.heads:
        group = ""
        for column, cell in enumerate(sheet.rows[frame.heads - 1]):
            group = cell.text or group
            groups[column] = group if column in frame.columns else ""
    over = sheet.rows[frame.heads - 1] if frame.heads else row
    found = {
        column: (cell.text or over[column].text, cell.place) for column, cell in enumerate(row)
    }
    same = Counter(head.casefold() for head, _ in found.values())
    return {
        column: (
            f"{groups[column]}: {head}"
            if head and same[head.casefold()] > 1 and groups[column]
            else head,
            place,
        )
        for column, (head, place) in found.items()
    }


def _lines(
    sheet: Sheet,
    frame: _Frame,
    fields: dict[int, str],
    services: Sequence[Service],
    days: dict[int, int],
) -> tuple[list[ListRow], list[tuple[str, str, str]]]:
    lines: list[ListRow] = []
    left_out: list[tuple[str, str, str]] = []
    head = sheet.rows[frame.heads]
    for row in sheet.rows[frame.heads + 1 :]:
        name = row[frame.names]
        columns = [service.column for service in services]
        cells = [
            join_day(row[column], row[days[column]]) if column in days else row[column]
            for column in columns
        ]
        if [cell.text for cell in row] == [cell.text for cell in head]:
            left_out.append(("heads-again", name.place, name.text))
        elif not name.text:
            said = next((cell for cell in row if cell.text), name)
            left_out.append(("row-without-name", said.place, said.text))
        elif is_no_name(name.text):
            left_out.append(("no-person", name.place, name.text))
        else:
            lines.append(
                ListRow(
                    name.text,
                    name.place,
                    {field: row[column] for column, field in fields.items()},
                    {
                        service.column: (cell, read_mark(cell.text))
                        for service, cell in zip(services, cells, strict=True)
                    },
                )
            )
    return lines, left_out


def column_of(place: str) -> str:
    """The letters of a cell's place: C of C4."""
    return place.rstrip("0123456789")
