"""Does a folder come in as a spreadsheet writes it, is it said how it was read, and is what would
not end refused?
"""

import io
import time
import zipfile
from datetime import date, datetime
from decimal import Decimal

import openpyxl
import pytest
from django.core.management import call_command
from django.core.management.base import OutputWrapper

from procedures.management.progress import Progress
from tests.training.test_bring import GOOD, bring, count_all, folder, write  # noqa: F401
from tests.training.test_bring import _now as _frozen  # noqa: F401
from training import models as rows
from training.exchange.folder import workbook as limits
from training.exchange.folder.cells import Expected, read_day, read_percent
from training.records.keeping import faults

pytestmark = pytest.mark.django_db
CSV = [name for name in GOOD if name.endswith(".csv")]


def cell_of(text):
    """A cell as a spreadsheet keeps it: dates as dates, numbers as numbers."""
    try:
        return datetime.strptime(text, "%Y-%m-%d")  # noqa: DTZ007
    except ValueError:
        return float(text) if text.replace(".", "", 1).isdigit() else text or None


def sheet_of(book, name, text):
    import csv

    sheet = book.create_sheet(name)
    for line in csv.reader(io.StringIO(text)):
        sheet.append([cell_of(cell) for cell in line])
    return sheet


def as_workbook(folder, *names):  # noqa: F811
    """These files of the folder as the sheets of one workbook, in their place."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name in names:
        sheet_of(book, name.removesuffix(".csv"), GOOD[name])
        (folder / name).unlink()
    return book


def everything():
    """What is on record, without keys and instants of bringing in."""
    return {
        model.__name__: list(model.objects.order_by("pk").values())
        for model in (
            rows.User,
            rows.LevelRules,
            rows.Reading,
            rows.PaperPass,
            rows.Job,
            rows.Observation,
            rows.SignOff,
            rows.StandDown,
            rows.Lift,
            rows.Void,
            rows.Want,
            rows.Rota,
        )
    }


def without_keys(kept):
    return {
        name: [
            {
                key: value
                for key, value in row.items()
                if key != "password" and key != "id" and not key.endswith("_id")
            }
            for row in found
        ]
        for name, found in kept.items()
    }


def test_a_workbook_whose_sheets_are_the_files_brings_the_same(folder, tmp_path_factory):  # noqa: F811
    from django.db import transaction

    with transaction.atomic():
        assert bring(folder)[0]
        expected = without_keys(everything())
        transaction.set_rollback(True)
    as_workbook(folder, *CSV).save(folder / "our shop.xlsx")
    done, said, _ = bring(folder)
    assert done, said
    assert without_keys(everything()) == expected
    assert (
        "Worth knowing: our shop.xlsx, sheet people: read from the sheet people of a workbook."
        in said
    )
    assert list(faults()) == []


def test_one_workbook_for_each_file_and_a_workbook_by_itself(folder, tmp_path_factory):  # noqa: F811
    for name in ("people.csv", "jobs.csv"):
        book = as_workbook(folder, name)
        book.worksheets[0].title = "Table 1"
        book.save(folder / name.replace(".csv", ".xlsx"))
    other = tmp_path_factory.mktemp("other") / "rest.xlsx"
    as_workbook(folder, "rota.csv", "want.csv").save(other)
    done, said, _ = bring(folder, other)
    assert done, said
    assert rows.Job.objects.get().happened_on == date(2025, 2, 3)
    assert rows.Want.objects.get().mon == 1


def test_a_fault_in_a_sheet_is_told_by_workbook_sheet_row_and_column(folder):  # noqa: F811
    book = as_workbook(folder, "people.csv", "jobs.csv")
    book["people"]["D3"] = "boss"
    book["jobs"]["C2"] = datetime(2025, 2, 3, 10, 30)  # noqa: DTZ001
    book.create_sheet("Notes").append(["anything"])
    book.save(folder / "shop.xlsx")
    done, said, _ = bring(folder)
    assert not done
    assert (
        "shop.xlsx, sheet people, row 3, trade: 'boss' cannot be read; expected trainee, "
        "mechanic, senior or owner" in said
    )
    assert (
        "shop.xlsx, sheet jobs, row 2, on: '2025-02-03T10:30:00' cannot be read; expected a "
        "date such as 2026-11-25" in said
    )


def test_cells_of_other_kinds_are_read_as_what_they_show(folder):  # noqa: F811
    book = as_workbook(folder, "passes.csv", "jobs.csv")
    book["passes"]["D2"], book["passes"]["E2"] = 0.875, True
    book["passes"]["D2"].number_format = "0.0%"
    book["jobs"].insert_rows(2)
    book.create_sheet("Notes")
    book.save(folder / "shop.xlsx")
    done, said, _ = bring(folder)
    assert done, said
    kept = rows.PaperPass.objects.get()
    assert (kept.percent, kept.critical_right) == (Decimal("87.5"), True)
    assert (
        "Worth knowing: shop.xlsx, sheet Notes is no file of a delivery and was not read." in said
    )


def test_a_formula_that_nobody_worked_out_is_a_fault_and_no_empty_cell(folder):  # noqa: F811
    book = as_workbook(folder, "people.csv")
    book["people"]["F2"] = "=DATE(2026,1,1)"
    book.save(folder / "people.xlsx")
    told = (
        "people.xlsx, sheet people, row 2: the formula =DATE(2026,1,1) has no value yet; expected "
        "a workbook saved by a spreadsheet"
    )
    assert told in bring(folder)[1]


def test_a_cell_that_says_more_by_its_look_is_a_fault(folder):  # noqa: F811
    """An end of an appointment over two merged rows would else be the end of the first one only."""
    book = as_workbook(folder, "appointments.csv", "jobs.csv", "signoffs.csv")
    sheet = book["appointments"]
    sheet.append([cell.value for cell in sheet[2]])
    sheet["E2"] = date(2027, 1, 31)
    sheet.merge_cells("E2:E3")
    book["jobs"]["A2"].font = openpyxl.styles.Font(strike=True)
    book["signoffs"]["G2"] = "#REF!"
    book.save(folder / "shop.XLSX")
    said = bring(folder)[1]
    for told in (
        "appointments, row 2: the cells E2:E3 are merged, and “2027-01-31” may be for each of them",
        "jobs, row 2: “cai” in A2 is struck through; expected a cell that counts, or an empty one",
        "signoffs, row 2: G2 shows the error #REF!; expected a cell with a value, or an empty one",
    ):
        assert any(told in line for line in said), said


def test_a_file_that_is_there_twice_is_a_fault(folder):  # noqa: F811
    book = as_workbook(folder, "want.csv")
    write(folder, "want.csv", GOOD["want.csv"])
    book.save(folder / "shop.xlsx")
    assert (
        "shop.xlsx, sheet want: want.csv is in this folder already; expected each file once"
        in bring(folder)[1]
    )


@pytest.mark.parametrize("content", [b"", b"PK", b"not a zip", b"PK\x05\x06" + bytes(18)])
def test_what_is_no_workbook_is_a_fault(folder, content):  # noqa: F811
    write(folder, "people.xlsx", content)
    before = count_all()
    done, said, _ = bring(folder)
    assert not done
    assert said[-1].startswith("people.xlsx: the "), said
    assert said[-1].endswith("expected a workbook saved as .xlsx, without a password")
    assert count_all() == before


def test_a_workbook_that_was_damaged_on_its_way_is_a_fault(folder):  # noqa: F811
    as_workbook(folder, "people.csv").save(folder / "people.xlsx")
    with zipfile.ZipFile(folder / "people.xlsx") as parts:
        at = parts.getinfo("xl/worksheets/sheet1.xml").header_offset
    data = bytearray((folder / "people.xlsx").read_bytes())
    data[at + 80 : at + 110] = bytes(byte ^ 0x55 for byte in data[at + 80 : at + 110])
    write(folder, "people.xlsx", bytes(data))
    assert any(line.startswith("people.xlsx: the file is no workbook") for line in bring(folder)[1])


def test_a_zip_that_would_grow_without_end_is_not_unpacked(folder, monkeypatch):  # noqa: F811
    monkeypatch.setattr(limits, "MOST_UNPACKED", 1_000_000)
    with zipfile.ZipFile(folder / "people.xlsx", "w", zipfile.ZIP_DEFLATED) as parts:
        parts.writestr("xl/worksheets/sheet1.xml", b" " * 2_000_000)
    assert (folder / "people.xlsx").stat().st_size < 10_000
    assert (
        "people.xlsx: the workbook would unpack to more than 200 MB; expected a smaller "
        "workbook, or CSV files" in bring(folder)[1]
    )


def test_entities_in_the_xml_are_refused(folder):  # noqa: F811
    book = as_workbook(folder, "people.csv")
    book.save(folder / "good.xlsx")
    with (
        zipfile.ZipFile(folder / "good.xlsx") as good,
        zipfile.ZipFile(folder / "people.xlsx", "w") as bad,
    ):
        for part in good.infolist():
            text = good.read(part)
            if part.filename.endswith("sheet1.xml"):
                text = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "c">]>' + text
            bad.writestr(part, text)
    (folder / "good.xlsx").unlink()
    assert any("declares XML of its own making" in line for line in bring(folder)[1])


def test_a_sheet_without_end_is_refused(folder, monkeypatch):  # noqa: F811
    monkeypatch.setattr(limits, "MOST_ROWS", 3)
    book = as_workbook(folder, "people.csv")
    book.save(folder / "people.xlsx")
    assert any("row 4: the sheet is larger than 3 rows" in line for line in bring(folder)[1])
    monkeypatch.undo()
    book["people"].cell(2, 200, "far out")
    book.save(folder / "people.xlsx")
    assert any(
        "row 2: the sheet is larger than 300000 rows or 100 columns" in line
        for line in bring(folder)[1]
    )


# ---- CSV as spreadsheets write it


@pytest.mark.parametrize(
    ("encoding", "said"),
    [
        ("utf-8", ""),
        ("utf-8-sig", ""),
        ("utf-16", "people.csv: it is written in UTF-16."),
        (
            "cp1252",
            "people.csv: it is written in Windows-1252, the old code page; look at names with "
            "accents.",
        ),
    ],
)
@pytest.mark.parametrize("sign", [",", ";", "\t"])
def test_encodings_and_signs_of_spreadsheets_are_read_and_told(folder, encoding, said, sign):  # noqa: F811
    text = GOOD["people.csv"].replace(",Bo,", ",Björn “Bo” Ågren,").replace(",", sign)
    write(folder, "people.csv", text.encode(encoding))
    done, told, _ = bring(folder)
    assert done, told
    assert rows.User.objects.get(login="bo").name == "Björn “Bo” Ågren"
    about = [line.removeprefix("Worth knowing: ") for line in told if "people.csv" in line]
    parted = {
        ",": [],
        ";": ["people.csv: its cells are parted by semicolons."],
        "\t": ["people.csv: its cells are parted by tabs."],
    }
    assert about == [line for line in [said, *parted[sign]] if line]


def test_lists_in_quotes_stand_beside_semicolons(folder):  # noqa: F811
    text = GOOD["jobs.csv"].replace(
        'ring=prong,no,"first, watched"', '"ring=prong;bumper=none",no,"first; watched"'
    )
    head, _, rest = text.partition("\n")
    write(folder, "jobs.csv", head.replace(",", ";") + "\n" + rest.replace(",", ";"))
    assert bring(folder)[0]
    assert rows.Job.objects.get().variant == {"ring": "prong", "bumper": "none"}


def test_a_decimal_comma_is_read_and_told(folder):  # noqa: F811
    write(folder, "passes.csv", GOOD["passes.csv"].replace("87.5", '"87,5"'))
    done, said, _ = bring(folder)
    assert done
    assert rows.PaperPass.objects.get().percent == Decimal("87.5")
    assert "Worth knowing: passes.csv: decimal commas, as in 87,5, are read as 87.5." in said


@pytest.mark.parametrize("cell", ["1,000", "87,555", "8,7,5", ",5", "5,", "101,5", "1 000"])
def test_a_comma_that_may_part_thousands_is_refused(cell):
    with pytest.raises(Expected):
        read_percent(cell)


# ---- faults of their own


@pytest.mark.parametrize(
    "cell",
    [
        "2026-W48-3",
        "20261125",
        "2026-330",
        "2026-11-5",
        "2026-11-25 ",
        "２０２６-11-25",
        "2026-13-01",
    ],
)
def test_only_a_calendar_date_is_a_date(cell):
    """ISO 8601 also knows week dates, ordinal dates and the basic form; a folder's dates are one
    form, so that none is misread.
    """
    with pytest.raises(Expected):
        read_day(cell)


def test_two_logins_that_differ_in_capitals_only_are_a_fault(folder):  # noqa: F811
    write(folder, "people.csv", GOOD["people.csv"] + "Ada,Another,Main,mechanic,,\n")
    told = (
        "people.csv, row 5, login: 'Ada' differs from 'ada' only in capitals; expected logins "
        "that nobody takes for one another"
    )
    assert told in bring(folder)[1]


def test_a_row_with_too_few_cells_is_a_fault(folder):  # noqa: F811
    write(
        folder, "people.csv", GOOD["people.csv"].replace("senior,2024-01-01,", "senior,2024-01-01")
    )
    told = (
        "people.csv, row 3: there are 5 cells under 6 columns; expected one cell for each column; "
        "an empty one too"
    )
    assert told in bring(folder)[1]


def test_a_level_among_its_own_earlier_levels_is_a_fault(folder):  # noqa: F811
    write(folder, "levels.csv", GOOD["levels.csv"].replace("Lower legs,,", "Lower legs,lower,"))
    assert (
        "levels.csv, row 2, earlier: lower would have to be held before itself; expected "
        "levels in a row" in bring(folder)[1]
    )


def test_a_want_that_the_shop_has_already_is_a_fault(folder, tmp_path_factory):  # noqa: F811
    bring(folder)
    later = tmp_path_factory.mktemp("later")
    write(later, "want.csv", GOOD["want.csv"])
    assert (
        "want.csv, row 2, workshop: 'Main air' is there already; expected each one once"
        in bring(later)[1]
    )


def test_one_of_a_kind_is_told_in_the_singular(folder):  # noqa: F811
    said = bring(folder)[1][-1]
    assert said == (
        "Brought in: 3 people, 1 revision of a write-up, 2 levels, 1 appointment, 1 reading, "
        "1 quiz on paper, 1 job, "
        "1 observation, 3 sign-offs, 1 stand-down, 1 lifted stand-down, 1 void, 1 row of the "
        "rota, 1 absence, 1 want."
    )


# ---- how far it is


class Terminal(io.StringIO):
    def isatty(self):
        return True


def wait_for(text, terminal):
    until = time.monotonic() + 10
    while text not in terminal.getvalue():
        assert time.monotonic() < until, terminal.getvalue()
        time.sleep(0.005)


def test_progress_is_told_on_a_terminal_and_wiped_at_the_end(monkeypatch):
    monkeypatch.setattr(Progress, "PATIENCE", 0.0)
    monkeypatch.setenv("TERM", "xterm")
    terminal = Terminal()
    with Progress(OutputWrapper(terminal)) as tell:
        for told in ("row [10]", "row 2"):
            tell(told)
            wait_for(f"{told} ", terminal)
    # "Erase in line" of the whole line (ECMA-48, 8.3.41) is the last word, and no line stays above.
    assert terminal.getvalue().rstrip().endswith("\x1b[2K")
    assert terminal.getvalue().count("\n") <= 1


def test_what_takes_less_than_a_second_tells_nothing_of_progress():
    terminal = Terminal()
    with Progress(terminal) as tell:
        tell("row 1")
    assert terminal.getvalue() == ""


def test_nothing_of_progress_goes_into_a_file(folder, monkeypatch):  # noqa: F811
    told = []

    class Slow(Progress):
        PATIENCE = 0.0

        def __call__(self, text):
            told.append(text)
            super().__call__(text)

    monkeypatch.setattr("training.management.commands.bring.Progress", Slow)
    quiet = io.StringIO()
    call_command("bring", str(folder), check=True, stdout=io.StringIO(), stderr=quiet)
    assert quiet.getvalue() == ""
    assert {"Reading people.csv", "Writing job 1 of 1"} <= set(told)
