"""Does a shop's own list of names and services come in as it is?

What a messy list looks like is common practice, no source; the days are written as ISO 8601, as
DIN 5008 (12.05.2025) and as the two orders of the slash, of which only the list's owner knows
which is meant. Names and services are made up.
"""

import json
import unicodedata
from datetime import date

import pytest
from django.core.management import CommandError, call_command
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.utils import get_column_letter

from tests.for_each import for_each
from tests.training.factories import UserFactory, WorkshopFactory
from training.exchange.matrix.marks import DayOrder, MarkKind, read_mark
from training.exchange.matrix.meaning import Answers, Sheet, SheetCell, ShopSoFar
from training.exchange.matrix.understood import understand
from training.exchange.matrix.wording import say
from training.models import Level, SignOff, User, Workshop

TODAY = date(2026, 11, 29)


@for_each(
    [
        ("2025-05-12", MarkKind.DAY, [date(2025, 5, 12)]),
        ("2025-05-12T00:00:00", MarkKind.DAY, [date(2025, 5, 12)]),
        ("12.05.2025", MarkKind.DAY, [date(2025, 5, 12)]),
        ("12. 5. 25", MarkKind.DAY, [date(2025, 5, 12)]),
        ("12 May 2025", MarkKind.DAY, [date(2025, 5, 12)]),
        ("May 12, 2025", MarkKind.DAY, [date(2025, 5, 12)]),
        ("12-May-25", MarkKind.DAY, [date(2025, 5, 12)]),
        ("25/12/25", MarkKind.DAY, [date(2025, 12, 25)]),
        ("12/25/25", MarkKind.DAY, [date(2025, 12, 25)]),
        ("5/12/25", MarkKind.DAY, [date(2025, 12, 5), date(2025, 5, 12)]),
        ("5/5/25", MarkKind.DAY, [date(2025, 5, 5)]),
        ("x", MarkKind.UNDATED, []),
        (" X ", MarkKind.UNDATED, []),
        ("Yes", MarkKind.UNDATED, []),
        ("✓", MarkKind.UNDATED, []),
        ("signed off", MarkKind.UNDATED, []),
        ("", MarkKind.EMPTY, []),
        ("no", MarkKind.NOTHING, []),
        ("–", MarkKind.NOTHING, []),
        ("in training", MarkKind.NOTHING, []),
        ("31.02.2025", MarkKind.BAD, []),
        ("until 12.05.2025", MarkKind.BAD, []),
        ("12.05.2024 / 14.06.2025", MarkKind.BAD, []),
        ("05/2025", MarkKind.WORD, []),
        ("planned", MarkKind.WORD, []),
        ("0660 1234567", MarkKind.WORD, []),
        ("planned 12.05.2025", MarkKind.WORD, [date(2025, 5, 12)]),
        ("12.05.2025 (BM)", MarkKind.DAY, [date(2025, 5, 12)]),
        ("12.05.2025 NOK", MarkKind.WORD, [date(2025, 5, 12)]),
        ("12.05.2025 F", MarkKind.WORD, [date(2025, 5, 12)]),
        ("(x)", MarkKind.WORD, []),
        ("[x]", MarkKind.UNDATED, []),
        ("12.05.2025 ex", MarkKind.WORD, [date(2025, 5, 12)]),
        ("bis 12.05.2025", MarkKind.BAD, []),
        ("2025-05-12 10:30", MarkKind.DAY, [date(2025, 5, 12)]),
        ("2025-05-12T10:30:15.25Z", MarkKind.DAY, [date(2025, 5, 12)]),
        ("5/25/2025 9:05 PM", MarkKind.DAY, [date(2025, 5, 25)]),
    ]
)
def test_a_cell_says_a_day_a_mark_nothing_or_what_only_its_owner_knows(cell, kind, days):
    mark = read_mark(cell)
    assert (mark.kind, list(mark.days)) == (kind, days)


@given(st.dates(date(2000, 1, 1), date(2099, 12, 31)))
def test_a_day_is_the_same_however_it_is_written(day):
    for written in (f"{day:%d.%m.%Y}", f"{day.isoformat()}", f"{day:%d %B %Y}", f"{day:%d-%b-%y}"):
        assert read_mark(written).days == (day,)
    assert read_mark(f"{day:%d/%m/%Y}").in_order(DayOrder.DAY_FIRST) == day
    assert read_mark(f"{day:%m/%d/%y}").in_order(DayOrder.MONTH_FIRST) == day


@given(st.text(max_size=60))
def test_any_text_in_a_cell_is_something(text):
    assert read_mark(text).kind in MarkKind


# --- whole lists ---


@pytest.fixture
def owner(db):
    workshop = WorkshopFactory(name="Bench House", time_zone="Europe/Vienna")
    return UserFactory(login="odile", name="Odile Owner", trade="owner", workshop=workshop)


@pytest.fixture
def bring(tmp_path, owner, time_machine, capsys):
    """Write a list, bring it in by the command, and return the answer as JSON."""
    time_machine.move_to("2026-11-29T12:00:00+01:00", tick=False)

    def run(file, *, check=False, fails=False, **answers):
        told = tmp_path / "answers.yaml"
        told.write_text(json.dumps(answers, default=str), encoding="utf-8")  # JSON is YAML
        call = ["matrix", str(file), "--by", "odile", "--answers", str(told), "--format", "json"]
        if fails:
            with pytest.raises(CommandError):
                call_command(*call, *(["--check"] if check else []))
        else:
            call_command(*call, *(["--check"] if check else []))
        return json.loads(capsys.readouterr().out)

    return run


def csv_file(tmp_path, text, encoding="utf-8"):
    file = tmp_path / "list.csv"
    file.write_bytes(text.encode(encoding))
    return file


def signed():
    return {
        (row.person.name, row.level.name, row.happened_on.isoformat())
        for row in SignOff.objects.select_related("person", "level")
    }


def test_a_plain_list_comes_in_with_its_real_days(bring, tmp_path):
    file = csv_file(
        tmp_path,
        "Name,Lower-leg service,Air-spring service\n"
        "Mika Weld,2025-05-12,12.06.2026\n"
        "Tilda Reed,3 Mar 2026,\n"
        "Nele Oak,,\n",
    )
    told = bring(file, signed_by="odile")
    assert signed() == {
        ("Mika Weld", "lower-leg-service", "2025-05-12"),
        ("Mika Weld", "air-spring-service", "2026-06-12"),
        ("Tilda Reed", "lower-leg-service", "2026-03-03"),
    }
    assert all(row.founding and row.signer.login == "odile" for row in SignOff.objects.all())
    assert User.objects.get(name="Nele Oak").trade == "trainee"
    assert told["brought_in"] is True


def test_the_same_list_lying_on_its_side_means_the_same(bring, tmp_path):
    file = csv_file(
        tmp_path,
        "Service,Mika Weld,Tilda Reed\n"
        "Lower-leg service,2025-05-12,2026-03-03\n"
        "Air-spring service,2026-06-12,\n",
    )
    told = bring(file, signed_by="odile")
    assert told["names"] == "across"
    assert ("Tilda Reed", "lower-leg-service", "2026-03-03") in signed()
    assert len(signed()) == 3


def test_a_messy_workbook_comes_in(bring, tmp_path):
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.active
    sheet.title = "Who does what"
    for row in [
        ["Skills list of the shop, spring", None, None, None, None, None, None],
        [],
        [None, None, None, "Forks", None, None, "Shocks"],
        ["No.", None, "Mechanic", "Lower legs", "Air spring", None, "Air can"],
        [1, None, "Weld, Mika", date(2025, 5, 12), "x", None, "✓"],
        [2, None, "Tilda Reed", "yes", "no", None, None],
        [],
        ["", None, "Total", 2, 1, None, 1],
        [None, None, "x = signed off", None, None, None, None],
    ]:
        sheet.append(row)
    sheet.merge_cells("A1:G1")
    sheet.merge_cells("D3:E3")
    book.create_sheet("Phone list").append(["Mika", "0660 1234567"])
    file = tmp_path / "list.xlsx"
    book.save(file)
    told = bring(file, fails=True)
    assert {one["code"] for one in told["questions"]} == {"undated", "who-signed"}
    assert SignOff.objects.count() == 0
    told = bring(file, signed_by="odile", undated="2026-01-01")
    assert signed() == {
        ("Mika Weld", "lower-legs", "2025-05-12"),
        ("Mika Weld", "air-spring", "2026-01-01"),
        ("Mika Weld", "air-can", "2026-01-01"),
        ("Tilda Reed", "lower-legs", "2026-01-01"),
    }
    assert {one["code"] for one in told["left_out"]} >= {"title", "no-person", "other-sheet"}
    assert not User.objects.filter(name__in=["Total", "x = signed off"]).exists()


def odd_list(tmp_path, change):
    """A list of two people, with something that only the look of a cell says."""
    from openpyxl import Workbook

    book = Workbook()
    for row in [
        ["Who did what", None, None],
        ["Name", "Damper", "Air"],
        ["Mika Weld", date(2026, 5, 12), None],
        ["Tilda Reed", None, "x"],
    ]:
        book.active.append(row)
    book.active.merge_cells("A1:C1")
    change(book.active)
    book.save(tmp_path / "list.xlsx")
    return tmp_path / "list.xlsx"


def test_a_mark_over_merged_cells_is_not_taken_for_that_of_the_first(bring, tmp_path):
    file = odd_list(tmp_path, lambda sheet: sheet.merge_cells("B3:C3"))
    told = bring(file, fails=True, signed_by="odile", undated="2026-01-01")
    assert [one["text"] for one in told["faults"]] == [
        "The file cannot be read. Found: the cells B3:C3 are merged, and “2026-05-12” may be for "
        "each of them. Needed: a list without such cells."
    ]


def test_what_is_struck_through_signs_nobody_off(bring, tmp_path):
    from openpyxl.styles import Font

    def strike(sheet):
        sheet["B3"].font = Font(strike=True)

    told = bring(odd_list(tmp_path, strike), fails=True, signed_by="odile", undated="2026-01-01")
    assert "“2026-05-12” in B3 is struck through" in told["faults"][0]["text"]


def test_a_quote_that_is_not_closed_hides_nobody(bring, tmp_path):
    text = 'Name,Notes,Damper\nMika Weld,,2026-05-12\nTilda Reed,"24,2026-05-12\n'
    # more of them than the reader of the library takes into one cell, and fewer
    for more in (1, 8000):
        file = csv_file(tmp_path, text + "Nele Oak,,2026-05-12\n" * more)
        told = bring(file, fails=True, signed_by="odile")
        assert "line 3 has a quote" in told["faults"][0]["text"]


def test_names_with_marks_of_their_own_are_names(bring, tmp_path):
    """The accent behind its letter (Unicode, NFD), and a script that writes vowels as marks."""
    names = [unicodedata.normalize("NFD", "Zoë Wéld"), "राम कुमार"]
    bring(
        csv_file(tmp_path, f"Name,Damper\n{names[0]},2026-05-12\n{names[1]},\n"), signed_by="odile"
    )
    assert set(User.objects.exclude(login="odile").values_list("name", flat=True)) == {
        "Zoë Wéld",
        "राम कुमार",
    }


def test_a_name_in_two_columns_and_a_day_beside_its_mark_are_each_one(bring, tmp_path):
    text = (
        ",,Forks,,Shocks,\nSurname,First name,Done,Date,Done,Date\n"
        "Weld,Mika,x,2026-05-12,,\nReed,Tilda,,,x,\nOak,Mika,,,,13.05.2026\n"
    )
    file = csv_file(tmp_path, text)
    told = bring(file, fails=True, signed_by="odile", undated="2026-01-01")
    # a day without its mark is asked, and taken for no sign-off before
    assert [(one["code"], one["cells"]) for one in told["questions"]] == [("what-means", ["E5"])]
    assert told["faults"] == told["left_out"] == []
    bring(file, signed_by="odile", undated="2026-01-01", words={"-": "nothing"})
    assert signed() == {
        ("Mika Weld", "forks-done", "2026-05-12"),
        ("Tilda Reed", "shocks-done", "2026-01-01"),
    }
    assert User.objects.filter(name="Mika Oak").exists()


def test_a_head_of_names_over_two_rows_of_heads_hides_no_service(bring, tmp_path):
    text = (
        "Name,Fork,,,Shock,\n,Air,Damper,Legs,Can,Bushing\n"
        "Mika Weld,2026-05-12,,,,\nTilda Reed,,2026-05-13,,2026-05-14,x\n"
    )
    told = bring(csv_file(tmp_path, text), signed_by="odile", undated="2026-01-01")
    assert told["left_out"] == []
    assert signed() == {
        ("Mika Weld", "air", "2026-05-12"),
        ("Tilda Reed", "damper", "2026-05-13"),
        ("Tilda Reed", "can", "2026-05-14"),
        ("Tilda Reed", "bushing", "2026-01-01"),
    }


@pytest.mark.parametrize(
    ("head", "first", "second"),
    [
        ("Role", "mechanic", "senior"),
        ("Location", "Bench House", "Bench House"),
        ("Login", "mika", "tilda"),
        ("Team", "green", "red"),
    ],
)
def test_the_column_of_names_need_not_be_the_first_one_of_words(
    bring, tmp_path, head, first, second
):
    text = (
        f"{head},Name,Damper,Air\n{first},Mika Weld,2026-05-12,\n"
        f"{second},Tilda Reed,2026-05-13,2026-05-14\n"
    )
    bring(csv_file(tmp_path, text), signed_by="odile")
    assert signed() == {
        ("Mika Weld", "damper", "2026-05-12"),
        ("Tilda Reed", "damper", "2026-05-13"),
        ("Tilda Reed", "air", "2026-05-14"),
    }


def test_days_that_are_for_no_one_service_are_told(bring, tmp_path):
    text = "Name,Damper,Air,Date\nMika Weld,x,x,2026-05-12\n"
    told = bring(csv_file(tmp_path, text), signed_by="odile", undated="2026-01-01")
    assert [(one["code"], one["cells"]) for one in told["left_out"]] == [("column-of-days", ["D1"])]


def test_a_column_of_last_days_signs_nobody_off(bring, tmp_path):
    text = "Name,Damper,Damper until\nMika Weld,2024-05-12,2026-05-12\n"
    told = bring(csv_file(tmp_path, text), signed_by="odile")
    assert [one["code"] for one in told["left_out"]] == ["column-of-ends"]
    assert signed() == {("Mika Weld", "damper", "2024-05-12")}


def test_a_new_workshop_is_told_and_has_the_time_zone_of_the_owners(bring, tmp_path):
    file = csv_file(tmp_path, "Name,Workshop,Damper\nMika Weld,North,2026-05-12\n")
    assert "1 workshop is new: North." in bring(file, signed_by="odile")["follows"]["texts"]
    assert Workshop.objects.get(name="North").time_zone == "Europe/Vienna"


def test_what_the_records_do_not_take_is_told_by_its_cell(bring, tmp_path):
    text = "Name,Started,Left,Damper\nMika Weld,2025-01-01,2024-01-01,2026-05-12\n"
    with pytest.raises(CommandError, match=r"^A2: 2024-01-01 is before started, 2025-01-01"):
        bring(csv_file(tmp_path, text), signed_by="odile")


def ods_file(tmp_path, look):
    """An .ods with a day and a mark; `look` are further attributes of the cell with the day."""
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.style import Style, TextProperties
    from odf.table import CoveredTableCell, Table, TableCell, TableRow
    from odf.text import P

    document = OpenDocumentSpreadsheet()
    struck = Style(name="Struck", family="table-cell")
    struck.addElement(TextProperties(textlinethroughstyle="solid"))
    document.automaticstyles.addElement(struck)
    table = Table(name="List")
    for line in [
        ["Who", "Damper", "Air"],
        ["Mika Weld", date(2026, 5, 12), None],
        ["Tilda Reed", "x", "no"],
    ]:
        row = TableRow()
        for value in line:
            if value is None:
                cell = CoveredTableCell() if "numbercolumnsspanned" in look else TableCell()
            elif isinstance(value, date):
                said = {"valuetype": "date", "datevalue": value.isoformat()}
                cell = TableCell(**({} if "formula" in look else said), **look)
            else:
                cell = TableCell(valuetype="string")
                cell.addElement(P(text=value))
            row.addElement(cell)
        table.addElement(row)
    document.spreadsheet.addElement(table)
    document.save(str(tmp_path / "list.ods"))
    return tmp_path / "list.ods"


def test_an_open_document_spreadsheet_comes_in(bring, tmp_path):
    bring(ods_file(tmp_path, {}), signed_by="odile", undated="2026-01-02")
    assert signed() == {
        ("Mika Weld", "damper", "2026-05-12"),
        ("Tilda Reed", "damper", "2026-01-02"),
    }


@pytest.mark.parametrize(
    ("look", "said"),
    [
        ({"numbercolumnsspanned": 2}, "the cells B2:C2 are merged, and “2026-05-12” may be for"),
        ({"stylename": "Struck"}, "“2026-05-12” in B2 is struck through"),
        ({"formula": "of:=TODAY()"}, "the formula in B2 has no value yet"),
    ],
)
def test_what_only_the_look_of_its_cells_says_is_told_too(bring, tmp_path, look, said):
    told = bring(ods_file(tmp_path, look), fails=True, signed_by="odile", undated="2026-01-02")
    assert said in told["faults"][0]["text"]


def test_an_old_code_page_and_semicolons_are_read(bring, tmp_path):
    file = csv_file(tmp_path, "Name;Damper\nJürgen Groß;12.05.2025\nZoë Ny;\n", "cp1252")
    bring(file, signed_by="odile")
    assert signed() == {("Jürgen Groß", "damper", "2025-05-12")}


def test_which_number_is_the_day_is_asked_only_where_the_list_does_not_show_it(bring, tmp_path):
    file = csv_file(tmp_path, "Name,Damper\nMika Weld,5/12/25\n")
    told = bring(file, fails=True, signed_by="odile")
    assert [(one["code"], one["cells"], one["answer"]) for one in told["questions"]] == [
        ("day-order", ["B2"], "day_order")
    ]
    told = bring(file, check=True, signed_by="odile", day_order="month first")
    assert told["sign_offs"][0]["on"] == "2025-05-12"
    told = bring(file, check=True, signed_by="odile", day_order="day first")
    assert told["sign_offs"][0]["on"] == "2025-12-05"
    shown = csv_file(tmp_path, "Name,Damper\nMika Weld,5/12/25\nTilda Reed,25/11/25\n")
    told = bring(shown, check=True, signed_by="odile")
    assert told["sign_offs"][0]["on"] == "2025-12-05"


def test_an_order_that_the_list_contradicts_is_refused(bring, tmp_path):
    file = csv_file(tmp_path, "Name,Damper\nMika Weld,5/12/25\nTilda Reed,25/11/25\n")
    told = bring(file, fails=True, signed_by="odile", day_order="month first")
    assert [(one["code"], one["cells"]) for one in told["faults"]] == [("other-order", ["B3"])]


def test_a_head_that_looks_like_a_level_of_the_shop_is_asked(bring, tmp_path):
    bring(csv_file(tmp_path, "Name,Damper service\nMika Weld,2026-05-12\n"), signed_by="odile")
    file = csv_file(tmp_path, "Name,Damper\nTilda Reed,2026-05-13\n")
    told = bring(file, fails=True, signed_by="odile")
    assert [one["code"] for one in told["questions"]] == ["which-level"]
    bring(file, signed_by="odile", levels={"Damper": "damper-service"})
    assert Level.objects.count() == 1
    other = csv_file(tmp_path, "Name,Damper\nTilda Reed,2026-05-14\n")
    bring(other, signed_by="odile", levels={"Damper": "open-bath"})
    assert ("Tilda Reed", "open-bath", "2026-05-14") in signed()


def test_a_word_is_asked_and_its_answer_holds_for_all_its_cells(bring, tmp_path):
    file = csv_file(tmp_path, "Name,Damper,Air\nMika Weld,green,2026-05-12\nTilda Reed,Green,x\n")
    told = bring(file, fails=True, signed_by="odile", undated="2026-05-01")
    assert [(one["code"], one["cells"]) for one in told["questions"]] == [
        ("what-means", ["B2", "B3"])
    ]
    bring(file, signed_by="odile", undated="2026-05-01", words={"green": "nothing"})
    assert {level for _, level, _ in signed()} == {"air"}


def test_a_list_brought_in_twice_signs_nothing_twice_and_revives_nothing(bring, tmp_path):
    file = csv_file(tmp_path, "Name,Damper\nMika Weld,2026-05-12\nTilda Reed,x\n")
    bring(file, signed_by="odile", undated="2026-05-01")
    told = bring(file, signed_by="odile", undated="2026-05-01")
    assert SignOff.objects.count() == 2
    assert {one["code"] for one in told["left_out"]} == {"on-record"}


def test_what_would_follow_is_said_before_it_is_kept(bring, tmp_path):
    file = csv_file(tmp_path, "Name,Damper\nMika Weld,2025-05-12\nTilda Reed,2026-05-12\n")
    told = bring(file, check=True, signed_by="odile")
    # 4 jobs in 12 months are asked; a sign-off within them counts as current
    assert told["follows"]["not_alone"] == {"out-of-practice": 1}
    assert told["follows"]["alone"] == 1
    assert [text.partition(" ")[0] for text in told["follows"]["texts"]] == ["2", "1", "1"]
    assert told["brought_in"] is False
    assert not SignOff.objects.exists()
    assert not User.objects.filter(name="Mika Weld").exists()
    told = bring(file, check=True, signed_by="odile", practice_from="2026-11-29")
    assert told["follows"]["not_alone"] == {}


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("Name,Damper\nMika Weld,2027-01-01\n", "in-the-future"),
        ("Name,Damper\nMika Weld,12.05.1925\n", "too-long-ago"),
        ("Name,Damper\nMika Weld,25-12-05\n", "year-first"),
        ("Name,Damper\nMika Weld,31.02.2026\n", "no-such-day"),
        ("Name,Damper\nMika Weld,valid until 12.05.2027\n", "an-end"),
        ("Name,Damper\nMika Weld,2026-05-12\nWeld Mika,\nMika Weld,\n", "name-twice"),
        ("Name,Damper\nMika Weld,\n", "no-marks"),
        ("Name,Role,Damper\nMika Weld,wizard,2026-05-12\n", "no-such-role"),
        ("Name,Damper,Damper\nMika Weld,2026-05-12,2026-05-13\n", "level-twice"),
    ],
)
def test_what_is_wrong_is_told_with_its_cell_and_nothing_comes_in(bring, tmp_path, text, code):
    told = bring(csv_file(tmp_path, text), fails=True, signed_by="odile")
    assert code in {one["code"] for one in told["faults"]}
    assert all(one["cells"] for one in told["faults"] if code != "no-marks")
    assert not SignOff.objects.exists()
    assert User.objects.count() == 1


def test_whoever_owns_nothing_brings_nothing(bring, tmp_path, owner):
    UserFactory(login="bo", trade="senior", workshop=owner.workshop)
    file = csv_file(tmp_path, "Name,Damper\nMika Weld,2026-05-12\n")
    with pytest.raises(CommandError, match="not an owner"):
        call_command("matrix", str(file), "--by", "bo")
    told = bring(file, fails=True, signed_by="bo")
    assert [one["code"] for one in told["faults"]] == ["signer-no-owner"]


@given(
    st.lists(
        st.lists(
            st.sampled_from(["x", "Name", "12.05.2025", "", "Air", "5/12/25", "=1", "Mika W"]),
            min_size=1,
            max_size=6,
        ),
        max_size=8,
    )
)
def test_any_table_is_understood_or_told_wrong(rows):
    width = max((len(row) for row in rows), default=0)
    cells = tuple(
        tuple(
            SheetCell(f"{get_column_letter(at + 1)}{number}", row[at] if at < len(row) else "")
            for at in range(width)
        )
        for number, row in enumerate(rows, 1)
    )
    known = ShopSoFar(
        {"odile": "Odile Owner"}, {}, frozenset({"odile"}), "W", frozenset({"W"}), TODAY
    )
    sheets = [Sheet("one", cells)] if width else []
    found = understand(sheets, known, Answers(signed_by="odile", undated=TODAY))
    assert all(say(one) for one in (*found.questions, *found.faults, *found.left_out))
    assert len({one.login for one in found.people if one.is_new}) == len(
        [one for one in found.people if one.is_new]
    )
