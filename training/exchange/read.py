"""What stands in a folder that is brought in, and where can it not be read?"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from procedures.writeup.model import WriteUp as ParsedWriteUp
from procedures.writeup.parse import parse
from training.exchange.cells import Expected
from training.exchange.files import FILES, Column

LARGEST = 50 * 1024 * 1024  # bytes of one file


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong: file, row (the header is row 1), column, what is wrong, what was expected."""

    file: str
    row: int
    column: str
    wrong: str
    expected: str

    def __str__(self) -> str:
        where = self.file + (f", row {self.row}" if self.row else "") + (f", {self.column}" if self.column else "")
        return f"{where}: {self.wrong}" + (f"; expected {self.expected}" if self.expected else "")


@dataclass(frozen=True, slots=True)
class Record:
    """One row that could be read: its place and its values by column (a column left out reads as an empty cell)."""

    file: str
    row: int
    values: dict[str, Any]

    def __getitem__(self, column: str) -> Any:
        return self.values[column]

    def fault(self, column: str, wrong: str, expected: str = "") -> Fault:
        return Fault(self.file, self.row, column, wrong, expected)


@dataclass(frozen=True, slots=True)
class BroughtRevision:
    """One revision of a write-up as it lies in the folder."""

    file: str
    writeup: str
    number: int
    text: str
    parsed: ParsedWriteUp


@dataclass(slots=True)
class Delivery:
    """All that the folders hold: rows by file, write-ups, the shop's rules, questions; and what cannot be read."""

    records: dict[str, list[Record]] = field(default_factory=dict)
    revisions: list[BroughtRevision] = field(default_factory=list)
    rules: str | None = None
    questions: dict[str, str] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def rows(self, file: str) -> list[Record]:
        return self.records.get(file, [])


def read_delivery(folders: list[Path]) -> Delivery:
    """Everything in the folders, read as one delivery. Nothing is raised for what they hold: it is told as faults."""
    delivery = Delivery()
    for folder in folders:
        if not folder.is_dir():
            delivery.faults.append(Fault(str(folder), 0, "", "there is no such folder", "a folder of CSV files"))
            continue
        for file in FILES:
            if (folder / file).is_file():
                delivery.records.setdefault(file, []).extend(_records(folder / file, delivery))
        _note_unknown_files(folder, delivery)
        _read_writeups(folder / "writeups", delivery)
        _read_texts(folder, delivery)
    if not (delivery.records or delivery.revisions or delivery.questions or delivery.rules or delivery.faults):
        names = ", ".join(FILES)
        delivery.faults.append(Fault(str(folders[0]), 0, "", "there is nothing to bring in", f"any of {names}, writeups/"))
    return delivery


def _note_unknown_files(folder: Path, delivery: Delivery) -> None:
    unknown = sorted(path.name for path in folder.glob("*.csv") if path.name not in FILES)
    delivery.notes += [f"{name} is no file of a delivery and was not read." for name in unknown]


def _text(path: Path, delivery: Delivery) -> str | None:
    name = path.name
    try:
        if path.stat().st_size > LARGEST:
            delivery.faults.append(Fault(name, 0, "", "the file is larger than 50 MB", "a smaller file"))
            return None
        with path.open(encoding="utf-8-sig", newline="") as file:
            text = file.read()
    except UnicodeDecodeError as error:
        row = path.read_bytes()[: error.start].count(b"\n") + 1
        delivery.faults.append(Fault(name, row, "", "the text is not UTF-8", "a file saved as UTF-8"))
        return None
    except OSError as error:
        delivery.faults.append(Fault(name, 0, "", f"the file cannot be opened ({error.strerror})", "a readable file"))
        return None
    if "\0" in text:
        delivery.faults.append(Fault(name, 0, "", "the file holds a null character", "plain text"))
        return None
    return text


def _records(path: Path, delivery: Delivery) -> Iterator[Record]:
    text = _text(path, delivery)
    if text is None:
        return
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        header = [cell.strip() for cell in next(reader, [])]
        columns = _columns(path.name, header, delivery)
        if columns is None:
            return
        row = reader.line_num
        for line in reader:
            first, row = row + 1, reader.line_num
            if any(cell.strip() for cell in line):
                yield from _record(path.name, first, columns, header, line, delivery)
    except csv.Error as error:
        delivery.faults.append(
            Fault(path.name, reader.line_num, "", f"the row cannot be read ({error})", "comma-separated cells")
        )


def _columns(file: str, header: list[str], delivery: Delivery) -> list[tuple[Column, int | None]] | None:
    known = {column.name: column for column in FILES[file]}
    wanted = ", ".join(column.name for column in FILES[file] if not column.optional)
    twice = sorted({name for name in header if header.count(name) > 1 and name in known})
    missing = [column.name for column in FILES[file] if not column.optional and column.name not in header]
    for name in twice:
        delivery.faults.append(Fault(file, 1, name, "the column is there twice", "each column once"))
    for name in missing:
        delivery.faults.append(Fault(file, 1, name, "the column is missing", f"the columns {wanted}"))
    if twice or missing:
        return None
    for name in header:
        if name not in known and name != "recorded_at":
            delivery.notes.append(f"{file}: the column '{name}' is not known and was not read.")
    return [(column, header.index(name) if name in header else None) for name, column in known.items()]


def _record(
    file: str, row: int, columns: list[tuple[Column, int | None]], header: list[str], line: list[str],
    delivery: Delivery,
) -> Iterator[Record]:
    if len(line) > len(header) and any(cell.strip() for cell in line[len(header):]):
        wrong = f"there are {len(line)} cells under {len(header)} columns"
        delivery.faults.append(Fault(file, row, "", wrong, "one cell for each column; put text with commas in quotes"))
        return
    values: dict[str, Any] = {}
    for column, place in columns:
        cell = line[place].strip() if place is not None and place < len(line) else ""
        try:
            values[column.name] = column.read(cell)
        except Expected as expected:
            wrong = f"'{cell}' cannot be read" if cell else "the cell is empty"
            delivery.faults.append(Fault(file, row, column.name, wrong, str(expected)))
    if len(values) == len(columns):
        yield Record(file, row, values)


def _read_writeups(folder: Path, delivery: Delivery) -> None:
    for path in sorted(folder.glob("*.md")):
        text = _text(path, delivery)
        name, _, rest = path.name.removesuffix(".md").partition(".")
        number = rest.removeprefix("r") if rest.startswith("r") else ("1" if not rest else "")
        if not (number.isascii() and number.isdigit() and 0 < int(number) < 10_000):
            delivery.faults.append(Fault(path.name, 0, "", "the file's name cannot be read", "NAME.md or NAME.r2.md"))
        elif text is not None:
            delivery.revisions.append(BroughtRevision(path.name, name, int(number), text, parse(text)))


def _read_texts(folder: Path, delivery: Delivery) -> None:
    if (folder / "rules.yaml").is_file():
        delivery.rules = _text(folder / "rules.yaml", delivery)
    for path in sorted((folder / "questions").glob("*.yaml")):
        text = _text(path, delivery)
        if text is not None:
            delivery.questions[path.stem] = text
