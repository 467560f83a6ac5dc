"""Does a shop that was taken out and brought in again give the same answers, and does one person's
record hold no one else's?
"""

import csv
import io
import json
import shutil
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from hypothesis import given
from hypothesis import strategies as st

from procedures.actions import writeups as procedures_actions
from procedures.models.booking import newest_version
from procedures.pictures.clean import clean_photo_file
from procedures.records import files
from procedures.records.sealing import take_off
from procedures.records.texts import put_dates_on, take_dates_off
from quizzes.actions.questions import set_quiz_rules
from quizzes.marking.draws import FromPart
from quizzes.models import Question, QuizRules
from tests.procedures.picture_files import photo_bytes
from tests.put_in import put_in
from tests.quizzes.factories import VersionFactory
from tests.training.folder_rows import day_of
from tests.training.grow_shop import BROUGHT_AT, grow_shop
from tests.training.shop import (
    LONG_AGO,
    NOW,
    TERMS,
    TODAY,
    lifted,
    make_ready,
    observe,
    sit,
    small_shop,
    stood_down,
    waiting_job,
)
from training import models as rows
from training.actions.appointing import end_appointment
from training.actions.confirming import confirm_job, refuse_job
from training.actions.entry_rules import set_days_back
from training.actions.levels import set_level
from training.actions.signing import appoint
from training.exchange.folder import cells
from training.exchange.folder.files import FILES
from training.exchange.folder.written import cell, fork, limits, read_written
from training.models import EntryRules, Level, days_back
from training.records.keeping import faults, head
from training.reports.who_may import LevelAsked as Asked
from training.reports.who_may import who_may

pytestmark = pytest.mark.django_db


def command(name, *args):
    out = io.StringIO()
    call_command(name, *map(str, args), stdout=out, stderr=io.StringIO())
    return out.getvalue()


@contextmanager
def undone():
    """What is done inside is gone afterwards: an emptied database."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def files_in(folder):
    """The bytes of every file; of the record book's head only that it is there, since each site has
    its own book.
    """
    return {
        str(path.relative_to(folder)): b"" if path.name == "HEAD.txt" else path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def answers(asked):
    """Everything that the site says to these questions, but for the head of its book."""
    return [{**told, "book_head": ""} for told in who_may(asked)]


def plain(told):
    """The same without the words: a sitting here is a quiz on paper there."""
    return [
        [
            (
                p["login"],
                p["standing"],
                [r["code"] for r in p["reasons"]],
                p["lapses_on"],
                p["lapses_because"],
            )
            for p in answer["people"]
        ]
        for answer in told
    ]


def grid(levels, days, instants, variants=({},)):
    return [
        Asked(level, day, at, variant)
        for level in levels
        for day in days
        for at in instants
        for variant in variants
    ]


def asked_in(folder):
    ask = json.loads((folder / "ask.json").read_text(encoding="utf-8"))
    return [
        Asked(
            question["level"],
            date.fromisoformat(question["on"]),
            datetime.fromisoformat(question["known_at"])
            if question.get("known_at")
            else BROUGHT_AT,
            question.get("variant") or {},
        )
        for question in ask
    ]


@pytest.mark.parametrize("seed", range(201, 209))
def test_a_shop_taken_out_and_brought_in_gives_the_same_answers(seed, tmp_path):
    """Over random shops: bring A, take, take again; bring that into an emptied database: same
    answers, same folder.
    """
    grow_shop(seed, tmp_path / "a")
    asked = asked_in(tmp_path / "a")
    with time_machine.travel(BROUGHT_AT, tick=False):
        with undone():
            command("bring", tmp_path / "a")
            entries = [row.recorded_at for row in rows.Job.objects.all()] + [
                row.recorded_at for row in rows.SignOff.objects.all()
            ]
            levels = rows.Level.objects.values_list("name", flat=True)
            days = [TODAY - timedelta(days=days) for days in (-400, -30, 0, 200, 500)]
            # knowledge changes at the very instant of recording: just before it, and at it
            instants = [
                at - timedelta(microseconds=step) for at in sorted(entries)[::7] for step in (0, 1)
            ]
            asked += grid(levels, days, instants[:6])
            first = answers(asked)
            command("take", tmp_path / "b")
            command("take", tmp_path / "c")
        with undone():
            command("bring", tmp_path / "b")
            assert list(faults()) == []
            assert answers(asked) == first
            command("take", tmp_path / "d")
    assert files_in(tmp_path / "b") == files_in(tmp_path / "c") == files_in(tmp_path / "d")
    assert (tmp_path / "b" / "HEAD.txt").read_bytes() == (tmp_path / "c" / "HEAD.txt").read_bytes()


@pytest.fixture
def lived_in(db, clock):
    return put_in(lived_in_shop)


def lived_in_shop():
    """A shop with every kind of evidence, made on the site itself."""
    shop = small_shop()
    make_ready(shop, shop.trainee)
    photo = files.keep(clean_photo_file(photo_bytes()).data)
    observe(shop, shop.mechanic, "not right", photos=[photo], tools=["TW-1"], note="Said why.")
    sit(shop.mechanic, shop.quiz, wrong=("torque",))
    down = stood_down(
        person=shop.mechanic,
        level=None,
        first=TODAY,
        by=shop.owner,
        reason='A ring came out; "again",\nsaid Sol.',
    )
    lifted(
        standdown=down, on=TODAY, by=shop.senior, reason="Settled.", now=NOW + timedelta(hours=1)
    )
    from training.actions.entries import write_down
    from training.actions.taking_back import take_back_job

    common = {"happened_on": TODAY, "person": shop.mechanic}
    write_down(
        rows.PaperPass(
            level=shop.level,
            percent=Decimal("90.50"),
            critical_right=True,
            recorded_at=NOW,
            **common,
        )
    )
    write_down(
        rows.SignOff(
            level=shop.level,
            signer=shop.senior,
            limits={"ring": ["prong", "eyelet"]},
            recorded_at=NOW,
            printed_name="S. Senior",
            **common,
        )
    )
    write_down(
        rows.Void(
            kind="pass",
            about="air-spring",
            by=shop.owner,
            reason="Another quiz.",
            recorded_at=NOW + timedelta(hours=2),
            **common,
        )
    )
    first = waiting_job(shop, shop.mechanic)
    refuse_job(job=first, by=shop.senior, reason="I was not there.", now=NOW + timedelta(hours=1))
    confirm_job(job=waiting_job(shop, shop.mechanic), by=shop.senior, now=NOW + timedelta(hours=2))
    waiting_job(shop, shop.mechanic)
    slip = waiting_job(shop, shop.mechanic)
    take_back_job(job=slip, by=shop.mechanic, now=NOW + timedelta(minutes=1))
    appointed = appoint(
        person=shop.other_senior,
        level=shop.level,
        by=shop.owner,
        first=LONG_AGO,
        until=None,
        now=NOW,
    )
    for until in (TODAY + timedelta(days=9), TODAY):
        end_appointment(
            appointment=appointed, until=until, by=shop.owner, now=NOW + timedelta(hours=1)
        )
    set_level(
        name="air-spring",
        terms=replace(TERMS, valid_months=3, practice_from=LONG_AGO),
        now=NOW,
        from_day=TODAY - timedelta(days=30),
    )
    part = FromPart("air-spring-service", "step", "let-air-out", 1)
    set_quiz_rules(quiz=shop.quiz, size=4, parts=(part,), by=shop.owner, now=NOW)
    set_days_back(days=10, by=shop.owner, now=NOW)
    rows.Rota.objects.create(person=shop.senior, workshop=shop.workshop, mon=True)
    rows.Absence.objects.create(person=shop.senior, first=TODAY, until=TODAY, why="ill")
    rows.Want.objects.create(workshop=shop.workshop, level=shop.level, tue=2)
    return shop


def test_what_was_done_on_the_site_gives_the_same_standings_elsewhere(lived_in, tmp_path, clock):
    clock.move_to(NOW + timedelta(hours=3))
    days = [
        LONG_AGO,
        TODAY - timedelta(days=31),
        TODAY - timedelta(days=30),
        TODAY,
        TODAY + timedelta(days=800),
    ]
    instants = [
        NOW - timedelta(days=1),
        NOW,
        NOW + timedelta(minutes=59),
        NOW + timedelta(hours=1),
        NOW + timedelta(hours=2),
    ]
    asked = grid(["air-spring"], days, instants, ({}, {"ring": "prong"}))
    first = plain(answers(asked))
    assert len({str(told) for told in first}) > 3
    command("take", tmp_path / "a")
    with undone():
        empty()
        said = command("bring", tmp_path / "a")
        assert "1 person" not in said
        assert plain(answers(asked)) == first
        assert rows.Workshop.objects.get().time_zone == "Europe/Vienna"
        assert Question.objects.count() == 4
        command("take", tmp_path / "b")
    assert files_in(tmp_path / "a") == files_in(tmp_path / "b")


def test_an_observation_comes_in_with_its_check_sheet_and_photos(
    lived_in, tmp_path, clock, settings
):
    def seen():
        row = rows.Observation.objects.get(right=False)
        return row.lines, row.variant, row.photos, row.tools, str(row.revision), row.note

    clock.move_to(NOW + timedelta(hours=3))
    first = seen()
    assert first[0][0]["seen"] == "not right"
    command("take", tmp_path / "a")
    settings.PICTURES = tmp_path / "another machine"
    assert files.find_kept(first[2][0]) is None
    with undone():
        empty()
        assert "1 photo" in command("bring", tmp_path / "a")
        assert seen() == first
        assert files.find_kept(first[2][0]) is not None


def test_a_photo_that_is_gone_is_told_when_the_shop_is_taken_out(lived_in, tmp_path, settings):
    settings.PICTURES = tmp_path / "empty"
    assert "is not on this machine any more" in command("take", tmp_path / "a")


def faults_told(folder):
    err = io.StringIO()
    with pytest.raises(CommandError, match="Nothing was brought in"):
        call_command("bring", str(folder), stdout=io.StringIO(), stderr=err)
    return err.getvalue()


def spoil(path):
    path.write_bytes(path.read_bytes() + b"x")


def rename(path):
    path.rename(path.with_name("a.jpg"))


@pytest.mark.parametrize(
    ("do", "told"),
    [
        (spoil, ["The file is not the one of this name", "photos: there is no file"]),
        (rename, ["The file is not the one of this name", "photos: there is no file"]),
        (lambda path: path.unlink(), ["photos: there is no file"]),
    ],
)
def test_a_photo_that_is_another_or_missing_is_a_fault(
    lived_in, tmp_path, clock, settings, do, told
):
    clock.move_to(NOW + timedelta(hours=3))
    command("take", tmp_path / "a")
    settings.PICTURES = tmp_path / "another machine"
    (path,) = (tmp_path / "a" / "photos").iterdir()
    do(path)
    with undone():
        empty()
        said = faults_told(tmp_path / "a")
    for text in told:
        assert text in said


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('""seen"": ""not right""', '""seen"": ""looked at""', "lines: "),
        ('""critical"": true', '""critical"": 1', "lines: "),
        ('""title""', '""titel""', "lines: "),
        ("[{", "{", "lines: "),
        (
            ",no,Said why.",
            ",yes,Said why.",
            "right: the lines of the check sheet say otherwise; expected no, or other lines",
        ),
        (
            ",air-spring-service,1,",
            ",air-spring-service,9,",
            "revision: air-spring-service has no revision 9; expected one of 1",
        ),
    ],
)
def test_a_check_sheet_that_cannot_be_one_is_a_fault(lived_in, tmp_path, clock, old, new, told):
    clock.move_to(NOW + timedelta(hours=3))
    command("take", tmp_path / "a")
    path = tmp_path / "a" / "observations.csv"
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new))
    with undone():
        empty()
        said = faults_told(tmp_path / "a")
    assert "observations.csv, row " in said
    assert told in said


def empty():
    """Every table of ours without a row; the triggers are off for that moment, and all is undone
    with the rest.
    """
    from django.apps import apps

    tables = [
        model._meta.db_table
        for app in ("procedures", "quizzes", "training")
        for model in apps.get_app_config(app).get_models(include_auto_created=True)
    ]
    take_off(connection)
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("PRAGMA defer_foreign_keys = ON")
            for table in tables:
                cursor.execute(f'DELETE FROM "{table}"')
        else:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            cursor.execute("TRUNCATE " + ", ".join(f'"{table}"' for table in tables) + " CASCADE")


def read_csv(path):
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_every_version_of_a_levels_rules_is_carried(lived_in, tmp_path):
    command("take", tmp_path / "a")
    kept = read_csv(tmp_path / "a" / "levels.csv")
    assert [(row["level"], row["from"], row["valid_months"]) for row in kept] == [
        ("air-spring", "", "24"),
        ("air-spring", str(TODAY - timedelta(days=30)), "3"),
    ]


def test_drafts_and_questions_that_no_longer_fit_stay_behind(lived_in, tmp_path):
    draft = procedures_actions.start_revision(
        writeup=lived_in.writeup, author=lived_in.other_senior, now=NOW
    )
    VersionFactory(
        question=Question.objects.create(writeup=lived_in.writeup, name="astray"),
        steps=["no-such-step"],
    )
    said = command("take", tmp_path / "a")
    assert (
        "Worth knowing: question air-spring-service: astray is not asked at present and is "
        "left out." in said
    )
    assert draft.number == 2
    assert [path.name for path in (tmp_path / "a" / "writeups").iterdir()] == [
        "air-spring-service.md"
    ]
    assert "astray" not in (tmp_path / "a" / "questions" / "air-spring-service.yaml").read_text(
        encoding="utf-8"
    )


def test_the_head_of_the_book_stands_in_the_folder(lived_in, tmp_path):
    number, digest = head()
    assert f"entry {number}, check code {digest}" in command("take", tmp_path / "a")
    assert (tmp_path / "a" / "HEAD.txt").read_text(encoding="utf-8") == (
        f"The records of the shop.\nRecord book: entry {number} of 2026-11-25.\nHead: {digest}\n"
    )
    rows.Workshop.objects.update(is_demo=True)
    command("take", tmp_path / "b")
    assert "Demo values. Do not use on a real fork or shock." in (
        tmp_path / "b" / "HEAD.txt"
    ).read_text(encoding="utf-8")


def test_a_folder_that_holds_something_is_left_alone(lived_in, tmp_path):
    (tmp_path / "people.csv").write_text("mine")
    with pytest.raises(CommandError, match="holds something already"):
        command("take", tmp_path)
    assert (tmp_path / "people.csv").read_text() == "mine"
    with pytest.raises(CommandError, match="holds something already"):
        command("take", tmp_path / "people.csv")


def test_a_record_that_cannot_come_in_again_is_told(lived_in, tmp_path):
    row = rows.Job(
        level=lived_in.level,
        happened_on=TODAY,
        person=lived_in.mechanic,
        variant={"ring": "a=b;c"},
        recorded_at=NOW,
    )
    row.save()
    assert "Worth knowing: jobs.csv, row 7, variant: 'ring=a=b;c' cannot be read" in command(
        "take", tmp_path / "a"
    )


def test_the_number_of_queries_does_not_grow_with_the_shop(lived_in, tmp_path):
    def queries(more):
        rows.Job.objects.bulk_create(
            rows.Job(
                level=lived_in.level,
                happened_on=TODAY,
                person=lived_in.mechanic,
                watched_by=lived_in.senior,
                recorded_at=NOW,
            )
            for _ in range(more)
        )
        with CaptureQueriesContext(connection) as taken:
            command("take", tmp_path / str(more))
        return len(taken)

    assert queries(3) == queries(300)


# ---- one person's own record


def test_a_persons_folder_holds_their_rows_and_nobody_elses(lived_in, tmp_path):
    command("take", tmp_path / "a", "--person", "mika")
    there = {path.name for path in (tmp_path / "a").iterdir()}
    assert there == {
        "people.csv",
        "passes.csv",
        "jobs.csv",
        "observations.csv",
        "signoffs.csv",
        "standdowns.csv",
        "voids.csv",
        "signers.csv",
        "HEAD.txt",
        "record.json",
        "photos",
    }
    for path in (tmp_path / "a").glob("*.csv"):
        if path.name != "signers.csv":
            assert {row["login"] for row in read_csv(path)} == {"mika"}, path
    assert {row["login"]: row["name"] for row in read_csv(tmp_path / "a" / "signers.csv")} == {
        "sol": "S. Senior",
        "odile": "Odile Owner",
    }
    text = "".join(
        path.read_text(encoding="utf-8") for path in (tmp_path / "a").iterdir() if path.is_file()
    )
    assert "Tilda" not in text
    assert "tilda" not in text
    assert "The record of Mika Mechanic (mika)." in text
    assert head()[1] in text


def test_a_persons_rows_are_those_of_the_whole_folder(lived_in, tmp_path):
    command("take", tmp_path / "all")
    command("take", tmp_path / "one", "--person", "tilda")
    for path in (tmp_path / "one").glob("*.csv"):
        if path.name != "signers.csv":
            assert read_csv(path) == [
                row for row in read_csv(tmp_path / "all" / path.name) if row["login"] == "tilda"
            ]


def test_nobody_of_that_login_is_told(lived_in, tmp_path):
    with pytest.raises(CommandError, match="There is nobody with the login “zoe”"):
        command("take", tmp_path / "a", "--person", "zoe")


# ---- cells, there and back

NAMES = st.from_regex(r"[A-Za-z0-9_-]{1,12}", fullmatch=True)


@given(
    st.dates(),
    st.datetimes(
        datetime(2, 1, 2),  # noqa: DTZ001
        datetime(9998, 1, 1),  # noqa: DTZ001
        timezones=st.just(NOW.tzinfo),
    ),
    st.booleans(),
    st.integers(0, 999_999),
)
def test_what_is_written_into_a_cell_reads_as_the_same(day, instant, flag, number):
    assert cells.read_day(cell(day)) == day
    assert cells.read_instant(cell(instant)) == instant
    assert cells.read_yes_no(cell(flag)) is flag
    assert cells.read_number(cell(number)) == number


@given(
    st.decimals(0, 100, places=2),
    st.lists(NAMES, max_size=4),
    st.dictionaries(NAMES, NAMES, max_size=3),
    st.dictionaries(NAMES, st.lists(NAMES, min_size=1, max_size=3), max_size=3),
)
def test_lists_and_options_read_as_the_same(percent, names, variant, covered):
    assert cells.read_percent(cell(percent)) == percent
    assert cells.read_names(read_written(cell(names))) == tuple(names)
    assert cells.read_variant(fork(variant)) == variant
    assert cells.read_limits(limits(covered)) == covered


@pytest.mark.parametrize(
    "text",
    [
        "---\ntitle: A\n---\nText\n",
        "---\r\ntitle: A\r\n---\r\n",
        "---\n---\n",
        "---\nreleased: 2020-01-01\ntitle: A\n---\n\n---\n",
    ],
)
def test_a_dated_text_is_undated_to_what_it_was(text):
    made = put_dates_on(text, released="2026-11-25", asks="nothing")
    assert take_dates_off(made) == take_dates_off(text)
    assert made.count("released: 2026-11-25") == made.count("released:") == 1


def test_every_column_that_can_be_brought_is_taken(lived_in, tmp_path):
    command("take", tmp_path / "a")
    for file, columns in FILES.items():
        if file == "sittings.csv":  # what they proved is in passes.csv
            continue
        kept = read_csv(tmp_path / "a" / file)
        assert set(kept[0]) == {column.name for column in columns}, file
        empty = {name for name in kept[0] if not any(row[name] for row in kept)}
        assert empty <= NOT_IN_THIS_SHOP.get(file, set()), file


NOT_IN_THIS_SHOP = {
    "people.csv": {"left"},
    "levels.csv": {"earlier"},
    "appointments.csv": {"until"},
    "jobs.csv": {"note", "tools"},
    "rota.csv": {"from", "until"},
    "signoffs.csv": set(),
    "standdowns.csv": set(),
}


def test_days_of_a_taken_file_are_plain_dates(lived_in, tmp_path):
    command("take", tmp_path / "a")
    assert [day_of(row["from"]) for row in read_csv(tmp_path / "a" / "standdowns.csv")] == [TODAY]


RULES = {
    "size": 3,
    "critical_percent": 50,
    "parts": (FromPart("air-spring-service", "step", "let-air-out", 2),),
    "minutes": 20,
    "wait_days": 3,
    "sittings_a_day": 1,
    "recall_percent": 80,
}


def rules_in_force():
    rules = Level.objects.get().quiz.rules
    return {name: getattr(rules, name) for name in RULES}, days_back()


def test_a_shop_brought_in_is_judged_by_its_own_rules(lived_in, tmp_path, clock):
    """Seen: the wait after a failed sitting and the days for a late job fell back to those of a
    new shop.
    """
    assert RULES.keys() == {*QuizRules.BOOK[newest_version(QuizRules)]} - {
        *("quiz", "writeups", "by", "recorded_at")
    }
    clock.move_to(NOW + timedelta(hours=3))
    set_quiz_rules(quiz=lived_in.quiz, by=lived_in.owner, **RULES)
    set_days_back(days=21, by=lived_in.owner)
    before = rules_in_force()
    assert before[1] == 21
    command("take", tmp_path / "a")
    with undone():
        empty()
        command("bring", tmp_path / "a")
        assert rules_in_force() == before
        assert EntryRules.objects.get().by.login == "odile"
        assert list(faults()) == []
        command("take", tmp_path / "b")
    assert files_in(tmp_path / "a") == files_in(tmp_path / "b")


@pytest.mark.parametrize(
    ("file", "old", "new", "told"),
    [
        ("quizzes.csv", ",1,80", ",1,20", "quizzes.csv, row 2, recall_percent: 20 is too"),
        ("quizzes.csv", ",3,50,", ",3,101,", "expected a whole number from 0 to 100"),
        ("quizzes.csv", "air-spring,3", "lower-leg,3", "'lower-leg' is not known"),
        ("quizzes.csv", '""part""', '""piece""', "expected the parts of a quiz"),
        ("quizzes.csv", '""step""', '""chapter""', "expected the parts of a quiz"),
        ("quizzes.csv", 'count"": 2', 'count"": true', "expected the parts of a quiz"),
        ("quizzes.csv", 'count"": 2', 'count"": 0', "expected the parts of a quiz"),
        ("quizzes.csv", '"[{', '"{', "expected the parts of a quiz"),
        ("late-entries.csv", "21,", "4000,", "late-entries.csv, row 2"),
        ("late-entries.csv", ",odile,", ",olga,", "'olga' is not known"),
    ],
)
def test_rules_that_cannot_be_are_a_fault(lived_in, tmp_path, clock, file, old, new, told):
    clock.move_to(NOW + timedelta(hours=3))
    set_quiz_rules(quiz=lived_in.quiz, by=lived_in.owner, **RULES)
    set_days_back(days=21, by=lived_in.owner)
    command("take", tmp_path / "a")
    path = tmp_path / "a" / file
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new))
    with undone():
        empty()
        assert told in faults_told(tmp_path / "a")


def test_rules_that_people_sit_by_are_not_brought_over(lived_in, tmp_path, clock):
    clock.move_to(NOW + timedelta(hours=3))
    set_days_back(days=21, by=lived_in.owner)
    command("take", tmp_path / "a")
    for path in (tmp_path / "a").iterdir():
        if path.name not in ("quizzes.csv", "late-entries.csv"):
            shutil.rmtree(path) if path.is_dir() else path.unlink()
    before = rules_in_force()
    said = faults_told(tmp_path / "a")
    assert "the quiz of 'air-spring' has its rules already" in said
    assert "days_back: this is set already" in said
    assert rules_in_force() == before
