"""Does a backup hold all that the shop has recorded, and does it become that shop again, or
nothing?
"""

import shutil
import stat
import threading
import time
import zipfile
from pathlib import Path

import pytest
from django.apps import apps
from django.contrib.sessions.base_session import AbstractBaseSession

from tests.training.places import ON_POSTGRESQL, Browser, copy_of, forget, served
from training.exchange.backups.dumping import SIGN_INS
from training.models import OneTimeLink

on_sqlite = pytest.mark.skipif(ON_POSTGRESQL, reason="about the files of SQLite")

# Ends the process at once, as kill -9 does, when it comes to a function of these modules.
KILLED = """
import os, signal, sys, django
django.setup()
from training.exchange.backups import backup, restore
from training.management.commands import backup as command
from django.core.management import call_command
module, name = sys.argv[1].split(".")
found = {"backup": backup, "restore": restore, "command": command}[module]
getattr(found, name)
setattr(found, name, lambda *_, **__: os.kill(os.getpid(), signal.SIGKILL))
call_command(*sys.argv[2:])
"""


@pytest.fixture(scope="module")
def backup_of_kept(kept, tmp_path_factory):
    """A backup of the place of which each test has a copy; made once."""
    folder = tmp_path_factory.mktemp("backup")
    made = copy_of(kept, folder / "home")
    try:
        done = made.run("backup", folder / "shop.zip")
    finally:
        forget(made)
    assert done.returncode == 0, done.stderr
    return folder / "shop.zip"


@pytest.fixture
def backed_up(backup_of_kept, tmp_path):
    """A backup of the place."""
    return Path(shutil.copy2(backup_of_kept, tmp_path / "shop.zip"))


def rows(place):
    """Everything in the tables of a place, without the open sign-ins."""
    asked = (
        "SELECT tablename FROM pg_tables WHERE schemaname = 'public'"
        if place.url
        else "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%'"
    )
    names = [name for (name,) in place.ask(asked) if name not in SIGN_INS]
    found = place.ask_each(f'SELECT * FROM "{name}"' for name in names)
    return {name: sorted(map(repr, kept)) for name, kept in zip(names, found, strict=True)}


def seals(place):
    """What keeps those rows from being changed."""
    asked = (
        "SELECT pg_get_triggerdef(oid) FROM pg_trigger WHERE NOT tgisinternal"
        if place.url
        else "SELECT sql FROM sqlite_master WHERE type = 'trigger'"
    )
    found = {sql for (sql,) in place.ask(asked)}
    assert found
    return found


def files(folder):
    return {path.name for path in folder.iterdir()} if folder.exists() else set()


def test_a_backup_becomes_the_same_shop_in_an_empty_place(place, empty, backed_up):
    number, digest = place.head()
    assert stat.S_IMODE(backed_up.stat().st_mode) == 0o600
    assert place.ask("SELECT count(*) FROM training_session") != [(0,)]
    done = empty.run("restore", backed_up)
    assert done.returncode == 0, done.stderr
    assert (
        f"up to entry {number}, written 25 Nov 2026 at 09:30 UTC. Check code {digest}"
        in done.stdout
    )
    assert (rows(empty), seals(empty)) == (rows(place), seals(place))
    assert empty.ask("SELECT count(*) FROM training_session") == [(0,)]
    (picture,) = files(place.home / "pictures")
    assert (empty.home / "pictures" / picture).read_bytes() == (
        place.home / "pictures" / picture
    ).read_bytes()
    assert (place.home / "secret").read_text() not in str(
        [member.read_bytes() for member in [backed_up]]
    )
    again = empty.run("restore", backed_up)
    assert again.returncode == 1
    assert "only into an empty folder" in again.stderr or "only into an empty one" in again.stderr
    assert rows(empty) == rows(place)


def test_keys_go_into_a_file_of_their_own_and_come_back_from_it(place, empty, tmp_path):
    done = place.run("backup", tmp_path / "shop.zip", "--keys", tmp_path / "keys.json")
    assert done.returncode == 0, done.stderr
    assert stat.S_IMODE((tmp_path / "keys.json").stat().st_mode) == 0o600
    with zipfile.ZipFile(tmp_path / "shop.zip") as packed:
        assert not any(
            (place.home / "secret").read_bytes() in packed.read(name) for name in packed.namelist()
        )
    assert (
        empty.run("restore", tmp_path / "shop.zip", "--keys", tmp_path / "keys.json").returncode
        == 0
    )
    assert (empty.home / "secret").read_text() == (place.home / "secret").read_text()
    assert stat.S_IMODE((empty.home / "secret").stat().st_mode) == 0o600


def cut(place, which):
    """How entries of the record book are taken out by hand."""
    off = "DROP TRIGGER training_bookentry_no_delete"
    return (
        f"{off} ON training_bookentry" if place.url else off,
        f"DELETE FROM training_bookentry WHERE number {which}",
    )


def test_a_book_that_was_cut_off_gives_no_backup_and_it_is_said_why(place, tmp_path):
    place.change(*cut(place, "> 3"))
    done = place.run("backup", tmp_path / "shop.zip")
    assert done.returncode == 1
    assert "The end of the record book is gone: it should go up to entry" in done.stderr
    assert not (tmp_path / "shop.zip").exists()


def test_a_record_that_does_not_hold_is_restored_only_where_that_is_asked_for(
    place, empty, tmp_path
):
    trigger = "training_levelrules_no_update"
    off = (
        f"DROP TRIGGER {trigger} ON training_levelrules" if place.url else f"DROP TRIGGER {trigger}"
    )
    place.change(off, "UPDATE training_levelrules SET watched_jobs = 9")
    # and an entry of the middle is gone, so that a row stands without its entry
    place.change(*cut(place, "= 4"))
    place.run("backup", tmp_path / "shop.zip")
    done = empty.run("restore", tmp_path / "shop.zip")
    assert done.returncode == 1
    assert "The record book in this backup failed its check. Nothing was restored." in done.stderr
    assert "watched_jobs is 9 in the table and 1 in the book" in done.stderr
    assert "Not in the book: a " in done.stderr
    assert "Entry 0" not in done.stderr
    assert (
        "training_levelrules: the trigger training_levelrules_no_update is missing" in done.stderr
    )
    assert not empty.file.exists()
    assert files(empty.home / "pictures") == set()
    assert not empty.url or rows(empty) == {}
    done = empty.run("restore", tmp_path / "shop.zip", "--even-if-broken")
    assert done.returncode == 0, done.stderr
    assert "watched_jobs is 9" in done.stderr
    assert "The record book failed its check" in done.stdout
    assert rows(empty) == rows(place)


def test_a_backup_of_an_older_program_is_checked_and_then_brought_up_to_date(
    place, empty, tmp_path
):
    # Then people had a column less, without which this program reads no record.
    assert place.run("migrate", "training", "0020", "--verbosity", "0").returncode == 0
    number, digest = place.head()
    assert place.run("backup", tmp_path / "shop.zip").returncode == 0
    place.change(
        "INSERT INTO training_bookentry (number, kind, row, written_at, body, previous, digest)"
        f" VALUES ({number + 1}, 'job', 1, '2026-11-25 09:30:00+00:00', '{{}}', '0', '1')"
    )
    assert place.run("backup", tmp_path / "bent.zip").returncode == 0
    done = empty.run("restore", tmp_path / "bent.zip")
    assert f"Entry {number + 1} (job)" in done.stderr
    done = empty.run("restore", tmp_path / "shop.zip")
    assert done.returncode == 0, done.stderr
    assert "made by an older Benchright" in done.stdout
    assert f"up to entry {number}, written 25 Nov 2026 at 09:30 UTC. Check code {digest}" in (
        done.stdout
    )
    assert empty.run("migrate", "--check").returncode == 0


def test_a_backup_of_a_newer_program_is_refused(place, empty, tmp_path):
    place.change(
        "INSERT INTO django_migrations (app, name, applied) VALUES ('training', '9999_later', "
        "'2030-01-01 00:00:00+00:00')"
    )
    assert place.run("backup", tmp_path / "shop.zip").returncode == 0
    done = empty.run("restore", tmp_path / "shop.zip")
    assert done.returncode == 1
    assert "made by a newer Benchright" in done.stderr
    assert "training.9999_later" in done.stderr


@on_sqlite
@pytest.mark.parametrize("end", ["-wal", "-shm", "-journal"])
def test_what_is_left_of_a_database_that_is_gone_is_not_mixed_with_a_restored_one(
    empty, backed_up, end
):
    left = empty.home / f"benchright.sqlite3{end}"
    left.write_bytes(b"the last records of another database")
    done = empty.run("restore", backed_up)
    assert done.returncode == 1
    assert f"benchright.sqlite3{end} is left from an older database" in done.stderr
    assert left.read_bytes() == b"the last records of another database"
    assert not empty.file.exists()


@on_sqlite
def test_a_damaged_database_gives_no_backup(place, tmp_path):
    data = bytearray(place.file.read_bytes())
    # so much that tables are hit: an index is made anew in the copy, and its damage does no harm
    half = len(data) // 2
    data[half // 2 : half // 2 + half] = bytes(half)
    place.file.write_bytes(data)
    done = place.run("backup", tmp_path / "shop.zip")
    assert done.returncode == 1
    assert "Backup in" not in done.stdout
    assert not (tmp_path / "shop.zip").exists()


@on_sqlite
def test_a_place_without_a_shop_gives_no_backup_and_stays_without_one(empty, tmp_path):
    done = empty.run("backup", tmp_path / "shop.zip")
    assert done.returncode == 1
    assert not (tmp_path / "shop.zip").exists()
    assert not empty.file.exists()


@pytest.mark.parametrize("where", ["backup.write", "backup._put", "command.note_backup"])
def test_a_backup_that_is_killed_leaves_none_or_a_whole_one(place, empty, tmp_path, where):
    target = tmp_path / "disk" / "shop.zip"
    target.parent.mkdir()
    before = rows(place)
    done = place.python("-c", KILLED, where, "backup", str(target))
    assert done.returncode == -9
    assert rows(place) == before
    if target.exists():
        assert empty.run("restore", target).returncode == 0
    assert place.run("backup", target.with_name("next.zip")).returncode == 0
    assert empty.file.exists() == (where == "command.note_backup") or empty.url


@pytest.mark.parametrize(
    "where",
    ["restore._checked", "restore._put_pictures", "restore.sync_folder", "restore.note_backup"],
)
def test_a_restore_that_is_killed_leaves_nothing_that_passes_for_a_shop(
    place, empty, backed_up, where
):
    done = empty.python("-c", KILLED, where, "restore", str(backed_up))
    assert done.returncode == -9
    if empty.url:
        half = where != "restore.note_backup"
        assert (empty.home / "restoring").exists() == half
        assert "only into an empty one" in empty.run("restore", backed_up).stderr
        return
    if not empty.file.exists():
        assert empty.run("restore", backed_up).returncode == 0
    # All that the check of the record book looks at.
    assert (rows(empty), seals(empty)) == (rows(place), seals(place))


def test_backups_of_a_busy_site_hold_all_that_was_acknowledged_before_they_began(
    place, empty, tmp_path
):
    taken, is_over = [], threading.Event()

    def write(mark):
        browser = Browser(place, address)
        number = 0
        while not is_over.is_set():
            number += 1
            if browser.add_person(f"{mark}{number}"):
                taken.append(f"{mark}{number}")

    with served(place) as address:
        writers = [threading.Thread(target=write, args=(mark,)) for mark in "pqr"]
        for each in writers:
            each.start()
        while len(taken) < 5:
            time.sleep(0.05)
        before = list(taken)
        done = place.run("backup", "--into", tmp_path)
        after = len(taken)
        is_over.set()
        for each in writers:
            each.join()
    assert done.returncode == 0, done.stderr
    assert after > len(before), "nobody wrote while the backup was made, so this says nothing"
    (made,) = tmp_path.glob("benchright-*.zip")
    done = empty.run("restore", made)
    assert done.returncode == 0, done.stderr
    assert {login for (login,) in empty.ask("SELECT login FROM training_user")} >= set(before)


def test_every_table_of_open_sign_ins_stays_out_of_a_backup():
    """Also one that comes later: whatever keeps sessions, and links to choose a password, by their
    models.
    """
    kept = {
        model._meta.db_table
        for model in apps.get_models()
        if issubclass(model, AbstractBaseSession) or model is OneTimeLink
    }
    assert len(kept) >= 2
    assert kept <= set(SIGN_INS)
