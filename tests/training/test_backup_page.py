"""Can the owner take a fresh backup along, and is an old one told?"""

import datetime
import json
import os

import pytest

from procedures.records.refused import Refused
from tests.training.factories import PASSWORD
from tests.training.shop import NOW
from training.exchange.backups.archive import Backup
from training.exchange.backups.last_backup import LAST, last_backup, note_backup, tell_backup_due
from training.records.keeping import head
from training.views import backups


@pytest.fixture(autouse=True)
def _home(settings, tmp_path):
    settings.HOME = tmp_path
    settings.PICTURES = tmp_path / "pictures"


def ask(owner, password=PASSWORD):
    return owner.post("/backup/", {"password": password})


@pytest.mark.django_db(transaction=True)
def test_the_owner_gets_the_whole_record_as_a_file(shop, as_, tmp_path):
    answer = ask(as_(shop.owner))
    assert answer.status_code == 200
    assert answer["Content-Disposition"] == 'attachment; filename="benchright-20261125T093000Z.zip"'
    assert answer["Cache-Control"] == "no-store"
    assert last_backup() is None  # before its last piece has gone out it is none
    data = answer.getvalue()
    assert len(data) == int(answer["Content-Length"])
    (tmp_path / "taken.zip").write_bytes(data)
    with Backup(tmp_path / "taken.zip") as backup:
        backup.check()
        assert (backup.manifest.book.number, backup.manifest.book.digest) == head()
    assert last_backup() == NOW
    assert [path.name for path in tmp_path.iterdir() if path.is_dir()] == []


@pytest.mark.django_db(transaction=True)
def test_a_download_that_breaks_off_is_no_backup_and_leaves_nothing(shop, as_, tmp_path):
    answer = ask(as_(shop.owner))
    next(iter(answer.streaming_content))
    answer.close()
    assert last_backup() is None
    assert [path.name for path in tmp_path.iterdir() if path.is_dir()] == []


def test_it_takes_the_password(shop, as_, tmp_path):
    for wrong in ("", "guessed"):
        answer = ask(as_(shop.owner), wrong)
        assert answer["Content-Type"].startswith("text/html")
    assert "This is not your password." in answer.text
    assert list(tmp_path.iterdir()) == []


def test_guesses_are_slowed_down(shop, as_):
    owner = as_(shop.owner)
    assert any(
        "Too many wrong passwords" in ask(owner, f"guess {number}").text for number in range(12)
    )


def test_one_a_minute(shop, as_, monkeypatch):
    def none(*_, **__):
        raise Refused("The disk is full.")

    monkeypatch.setattr(backups, "make_backup", none)
    owner = as_(shop.owner)
    assert "The disk is full." in ask(owner).text
    mark = backups.Path(backups.settings.HOME) / backups.BEGUN
    for seconds, told in ((59, "less than a minute ago"), (61, "The disk is full.")):
        begun = (NOW - datetime.timedelta(seconds=seconds)).timestamp()
        os.utime(mark, (begun, begun))
        assert told in ask(owner).text


# --- the line on the first page


@pytest.mark.parametrize(
    ("days", "told"),
    [
        (0, ""),
        (7, ""),
        (8, "The last backup is 8 days old, from 17 Nov 2026."),
        (30, "The last backup is 30 days old, from 26 Oct 2026."),
    ],
)
def test_an_old_backup_is_told(days, told):
    """Days of the Gregorian calendar, counted by hand from 25 Nov 2026."""
    note_backup((NOW - datetime.timedelta(days=days)).isoformat())
    assert tell_backup_due(NOW) == told


@pytest.mark.parametrize(
    "text",
    ["", "{}", '{"made_at": 3}', '{"made_at": "yesterday"}', '{"made_at": "2026-11-25"}', "[]"],
)
def test_a_mark_that_cannot_be_read_counts_as_none(tmp_path, text):
    (tmp_path / LAST).write_text(text)
    assert tell_backup_due(NOW) == "No backup of the records has been made yet."


def test_the_owner_reads_it_on_the_first_page_and_nobody_else_does(shop, as_):
    line = "No backup of the records has been made yet."
    assert line in as_(shop.owner).get("/").text
    assert line not in as_(shop.senior).get("/").text
    note_backup(datetime.datetime.now(datetime.UTC).isoformat())
    assert line not in as_(shop.owner).get("/").text


def test_a_made_up_shop_has_nothing_to_lose(shop, as_):
    shop.workshop.is_demo = True
    shop.workshop.save()
    assert "No backup" not in as_(shop.owner).get("/").text


def test_what_was_noted_can_be_read_by_a_person(tmp_path):
    note_backup(NOW.isoformat())
    assert json.loads((tmp_path / LAST).read_text()) == {"made_at": "2026-11-25T09:30:00+00:00"}
