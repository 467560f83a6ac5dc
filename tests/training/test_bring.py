"""Does a folder of records come in whole or not at all, with every fault told by file, row and
column?
"""

import io
import random
from datetime import UTC, date, datetime

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from training import models as rows
from training.records.keeping import faults
from training.reports.who_may import LevelAsked, who_may

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
WRITEUP = (
    "---\ntitle: Air spring\nvariants: {ring: [eyelet, prong]}\nreleased: 2025-01-06\nasks: "
    "nothing\n---\n## Work\n\n### Do it {#do-it}\nonly if: ring = prong\n\nDo it.\n"
)
GOOD = {
    "people.csv": "login,name,workshop,trade,started,left\nada,Ada,Main,owner,2024-01-01,\n"
    "bo,Bo,Main,senior,2024-01-01,\ncai,Cai,Main,mechanic,2024-01-01,2026-12-31\n",
    "levels.csv": "level,title,earlier,writeups,valid_months,practice_jobs,practice_months,"
    "watched_jobs,observations,pass_percent,grace_days,watched_per_option,observers\n"
    "lower,Lower "
    "legs,,air-spring,24,,,,,,,,\nair,Air spring,lower,air-spring,24,1,12,1,1,80,14,yes,1\n",
    "appointments.csv": "login,level,by,from,until\nbo,air,ada,2025-01-01,\n",
    "readings.csv": "login,writeup,revision,on,recorded_at\n"
    "cai,air-spring,1,2025-02-01,2025-02-01T10:00:00Z\n",
    "passes.csv": "login,level,on,percent,critical_right,recorded_at\n"
    "cai,air,2025-02-02,87.5,yes,2025-02-02T11:00:00+01:00\n",
    "jobs.csv": "login,level,on,watched_by,variant,came_back,note\n"
    'cai,air,2025-02-03,bo,ring=prong,no,"first, '
    'watched"\n',
    "observations.csv": "login,level,on,observer,right,note\ncai,air,2025-02-04,bo,yes,\n",
    "signoffs.csv": "login,level,on,signed_by,variants,founding,note\n"
    "bo,air,2025-01-02,ada,*,yes,paper\nbo,lower,2025-01-02,ada,*,yes,paper\n"
    "cai,air,2025-02-05,bo,ring=prong|eyelet,no,\n",
    "standdowns.csv": "login,level,from,by,reason,lifted_on,lifted_by\ncai,*,2025-03-01,ada,ring "
    "out,2025-03-10,ada\n",
    "rota.csv": "login,workshop,mon,tue,wed,thu,fri,sat,sun,from,until\n"
    "bo,Main,yes,yes,yes,yes,no,no,no,,\n",
    "absences.csv": "login,from,until,why\nbo,2026-12-24,2026-12-31,holidays\n",
    "want.csv": "workshop,level,mon,tue,wed,thu,fri,sat,sun\nMain,air,1,1,1,1,1,0,0\n",
    "voids.csv": "kind,login,about,on,by,reason\njob,cai,air,2025-02-03,ada,another fork\n",
    "writeups/air-spring.md": WRITEUP,
}
pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _now(time_machine):
    time_machine.move_to(NOW, tick=False)


@pytest.fixture
def folder(tmp_path):
    for name, text in GOOD.items():
        write(tmp_path, name, text)
    return tmp_path


def write(folder, name, text):
    path = folder / name
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(text if isinstance(text, bytes) else text.encode())


def bring(*folders, **more):
    out, err = io.StringIO(), io.StringIO()
    try:
        call_command("bring", *map(str, folders), stdout=out, stderr=err, **more)
    except CommandError as error:
        return False, err.getvalue().splitlines(), str(error)
    return True, out.getvalue().splitlines(), ""


def count_all():
    """How many rows each table holds, asked in one query."""
    tables = [
        model._meta.db_table
        for app in ("procedures", "quizzes", "training")
        for model in apps.get_app_config(app).get_models()
    ]
    counted = ", ".join(f'(SELECT COUNT(*) FROM "{table}")' for table in tables)
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {counted}")
        return dict(zip(tables, cursor.fetchone(), strict=True))


def test_a_good_folder_comes_in_whole(folder):
    done, said, _ = bring(folder)
    assert done, said
    assert "3 people" in said[-1]
    assert rows.SignOff.objects.get(person__login="cai").limits == {"ring": ["prong", "eyelet"]}
    assert rows.Job.objects.get().note == "first, watched"
    assert rows.Lift.objects.get().happened_on == date(2025, 3, 10)
    assert rows.Level.objects.get(name="air").rules.get().watched_per_option is True
    assert list(faults()) == []


def test_without_an_instant_the_time_of_bringing_in_counts(folder):
    bring(folder)
    assert rows.Job.objects.get().recorded_at == NOW
    assert rows.Reading.objects.get().recorded_at == datetime(2025, 2, 1, 10, tzinfo=UTC)
    assert rows.PaperPass.objects.get().recorded_at == datetime(2025, 2, 2, 10, tzinfo=UTC)


def test_a_byte_order_mark_and_windows_line_ends_are_read(folder):
    write(folder, "people.csv", b"\xef\xbb\xbf" + GOOD["people.csv"].replace("\n", "\r\n").encode())
    assert bring(folder)[0]


@pytest.mark.parametrize("mark", ["\u2028", "\u2029", "\x85", "\x0b", "\x0c", "\x1c"])
def test_only_a_line_end_ends_a_row(folder, mark):
    """RFC 4180, section 2: records are parted by line breaks, CRLF; other marks of the text are
    part of a cell.
    """
    write(
        folder,
        "jobs.csv",
        GOOD["jobs.csv"]
        + f"cai,air,2025-02-05,bo,,no,torn{mark}apart\ncai,air,2025-02-30,bo,,no,\n",
    )
    assert bring(folder)[1] == [
        "jobs.csv, row 4, on: '2025-02-30' cannot be read; expected a date such as 2026-11-25"
    ]
    write(folder, "jobs.csv", GOOD["jobs.csv"] + f"cai,air,2025-02-05,bo,,no,torn{mark}apart\n")
    assert bring(folder)[0]
    assert rows.Job.objects.order_by("pk").last().note == "torn apart"


ODD = (
    " ",
    "x",
    "-1",
    "0",
    "1200",
    "999999",
    "2026-02-30",
    "9999-12-31",
    "0001-01-01",
    "yes",
    "*",
    "ring=prong",
    "ring=",
    "=",
    "|",
    ";",
    "ring=prong;ring=eyelet",
    "\ufeff",
    "\u0661",
    "1e3",
    "NaN",
    "x" * 300,
    "ada",
    "air",
    "air;lower",
    '"',
    "'",
    "\U0001f600",
    "Main",
    "0001-01-01T00:00:00Z",
    "9999-12-31T23:59:59+00:00",
    "2025-01-01T00:00:00+23:59",
    "air-spring",
    "\u2028",
)


@pytest.mark.parametrize("file", sorted(name for name in GOOD if name.endswith(".csv")))
def test_whatever_stands_in_a_cell_it_comes_in_or_is_told(folder, file):
    """Every column in turn, a few odd cells each: no failure, and never half a delivery. The
    drawing is the same every time.
    """
    drawn = random.Random(file)
    lines = GOOD[file].splitlines()
    before = count_all()
    for place, column in enumerate(lines[0].split(",")):
        for odd in drawn.sample(ODD, 3):
            cells = lines[-1].split(",")
            cells[place : place + 1] = [odd]
            write(folder, file, "\n".join([*lines[:-1], ",".join(cells)]) + "\n")
            done, said, _ = bring(folder, check=True)
            assert said, (column, odd)
            assert done or all(": " in line for line in said), (column, odd, said)
            assert count_all() == before


def test_checking_writes_nothing(folder):
    before = count_all()
    done, said, _ = bring(folder, check=True)
    assert done
    assert said[-1].startswith("Checked only; would bring in: 3 people")
    assert count_all() == before


def test_checking_a_faulty_folder_tells_the_same_faults(folder):
    write(folder, "people.csv", GOOD["people.csv"].replace("senior,2024", "boss,2024"))
    assert bring(folder, check=True)[:2] == bring(folder)[:2]


def test_several_folders_are_one_delivery(folder, tmp_path_factory):
    other = tmp_path_factory.mktemp("other")
    for name in ("people.csv", "writeups/air-spring.md"):
        write(other, name, GOOD[name])
        (folder / name).unlink()
    assert bring(other, folder)[0]
    assert list(faults()) == []


def test_a_file_in_two_of_the_folders_is_a_fault(folder, tmp_path_factory):
    other = tmp_path_factory.mktemp("other")
    write(other, "writeups/air-spring.md", GOOD["writeups/air-spring.md"])
    write(other, "people.csv", GOOD["people.csv"])
    done, said, _ = bring(folder, other)
    assert not done
    assert "air-spring.md: the file is in two of the folders; expected each file once" in said
    assert "people.csv, row 2, login: 'ada' is there already; expected each one once" in said


def test_what_came_in_is_known_from_its_own_instant_on(folder):
    bring(folder)
    known_at = [datetime(2025, 2, 1, 9, 59, tzinfo=UTC), datetime(2025, 2, 1, 10, tzinfo=UTC)]
    told = who_may([LevelAsked("air", date(2025, 2, 1), at, {}) for at in known_at], person="cai")
    codes = [{reason["code"] for reason in answer["people"][0]["reasons"]} for answer in told]
    assert codes[0] - codes[1] == {"not-read"}
    assert not codes[1] - codes[0]


@pytest.mark.parametrize("file", sorted(name for name in GOOD if name.endswith(".csv")))
def test_a_file_with_nothing_but_its_header_holds_nothing_up(folder, file):
    if file in {"people.csv", "levels.csv"}:
        for name in GOOD:
            if name.endswith(".csv") and name != file:
                (folder / name).unlink()
    write(folder, file, GOOD[file].splitlines()[0] + "\n\n")
    done, said, _ = bring(folder)
    assert done, said


def test_a_second_delivery_builds_on_the_first(folder, tmp_path_factory):
    bring(folder)
    later = tmp_path_factory.mktemp("later")
    write(later, "jobs.csv", GOOD["jobs.csv"])
    write(later, "writeups/air-spring.r2.md", WRITEUP)
    assert bring(later)[0]
    assert rows.Job.objects.count() == 2
    assert list(faults()) == []


def test_a_folder_is_not_brought_twice(folder):
    bring(folder)
    done, said, _ = bring(folder)
    assert not done
    assert "people.csv, row 2, login: 'ada' is there already; expected each one once" in said


# file, what is put in place of what, the one line that is told
FAULTS = [
    (
        "people.csv",
        "senior,2024",
        "boss,2024",
        "people.csv, row 3, trade: 'boss' cannot be read; expected trainee, mechanic, senior "
        "or owner",
    ),
    (
        "people.csv",
        "2026-12-31",
        "31.12.2026",
        "people.csv, row 4, left: '31.12.2026' cannot be read; expected a date such as 2026-11-25",
    ),
    (
        "people.csv",
        "2026-12-31",
        "2023-12-31",
        "people.csv, row 4, left: 2023-12-31 is before started, 2024-01-01; expected a later day",
    ),
    (
        "people.csv",
        "bo,Bo,",
        "bo,,",
        "people.csv, row 3, name: the cell is empty; expected some text",
    ),
    (
        "levels.csv",
        "24,1,12",
        ",1,12",
        "levels.csv, row 3, valid_months: this must be there; expected how many months a "
        "sign-off is valid, 1 to 1200",
    ),
    (
        "levels.csv",
        ",80,14",
        ",180,14",
        "levels.csv, row 3, pass_percent: this is more than everything; expected a percentage "
        "from 0 to 100",
    ),
    (
        "levels.csv",
        "Lower legs,,",
        "Lower legs,air,",
        "levels.csv, row 2, earlier: lower would have to be held before itself; expected "
        "levels in a row",
    ),
    (
        "levels.csv",
        "Air spring,lower,",
        "Air spring,upper,",
        "levels.csv, row 3, earlier: 'upper' is not known; expected a level in levels.csv or "
        "in the shop",
    ),
    (
        "appointments.csv",
        "2025-01-01,",
        "2025-01-01,2024-12-31",
        "appointments.csv, row 2, until: 2024-12-31 is before from, 2025-01-01; expected a "
        "later day",
    ),
    (
        "readings.csv",
        "air-spring,1",
        "air-spring,3",
        "readings.csv, row 2, revision: air-spring has no revision 3; expected one of 1",
    ),
    (
        "readings.csv",
        "air-spring,1",
        "damper,1",
        "readings.csv, row 2, writeup: 'damper' is not known; expected a write-up in "
        "writeups/ or in the shop",
    ),
    (
        "readings.csv",
        "10:00:00Z",
        "10:00:00",
        "readings.csv, row 2, recorded_at: '2025-02-01T10:00:00' cannot be read; expected an "
        "instant with its offset, such as 2026-11-25T09:30:00Z or 2026-11-25T10:30:00+01:00",
    ),
    (
        "passes.csv",
        "87.5",
        "101",
        "passes.csv, row 2, percent: '101' cannot be read; expected a percentage from 0 to "
        "100, with two places at most",
    ),
    (
        "passes.csv",
        "87.5",
        "most",
        "passes.csv, row 2, percent: 'most' cannot be read; expected a percentage from 0 to "
        "100, such as 85 or 87.5",
    ),
    (
        "passes.csv",
        "yes",
        "nearly",
        "passes.csv, row 2, critical_right: 'nearly' cannot be read; expected yes or no",
    ),
    (
        "jobs.csv",
        "cai,air,2025-02-03,bo",
        "cai,air,2025-02-03,zoe",
        "jobs.csv, row 2, watched_by: 'zoe' is not known; expected somebody in people.csv or "
        "in the shop",
    ),
    (
        "jobs.csv",
        "ring=prong",
        "prong",
        "jobs.csv, row 2, variant: 'prong' cannot be read; expected options such as "
        "ring=prong;bumper=none",
    ),
    (
        "signoffs.csv",
        "bo,air,2025-01-02,ada,*,",
        "bo,air,2025-01-02,ada,,",
        "signoffs.csv, row 2, variants: the cell is empty; expected * or options such as "
        "ring=prong|eyelet",
    ),
    (
        "signoffs.csv",
        "ring=prong|eyelet",
        "ring=prong|",
        "signoffs.csv, row 4, variants: 'ring=prong|' cannot be read; expected * or options "
        "such as ring=prong|eyelet",
    ),
    (
        "standdowns.csv",
        "2025-03-10,ada",
        ",ada",
        "standdowns.csv, row 2, lifted_on: the day of lifting is missing; expected a date, or "
        "no lifting at all",
    ),
    (
        "people.csv",
        "bo,Bo",
        "-bo,Bo",
        "people.csv, row 3, login: '-bo' cannot be read; expected a login of up to 60 "
        "letters, digits, points and hyphens, such as first.mechanic",
    ),
    (
        "people.csv",
        "bo,Bo,",
        f"bo,{'B' * 121},",
        f"people.csv, row 3, name: '{'B' * 121}' cannot be read; expected 120 characters at most",
    ),
    (
        "levels.csv",
        "Air spring,lower",
        f"{'A' * 201},lower",
        f"levels.csv, row 3, title: '{'A' * 201}' cannot be read; expected 200 characters at most",
    ),
    (
        "levels.csv",
        "Air spring,lower,air-spring",
        "Air spring,lower,damper",
        "levels.csv, row 3, writeups: 'damper' is not known; expected a write-up in writeups/ "
        "or in the shop",
    ),
    (
        "levels.csv",
        "24,1,12",
        "24,-1,12",
        "levels.csv, row 3, practice_jobs: '-1' cannot be read; expected a whole number from 0 on",
    ),
    (
        "appointments.csv",
        "bo,air",
        "bo,damper",
        "appointments.csv, row 2, level: 'damper' is not known; expected a level in "
        "levels.csv or in the shop",
    ),
    (
        "appointments.csv",
        "air,ada",
        "air,zoe",
        "appointments.csv, row 2, by: 'zoe' is not known; expected somebody in people.csv or "
        "in the shop",
    ),
    (
        "readings.csv",
        "10:00:00Z",
        "10:00:00Z,more",
        "readings.csv, row 2: there are 6 cells under 5 columns; expected one cell for each "
        "column; put text with commas in quotes",
    ),
    (
        "readings.csv",
        "2025-02-01T10:00:00Z",
        "0001-01-01T00:00:00+23:59",
        "readings.csv, row 2, recorded_at: '0001-01-01T00:00:00+23:59' cannot be read; "
        "expected an instant with its offset, such as 2026-11-25T09:30:00Z or "
        "2026-11-25T10:30:00+01:00",
    ),
    (
        "passes.csv",
        "87.5",
        "-0",
        "passes.csv, row 2, percent: '-0' cannot be read; expected a percentage from 0 to "
        "100, such as 85 or 87.5",
    ),
    (
        "passes.csv",
        "87.5",
        "87.555",
        "passes.csv, row 2, percent: '87.555' cannot be read; expected a percentage from 0 to "
        "100, with two places at most",
    ),
    (
        "passes.csv",
        "percent,critical_right",
        "percent,percent",
        "passes.csv, row 1, percent: the column is there twice; expected each column once",
    ),
    (
        "observations.csv",
        "2025-02-04",
        "2025-02-30",
        "observations.csv, row 2, on: '2025-02-30' cannot be read; expected a date such as "
        "2026-11-25",
    ),
    (
        "signoffs.csv",
        "cai,air,2025-02-05,bo",
        "cai,air,2025-02-05,zoe",
        "signoffs.csv, row 4, signed_by: 'zoe' is not known; expected somebody in people.csv "
        "or in the shop",
    ),
    (
        "standdowns.csv",
        "2025-03-10",
        "2025-02-28",
        "standdowns.csv, row 2, lifted_on: 2025-02-28 is before from, 2025-03-01; expected a "
        "later day",
    ),
    (
        "standdowns.csv",
        "ring out",
        "",
        "standdowns.csv, row 2, reason: the cell is empty; expected some text",
    ),
    (
        "rota.csv",
        "bo,Main,yes",
        "bo,Elsewhere,yes",
        "rota.csv, row 2, workshop: 'Elsewhere' is not known; expected a workshop in "
        "people.csv or in the shop",
    ),
    (
        "voids.csv",
        "cai,air",
        "cai,damper",
        "voids.csv, row 2, about: 'damper' is not known; expected a level in levels.csv or in "
        "the shop",
    ),
    (
        "voids.csv",
        "job,cai,air,",
        "reading,cai,air,",
        "voids.csv, row 2, about: 'air' is not known; expected a write-up in writeups/ or in "
        "the shop",
    ),
    (
        "voids.csv",
        "job,cai",
        "jobs,cai",
        "voids.csv, row 2, kind: 'jobs' cannot be read; expected signoff, job, reading, pass "
        "or observation",
    ),
    (
        "want.csv",
        "air,1,1",
        "air,one,1",
        "want.csv, row 2, mon: 'one' cannot be read; expected a whole number from 0 on",
    ),
    (
        "observations.csv",
        "observer,right",
        "watcher,right",
        "observations.csv, row 1, observer: the column is missing; expected the columns "
        "login, level, on, observer, right",
    ),
    (
        "jobs.csv",
        "came_back,note",
        "note,note",
        "jobs.csv, row 1, came_back: the column is missing; expected the columns login, "
        "level, on, watched_by, variant, came_back",
    ),
    (
        "jobs.csv",
        '"first, watched"',
        "first, watched",
        "jobs.csv, row 2: there are 8 cells under 7 columns; expected one cell for each "
        "column; put text with commas in quotes",
    ),
    (
        "jobs.csv",
        '"first, watched"',
        '"first',
        "jobs.csv, row 2: the row cannot be read (unexpected end of data); expected "
        "comma-separated cells",
    ),
    (
        "writeups/air-spring.md",
        "2025-01-06",
        "soon",
        "air-spring.md, row 4, released: “released” cannot be read. This is not a day. "
        "Write one such as 2026-11-25.; expected released: a date; released_at: a moment of it "
        "with its offset; "
        "asks: nothing, read again, answer again, show again",
    ),
]


@pytest.mark.parametrize(
    ("file", "old", "new", "told"), FAULTS, ids=[f"{file}-{new[:30]}" for file, _, new, _ in FAULTS]
)
def test_a_fault_is_one_line_and_nothing_comes_in(folder, file, old, new, told):
    assert old in GOOD[file]
    write(folder, file, GOOD[file].replace(old, new, 1))
    before = count_all()
    done, said, why = bring(folder)
    assert not done
    assert told in said
    assert "Nothing was brought in" in why
    assert count_all() == before


def test_all_faults_are_told_at_once(folder):
    for file, old, new, _ in FAULTS[:8]:
        write(folder, file, (folder / file).read_text().replace(old, new, 1))
    done, said, _ = bring(folder)
    assert not done
    assert len(said) >= 6


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        (
            "jobs.csv",
            b"login,level\nJ\x81rgen",
            "jobs.csv, row 2: the text is neither UTF-8 nor Windows-1252; expected a file "
            "saved as UTF-8",
        ),
        (
            "rules.yaml",
            "safe: []\n# Jürgen".encode("latin-1"),
            "rules.yaml, row 2: the text is not UTF-8; expected a file saved as UTF-8",
        ),
        ("jobs.csv", b"login\0", "jobs.csv: the file holds a null character; expected plain text"),
        (
            "writeups/air-spring.final.md",
            WRITEUP.encode(),
            "air-spring.final.md: the file's name cannot be read; expected NAME.md or NAME.r2.md",
        ),
        ("rules.yaml", b"safe: [", "rules.yaml:"),
        ("questions/air-spring.yaml", b"writeup: air-spring\nquestions: 3\n", "air-spring.yaml:"),
        (
            "questions/damper.yaml",
            b"writeup: damper\nquestions:\n- name: one\n  kind: choose one\n  steps: "
            b"[do-it]\n  stem: Which?\n  options:\n  - {text: a, right: yes}\n  - {text: b}\n",
            "damper.yaml: there is no write-up 'damper'",
        ),
    ],
)
def test_a_file_that_cannot_be_read_is_named(folder, name, content, told):
    write(folder, name, content)
    done, said, _ = bring(folder)
    assert not done
    assert any(line.startswith(told) for line in said), said


def test_a_folder_that_is_not_there_or_holds_nothing_is_named(tmp_path):
    assert "there is no such folder" in bring(tmp_path / "nowhere")[1][0]
    assert "there is nothing to bring in" in bring(tmp_path)[1][0]
    write(tmp_path, "people.ods", "x")
    assert "this file is of another kind" in bring(tmp_path / "people.ods")[1][0]


def test_what_is_not_read_is_listed(folder):
    write(folder, "tools.csv", "tool\nwrench\n")
    unread = ["JOBS.CSV", "jobs.ods", "people.xlsm", "writeups/air.txt", "questions/air.yml"]
    for name in unread:
        write(folder, name, "x")
    write(
        folder,
        "absences.csv",
        "login,from,until,why,colour\nbo,2026-12-24,2026-12-31,holidays,blue\n",
    )
    done, said, _ = bring(folder)
    assert done
    for name in ["tools.csv", *unread]:
        assert f"Worth knowing: {name} is no file of a delivery and was not read." in said
    assert "Worth knowing: absences.csv: the column “colour” is not known and was not read." in said


def test_what_holds_nothing_up_is_brought_in_and_listed(folder):
    write(folder, "signoffs.csv", GOOD["signoffs.csv"] + "cai,lower,2025-02-06,cai,*,no,\n")
    write(folder, "jobs.csv", GOOD["jobs.csv"] + "cai,lower,2025-02-07,,,no,\n")
    write(folder, "writeups/air-spring.md", WRITEUP.replace("only if", "needs: dry\nonly if"))
    done, said, _ = bring(folder)
    assert done
    assert (
        "Worth knowing: sign-off of cai, lower, 6 Feb 2025: the signer was not allowed to sign, so "
        "it does not count." in said
    )
    assert (
        "Worth knowing: job of cai, lower, 7 Feb 2025: cai could not work alone at this "
        "level on that day."
    ) in said
    assert any(
        "write-up air-spring, revision 1: its rehearsal finds 1 error, such as: " in line
        for line in said
    )


def test_the_number_of_queries_does_not_grow_with_every_row(folder, tmp_path_factory):
    def queries(jobs):
        write(
            folder,
            "jobs.csv",
            GOOD["jobs.csv"].splitlines()[0] + "\n" + "cai,air,2025-02-03,bo,,no,\n" * jobs,
        )
        with CaptureQueriesContext(connection) as taken:
            assert bring(folder, check=True)[0]
        return len(taken)

    few, many = queries(10), queries(1000)
    # in portions: Django gives SQLite at most 999 values at once, and a job has some fifteen
    assert many - few < 990 / 30
