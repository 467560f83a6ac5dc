"""Does each guard of a delivery hold by itself: bounds, what is there already, levels in a row, and
every column as it stands in the folder?
"""

from datetime import UTC, date, datetime

import pytest

from tests.training.test_bring import GOOD, NOW, WRITEUP, bring, count_all, write
from training import models as rows

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _now(time_machine):
    time_machine.move_to(NOW, tick=False)


@pytest.fixture
def folder(tmp_path):
    for name, text in GOOD.items():
        write(tmp_path, name, text)
    return tmp_path


def faults_of(folder, file, old, new):
    """What is told of the good folder with this one change; nothing comes in."""
    assert old in GOOD[file]
    write(folder, file, GOOD[file].replace(old, new, 1))
    before = count_all()
    done, said, _ = bring(folder)
    assert not done
    assert count_all() == before
    return said


def later(tmp_path_factory, file, text):
    """What is told of a second delivery of one file, after the good one."""
    other = tmp_path_factory.mktemp("later")
    write(other, file, text)
    return bring(other)[:2]


# --- every column as it stands


def test_what_was_found_and_signed_comes_in_with_its_words(folder):
    write(
        folder, "observations.csv", GOOD["observations.csv"].replace("bo,yes,", "bo,no,Rushed it.")
    )
    write(folder, "passes.csv", GOOD["passes.csv"].replace("87.5,yes", "87.5,no"))
    write(
        folder, "appointments.csv", GOOD["appointments.csv"].replace("01-01,", "01-01,2027-01-31")
    )
    assert bring(folder)[0]
    seen = rows.Observation.objects.get()
    assert (seen.right, seen.note, seen.observer.login) == (False, "Rushed it.", "bo")
    passed = rows.PaperPass.objects.get()
    assert (str(passed.percent), passed.critical_right) == ("87.50", False)
    assert rows.Appointment.objects.get().until == date(2027, 1, 31)
    assert rows.StandDown.objects.get().reason == "ring out"
    assert rows.Void.objects.get().reason == "another fork"
    signed = rows.SignOff.objects.order_by("pk").values_list("person__login", "founding", "note")
    assert list(signed) == [("bo", True, "paper"), ("bo", True, "paper"), ("cai", False, "")]


def test_a_lift_has_the_moment_of_its_own_writing_or_that_of_the_stand_down(folder):
    header, row = GOOD["standdowns.csv"].splitlines()
    text = f"{header},recorded_at,lift_recorded_at\n{row},2025-03-01T08:00:00Z,{{}}\n"
    write(folder, "standdowns.csv", text.format("2025-03-10T09:00:00Z"))
    assert bring(folder)[0]
    assert rows.Lift.objects.get().recorded_at == datetime(2025, 3, 10, 9, tzinfo=UTC)


def test_a_lift_without_a_moment_has_that_of_the_stand_down(folder):
    header, row = GOOD["standdowns.csv"].splitlines()
    write(folder, "standdowns.csv", f"{header},recorded_at\n{row},2025-03-01T08:00:00Z\n")
    assert bring(folder)[0]
    assert rows.Lift.objects.get().recorded_at == datetime(2025, 3, 1, 8, tzinfo=UTC)


# --- what is there already


def test_a_level_of_the_shop_is_not_brought_again_from_another_day(folder, tmp_path_factory):
    bring(folder)
    header = GOOD["levels.csv"].splitlines()[0]
    text = f"{header},from\nair,Air spring,,air-spring,24,,,,,,,,,2026-01-01\n"
    done, said = later(tmp_path_factory, "levels.csv", text)
    assert not done
    assert [line.partition(" is there already")[0] for line in said] == [
        "levels.csv, row 2, level: 'air 2026-01-01'"
    ]


def test_what_is_wanted_in_the_shop_is_not_brought_again(folder, tmp_path_factory):
    bring(folder)
    assert later(tmp_path_factory, "want.csv", GOOD["want.csv"]) == (
        False,
        ["want.csv, row 2, workshop: 'Main air' is there already; expected each one once"],
    )


def test_a_login_that_differs_from_one_of_the_shop_only_in_capitals_is_told(
    folder, tmp_path_factory
):
    bring(folder)
    text = GOOD["people.csv"].splitlines()[0] + "\nADA,Ada,Main,mechanic,2024-01-01,\n"
    done, said = later(tmp_path_factory, "people.csv", text)
    assert not done
    assert said == [
        "people.csv, row 2, login: 'ADA' differs from 'ada' only in capitals; expected logins "
        "that nobody takes for one another"
    ]


def test_a_revision_of_the_shop_is_not_brought_again(folder, tmp_path_factory):
    bring(folder)
    assert later(tmp_path_factory, "writeups/air-spring.md", WRITEUP) == (
        False,
        ["air-spring.md: revision 1 is in the shop already; expected a new number"],
    )


# --- levels in a row


LEVEL = ",Title,{},air-spring,24,,,,,,,,\n"


@pytest.mark.parametrize(
    ("earlier", "wrong"),
    [
        ({"a": "a"}, {"a"}),
        ({"a": "b", "b": "a"}, {"a", "b"}),
        ({"a": "b", "b": "c", "c": "a"}, {"a", "b", "c"}),
        ({"a": "b", "b": "c", "c": "b"}, {"b", "c"}),
        ({"a": "b", "b": "c;d", "c": "d", "d": ""}, set()),
    ],
    ids=["itself", "two", "three", "beside", "none"],
)
def test_no_level_comes_before_itself_through_any_number_of_others(folder, earlier, wrong):
    more = "".join(name + LEVEL.format(before) for name, before in earlier.items())
    write(folder, "levels.csv", GOOD["levels.csv"] + more)
    done, said, _ = bring(folder)
    assert done is not bool(wrong)
    told = {line.split(": ")[1].split()[0] for line in said if "before itself" in line}
    assert told == wrong


# --- stretches of days


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("rota.csv", "no,no,no,,", "no,no,no,2026-02-02,{}"),
        ("absences.csv", "2026-12-24,2026-12-31", "2026-02-02,{}"),
        ("standdowns.csv", "2025-03-01,ada,ring out,2025-03-10", "2026-02-02,ada,ring out,{}"),
        ("appointments.csv", "2025-01-01,", "2026-02-02,{}"),
    ],
)
def test_the_last_day_is_the_first_or_a_later_one(folder, file, old, new):
    said = faults_of(folder, file, old, new.format("2026-02-01"))
    assert any("2026-02-01 is before from, 2026-02-02" in line for line in said)
    write(folder, file, GOOD[file].replace(old, new.format("2026-02-02"), 1))
    assert bring(folder)[0]


@pytest.mark.parametrize("with_what", ["ada,", ",2025-03-10T09:00:00Z", "ada,2025-03-10T09:00:00Z"])
def test_a_lifting_without_its_day_is_told_whatever_else_is_said_of_it(folder, with_what):
    header, row = GOOD["standdowns.csv"].splitlines()
    open_one = row.replace("2025-03-10,ada", f",{with_what}")
    write(folder, "standdowns.csv", f"{header},lift_recorded_at\n{open_one}\n")
    assert any("the day of lifting is missing" in line for line in bring(folder)[1])


# --- write-ups named in a row


@pytest.mark.parametrize(
    ("named", "told"),
    [
        ("air-spring,1", ""),
        (",", ""),
        ("air-spring,", "revision: air-spring has no revision"),
        (",1", "writeup: the cell is empty"),
        ("air-spring,2", "revision: air-spring has no revision 2; expected one of 1"),
    ],
)
def test_a_job_names_a_write_up_and_its_revision_or_neither(folder, named, told):
    header, row = GOOD["jobs.csv"].splitlines()
    write(folder, "jobs.csv", f"{header},writeup,revision\n{row},{named}\n")
    done, said, _ = bring(folder)
    assert done is not bool(told)
    assert any(told in line for line in said)


@pytest.mark.parametrize("line", ["asks: everything\n", "released_at: soon\n"])
def test_a_header_that_says_what_cannot_be_is_told(folder, line):
    text = (
        WRITEUP.replace("asks: nothing\n", line)
        if line.startswith("asks")
        else WRITEUP.replace("asks: ", line + "asks: ")
    )
    write(folder, "writeups/air-spring.md", text)
    done, said, _ = bring(folder)
    assert not done
    assert any(
        told.startswith("air-spring.md, row ") and f", {line.split(':')[0]}: " in told
        for told in said
    )


# --- what holds nothing up, and would go unnoticed


@pytest.mark.parametrize(
    ("file", "old", "new", "told"),
    [
        (
            "voids.csv",
            "2025-02-03,ada,another fork",
            "2025-02-13,ada,another fork",
            "job of cai, air, 13 Feb 2025: a row cancels it, but nothing like it was "
            "recorded by then. Look at the day and at recorded_at of that row.",
        ),
        (
            "signoffs.csv",
            "cai,air,2025-02-05",
            "cai,air,2036-02-05",
            "signoffs.csv, row 4: 5 Feb 2036 has not come yet. The row counts from then on.",
        ),
        (
            "readings.csv",
            "2025-02-01T10",
            "2036-02-01T10",
            "readings.csv, row 2: 2036-02-01T10:00:00+00:00 has not come yet. The row is not known "
            "before then.",
        ),
        (
            "writeups/air-spring.md",
            "released: 2025-01-06",
            "released: 2036-01-06",
            "air-spring.md: 6 Jan 2036 has not come yet. The revision counts from then on.",
        ),
        (
            "signoffs.csv",
            "bo,air,2025-01-02,ada,",
            "bo,air,2025-01-02,bo,",
            "first sign-off of bo, air, 2 Jan 2025: bo, who gave it, is not an owner today. It "
            "counts all the same.",
        ),
        (
            "levels.csv",
            "24,1,12,1,1,80",
            "24,1,,1,1,80",
            "levels.csv, row 3: practice_jobs and practice_months belong together. With one of "
            "them alone, nobody has to stay current.",
        ),
        (
            "appointments.csv",
            "bo,air,ada,",
            "bo,air,bo,",
            "bo may sign off air from 1 Jan 2025: bo, who said so, is not an owner today. It "
            "counts all the same.",
        ),
        (
            "people.csv",
            "bo,Bo,Main,",
            "bo,Bo,Mian,",
            "the workshop Mian is new, with the time zone UTC.",
        ),
    ],
)
def test_a_slip_that_is_no_fault_is_told(folder, file, old, new, told):
    assert f"Worth knowing: {told}" not in bring(folder, check=True)[1]
    assert old in GOOD[file]
    write(folder, file, GOOD[file].replace(old, new, 1))
    done, said, _ = bring(folder)
    assert done, said
    assert f"Worth knowing: {told}" in said


def test_a_revision_that_was_released_before_the_one_before_it_is_told(folder):
    text = WRITEUP.replace("2025-01-06", "2024-12-31")
    write(folder, "writeups/air-spring.r2.md", text)
    told = "air-spring.r2.md: released on 31 Dec 2024, before an earlier revision (6 Jan 2025)."
    assert f"Worth knowing: {told}" in bring(folder, check=True)[1]


def test_an_empty_write_up_is_told_as_such(folder):
    write(folder, "writeups/wash.md", "\n")
    assert "wash.md: the file is empty; expected a write-up" in bring(folder)[1]


def test_a_job_that_comes_in_a_second_time_is_told(folder, tmp_path_factory):
    assert not any("counts twice" in line for line in bring(folder)[1])
    done, said = later(tmp_path_factory, "jobs.csv", GOOD["jobs.csv"])
    assert done
    assert (
        "Worth knowing: jobs.csv: for 1 of the rows, such as row 2, the shop has a job of this "
        "person, level and day already. If it is the same job, it now counts twice." in said
    )
