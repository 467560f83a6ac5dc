"""What stands in a folder that is brought in, and where can it not be read?"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

from django.utils.translation import gettext

from procedures.pictures.clean import clean_photo_file
from procedures.pictures.made import BadPicture
from procedures.records.documents.reading import KINDS
from procedures.records.files import digest_of
from procedures.records.wording.say import say
from procedures.writeup.parse import parse
from procedures.writeup.remarks import remark
from training.exchange.folder.cells import Expected
from training.exchange.folder.csv_rows import Rows, Unreadable, csv_rows
from training.exchange.folder.delivery import BroughtRevision, Delivery, Fault, Record
from training.exchange.folder.files import FILES, Column
from training.exchange.folder.read_old import take_old
from training.exchange.folder.workbook import Workbook
from training.exchange.folder.written import read_written

# Held in memory as a whole; the jobs of a large shop stay far below.
LARGEST = 50 * 1024 * 1024  # bytes of one file
WORKBOOK = ".xlsx"
PASSED_OVER = (".", "~$")  # what a system or an office program leaves beside a file
# The folders within, and how the names in them end, where the others are told.
PARTS = {"writeups": ".md", "questions": ".yaml", "old": "", "photos": ""}
BESIDE = ("rules.yaml", "HEAD.txt", "signers.csv")  # read elsewhere, or for people


def read_delivery(folders: list[Path], tell: Callable[[str], None] | None = None) -> Delivery:
    """Everything in the folders (or workbooks), read as one delivery; `tell` hears which file is
    read.

    Nothing is raised for what they hold: it is told as faults.
    """
    delivery = Delivery(tell=tell)
    for folder in folders:
        if folder.is_file() and _is_workbook(folder):
            _read_workbook(folder, delivery, set())
        elif folder.is_dir():
            _read_tables(folder, delivery)
            _read_writeups(folder / "writeups", delivery)
            _read_old(folder / "old", delivery)
            _read_texts(folder, delivery)
            _read_photos(folder / "photos", delivery)
            delivery.notes += [_no_file(name) for name in _list_unread(folder)]
        else:
            wrong = (
                gettext("this file is of another kind")
                if folder.is_file()
                else gettext("there is no such folder")
            )
            wanted = gettext("a folder of CSV files, or a workbook (.xlsx)")
            delivery.faults.append(Fault(str(folder), 0, "", wrong, wanted))
    if not (
        delivery.records
        or delivery.revisions
        or delivery.old
        or delivery.questions
        or delivery.rules
        or delivery.faults
    ):
        names = ", ".join(FILES)
        delivery.faults.append(
            Fault(
                str(folders[0]),
                0,
                "",
                gettext("there is nothing to bring in"),
                gettext("any of {names}, writeups/, old/").format(names=names),
            )
        )
    return delivery


def _read_tables(folder: Path, delivery: Delivery) -> None:
    there = {file for file in FILES if (folder / file).is_file()}
    for file in FILES:
        # The order of FILES and not of the folder, so that the same folder gives the same faults.
        if file in there:
            data = _bytes(folder / file, delivery)
            if data is not None:
                read_rows(file, file, partial(csv_rows, data, _names(file)), delivery)
    for path in sorted(folder.iterdir()):
        if _is_workbook(path) and not path.name.startswith(PASSED_OVER):
            _read_workbook(path, delivery, there)


def _is_workbook(path: Path) -> bool:
    return path.suffix.lower() == WORKBOOK


def _list_unread(folder: Path) -> Iterator[str]:
    """What lies in the folder, or where write-ups and questions lie, and has no name that is read:
    somebody meant it to come in.
    """
    for path in sorted(folder.iterdir()):
        known = path.name in PARTS if path.is_dir() else path.name in (*FILES, *BESIDE)
        if not (known or _is_workbook(path) or path.name.startswith(PASSED_OVER)):
            yield path.name
    for part, kind in PARTS.items():
        for path in sorted((folder / part).glob("*") if kind else ()):
            if path.suffix != kind and not path.name.startswith(PASSED_OVER):
                yield f"{part}/{path.name}"


def _no_file(name: str) -> str:
    return gettext("{name} is no file of a delivery and was not read.").format(name=name)


def _read_workbook(path: Path, delivery: Delivery, there: set[str]) -> None:
    """One workbook: each sheet that has the name of a file; or, in NAME.xlsx with no such sheet,
    the first one.
    """
    try:
        if path.stat().st_size > LARGEST:
            raise Unreadable(0, gettext("the file is larger than 50 MB"), gettext("a smaller file"))
        book = Workbook(path)
    except Unreadable as bad:
        delivery.faults.append(Fault(path.name, bad.row, "", bad.wrong, bad.expected))
        return
    files = {name: f"{name.strip().lower().removesuffix('.csv')}.csv" for name in book.names}
    if f"{path.stem}.csv" in FILES and not FILES.keys() & set(files.values()):
        files[book.names[0]] = f"{path.stem}.csv"
    for name, file in files.items():
        shown = f"{path.name}, sheet {name}"
        if file not in FILES:
            delivery.notes.append(_no_file(shown))
        elif file in there:
            delivery.faults.append(
                Fault(
                    shown,
                    0,
                    "",
                    gettext("{file} is in this folder already").format(file=file),
                    gettext("each file once"),
                )
            )
        else:
            there.add(file)
            read_rows(file, shown, partial(book.rows, name), delivery)
    book.close()


def _bytes(path: Path, delivery: Delivery) -> bytes | None:
    try:
        if path.stat().st_size <= LARGEST:
            return path.read_bytes()
        delivery.faults.append(
            Fault(
                path.name,
                0,
                "",
                gettext("the file is larger than 50 MB"),
                gettext("a smaller file"),
            )
        )
    except OSError as error:
        wrong = gettext("the file cannot be opened ({reason})").format(reason=error.strerror)
        delivery.faults.append(Fault(path.name, 0, "", wrong, gettext("a readable file")))
    return None


def _text(path: Path, delivery: Delivery) -> str | None:
    """The text of a write-up, rules or questions: UTF-8 only, since a sign that is read wrongly
    could be a value.
    """
    data = _bytes(path, delivery)
    if data is None:
        return None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        row = data[: error.start].count(b"\n") + 1
        delivery.faults.append(
            Fault(
                path.name,
                row,
                "",
                gettext("the text is not UTF-8"),
                gettext("a file saved as UTF-8"),
            )
        )
        return None
    if "\0" in text:
        delivery.faults.append(
            Fault(
                path.name, 0, "", gettext("the file holds a null character"), gettext("plain text")
            )
        )
        return None
    return text


def _names(file: str) -> set[str]:
    return {column.name for column in FILES[file]}


def read_rows(file: str, shown: str, opened: Callable[[], Rows], delivery: Delivery) -> None:
    """Puts every row of one file into the delivery; `shown` is what people call it."""
    if delivery.tell:
        delivery.tell(f"Reading {shown}")
    records = delivery.records.setdefault(file, [])
    try:
        rows = opened()
        delivery.notes += [f"{shown}: {said}." for said in rows.said]
        header = [cell.strip() for cell in rows.header]
        while header and not header[-1]:
            header.pop()
        columns = _columns(file, shown, rows.header_row, header, delivery)
        for row, line in rows.lines if columns else ():
            if any(cell.strip() for cell in line):
                if rows.is_padded:
                    # Spreadsheets do not store empty cells at the end of a row.
                    line += [""] * (len(header) - len(line))
                records.extend(_record(shown, row, columns or [], header, line, delivery))
        # Not in the heads: what is merged there is one name.
        delivery.faults += [
            Fault(shown, odd.row, "", odd.wrong, odd.expected)
            for odd in rows.odd
            if odd.row > rows.header_row
        ]
    except Unreadable as bad:
        delivery.faults.append(Fault(shown, bad.row, "", bad.wrong, bad.expected))


def _columns(
    file: str, shown: str, row: int, header: list[str], delivery: Delivery
) -> list[tuple[Column, int | None]] | None:
    known = {column.name: column for column in FILES[file]}
    wanted = ", ".join(column.name for column in FILES[file] if not column.optional)
    twice = sorted({name for name in header if header.count(name) > 1 and name in known})
    missing = [
        column.name for column in FILES[file] if not column.optional and column.name not in header
    ]
    for name in twice:
        delivery.faults.append(
            Fault(
                shown, row, name, gettext("the column is there twice"), gettext("each column once")
            )
        )
    for name in missing:
        delivery.faults.append(
            Fault(
                shown,
                row,
                name,
                gettext("the column is missing"),
                gettext("the columns {wanted}").format(wanted=wanted),
            )
        )
    if twice or missing:
        return None
    for name in header:
        # recorded_at may stand in any file; where it says nothing it is no reason for a note.
        if name not in known and name != "recorded_at":
            delivery.notes.append(
                gettext("{shown}: the column “{name}” is not known and was not read.").format(
                    shown=shown, name=name
                )
            )
    return [
        (column, header.index(name) if name in header else None) for name, column in known.items()
    ]


def _record(
    file: str,
    row: int,
    columns: list[tuple[Column, int | None]],
    header: list[str],
    line: list[str],
    delivery: Delivery,
) -> Iterator[Record]:
    too_many = len(line) > len(header) and any(cell.strip() for cell in line[len(header) :])
    if too_many or len(line) < len(header):
        wrong = gettext("there are {cells} cells under {columns} columns").format(
            cells=len(line), columns=len(header)
        )
        expected = (
            gettext("one cell for each column; put text with commas in quotes")
            if too_many
            else gettext("one cell for each column; an empty one too")
        )
        delivery.faults.append(Fault(file, row, "", wrong, expected))
        return
    values: dict[str, Any] = {}
    for column, place in columns:
        cell = read_written(line[place].strip()) if place is not None else ""
        try:
            values[column.name] = column.read(cell)
        except Expected as expected:
            wrong = (
                gettext("'{cell}' cannot be read").format(cell=_shortened(cell))
                if cell
                else gettext("the cell is empty")
            )
            delivery.faults.append(Fault(file, row, column.name, wrong, str(expected)))
        else:
            if column.name == "percent" and "," in cell:
                delivery.say_once(
                    gettext("{file}: decimal commas, as in {cell}, are read as {read}.").format(
                        file=file, cell=cell, read=values["percent"]
                    ),
                    about=file,
                )
    if len(values) == len(columns):
        yield Record(file, row, values)


def _shortened(cell: str, most: int = 250) -> str:
    """A cell as a fault tells it: whoever looks for it knows it by its beginning."""
    return cell if len(cell) <= most else f"{cell[:most]}…"


def _read_writeups(folder: Path, delivery: Delivery) -> None:
    for path in sorted(folder.glob("*.md")):
        text = _text(path, delivery)
        # The number stands behind the first point, and a write-up's name holds none.
        name, _, rest = path.name.removesuffix(".md").partition(".")
        number = rest.removeprefix("r") if rest.startswith("r") else ("1" if not rest else "")
        if not (number.isascii() and number.isdigit() and 0 < int(number) < 10_000):
            delivery.faults.append(
                Fault(
                    path.name,
                    0,
                    "",
                    gettext("the file's name cannot be read"),
                    gettext("NAME.md or NAME.r2.md"),
                )
            )
        elif text is not None and not text.strip():
            wrong = gettext("the file is empty")
            delivery.faults.append(Fault(path.name, 0, "", wrong, gettext("a write-up")))
        elif text is not None:
            delivery.revisions.append(
                BroughtRevision(path.name, name, int(number), text, parse(text))
            )


def _read_old(folder: Path, delivery: Delivery) -> None:
    """Old procedures, of whatever kind the page takes: each becomes a draft."""
    for path in sorted(folder.glob("*")):
        if not path.is_file() or path.name.startswith(PASSED_OVER):
            continue
        if path.suffix.lower() not in KINDS:
            delivery.notes.append(_no_file(f"old/{path.name}"))
        elif (data := _bytes(path, delivery)) is not None:
            take_old(path.name, data, delivery)


def _read_texts(folder: Path, delivery: Delivery) -> None:
    if (folder / "rules.yaml").is_file():
        delivery.rules = _text(folder / "rules.yaml", delivery)
    for path in sorted((folder / "questions").glob("*.yaml")):
        text = _text(path, delivery)
        if text is not None:
            delivery.questions[path.stem] = text


def _read_photos(folder: Path, delivery: Delivery) -> None:
    """Photos of observations under their SHA-256, as they were taken out: the file must still be
    that one, and a picture.
    """
    for path in sorted(folder.glob("*")):
        data = _bytes(path, delivery)
        if data is None:
            continue
        try:
            # The record book names photos by their digest: no other picture may pass for one.
            if digest_of(data) != path.name:
                raise BadPicture(remark("photo-of-other-name"))
            clean_photo_file(data)
        except BadPicture as bad:
            delivery.faults.append(
                Fault(
                    f"photos/{path.name}",
                    0,
                    "",
                    say(bad.remark),
                    gettext("the photo as it was taken out, named by its SHA-256"),
                )
            )
        else:
            delivery.photos[path.name] = path
