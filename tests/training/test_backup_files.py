"""Is a backup file believed only where it is exactly what was written?"""

import datetime
import hashlib
import json
import stat
import zipfile

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures.records.refused import Refused
from training.exchange.backups import archive, backup, restore
from training.exchange.backups.archive import Backup, Head, Manifest

NOW = datetime.datetime(2026, 11, 25, 9, 30, tzinfo=datetime.UTC)
PICTURE = "b" * 64


def packed(folder, name="shop.zip", database=b"all that the shop knows" * 40, first="f" * 64):
    """A small backup, made as the program makes one."""
    (folder / "database").write_bytes(database)
    (folder / "picture").write_bytes(b"a photo")
    sources = {"database.sqlite3": folder / "database", f"pictures/{PICTURE}": folder / "picture"}

    def listed(members):
        return Manifest(
            "0.1.0",
            NOW.isoformat(),
            "sqlite",
            Head(3, "a" * 64, NOW.isoformat()),
            first,
            {"training": ("0001_initial",)},
            members,
        )

    archive.write(folder / name, sources, listed)
    return folder / name


def made_by_hand(folder, members, change=lambda said: None, info=lambda entry: None):
    """A backup file as somebody might make it who means harm."""
    with zipfile.ZipFile(packed(folder)) as good:
        said = json.loads(good.read("manifest.json"))
        members = {name: good.read(name) for name in said["members"]} | members
    change(said)
    path = folder / "hostile.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as bad:
        for name, data in members.items():
            if data is not None:
                entry = zipfile.ZipInfo(name)
                entry.compress_type = zipfile.ZIP_DEFLATED
                info(entry)
                bad.writestr(entry, data)
        bad.writestr("manifest.json", json.dumps(said))
    return path


def read_whole(path):
    with Backup(path) as opened:
        opened.check()
        return {name: b"".join(opened.pieces(name)) for name in opened.manifest.members}


def test_what_was_packed_comes_out_again(tmp_path):
    assert read_whole(packed(tmp_path)) == {
        "database.sqlite3": b"all that the shop knows" * 40,
        f"pictures/{PICTURE}": b"a photo",
    }


LISTED = {"size": 3, "sha256": hashlib.sha256(b"foo").hexdigest()}


@pytest.mark.parametrize(
    "name",
    [
        "../secret",
        "/etc/passwd",
        "pictures/../../x",
        "secret",
        "book.key",
        f"pictures/{PICTURE}/x",
        "pictures/" + "B" * 64,
        "..\\x",
    ],
)
def test_a_file_that_belongs_in_no_backup_is_refused(tmp_path, name):
    path = made_by_hand(
        tmp_path, {name: b"foo"}, lambda said: said["members"].update({name: LISTED})
    )
    with pytest.raises(Refused, match="do not belong in a backup"):
        Backup(path)


def test_a_file_that_is_not_listed_is_refused(tmp_path):
    with pytest.raises(Refused, match="do not agree"):
        Backup(made_by_hand(tmp_path, {"../secret": b"foo"}))


def test_a_link_is_refused(tmp_path):
    def link(entry):
        entry.external_attr = (stat.S_IFLNK | 0o777) << 16

    with pytest.raises(Refused, match="a link"):
        Backup(made_by_hand(tmp_path, {}, info=link))


def test_a_file_that_is_there_twice_is_refused(tmp_path):
    path = packed(tmp_path)
    with zipfile.ZipFile(path, "a") as bad, pytest.warns(UserWarning, match="Duplicate name"):
        bad.writestr("database.sqlite3", b"another one")
    with pytest.raises(Refused, match="twice"):
        Backup(path)


def test_no_more_is_unpacked_than_the_list_says(tmp_path):
    """40 MB of nothing in 40 kB, under a list and a heading that both say 10 bytes."""
    path = made_by_hand(
        tmp_path,
        {"database.sqlite3": bytes(40_000_000)},
        lambda said: said["members"]["database.sqlite3"].update(size=10),
    )
    with pytest.raises(Refused, match="do not agree"):
        Backup(path)
    data = path.read_bytes()
    assert len(data) < 100_000
    path.write_bytes(data.replace((40_000_000).to_bytes(4, "little"), (10).to_bytes(4, "little")))
    with Backup(path) as opened:
        taken = []
        with pytest.raises(Refused, match=r"cannot be read|not what was backed up"):
            taken.extend(opened.pieces("database.sqlite3"))
    assert sum(map(len, taken)) <= 10


def test_another_text_under_the_same_name_is_refused(tmp_path):
    path = made_by_hand(tmp_path, {f"pictures/{PICTURE}": b"A photo"})
    with Backup(path) as opened, pytest.raises(Refused, match="inside it was changed"):
        opened.check()


@pytest.mark.parametrize(
    "change",
    [
        lambda said: said.update(format=2),
        lambda said: said.update(members=[]),
        lambda said: said.pop("book"),
        lambda said: said.update(made_at="yesterday"),
        lambda said: said.update(made_at="2026-11-25T09:30:00"),
        lambda said: said.update(database="oracle"),
        lambda said: said["members"]["database.sqlite3"].update(size=-1),
        lambda said: said["members"]["database.sqlite3"].update(size="9"),
        lambda said: said["members"].pop("database.sqlite3"),
        lambda said: said.update(migrations={"training": 3}),
    ],
)
def test_a_list_of_another_make_is_refused(tmp_path, change):
    with pytest.raises(Refused, match="cannot be used"):
        Backup(made_by_hand(tmp_path, {}, change))


@pytest.mark.parametrize("text", [b"", b"no zip file", b"PK\x05\x06" + bytes(18)])
def test_what_is_no_backup_is_refused(tmp_path, text):
    (tmp_path / "x.zip").write_bytes(text)
    with pytest.raises(Refused, match="cannot be used"):
        Backup(tmp_path / "x.zip")


def test_a_file_that_is_not_there_is_said(tmp_path):
    with pytest.raises(Refused, match="There is no file"):
        Backup(tmp_path / "x.zip")


@pytest.fixture(scope="module")
def good(tmp_path_factory):
    return packed(tmp_path_factory.mktemp("good"))


@given(st.data())
def test_a_damaged_file_is_refused_or_gives_exactly_what_was_packed(good, data):
    """Any byte changed, any length cut off: never something else, never another error."""
    whole, wanted = good.read_bytes(), read_whole(good)
    place = data.draw(st.integers(0, len(whole) - 1))
    bent = (
        whole[:place]
        if data.draw(st.booleans())
        else whole[:place] + bytes([data.draw(st.integers(0, 255))]) + whole[place + 1 :]
    )
    path = good.with_name("bent.zip")
    path.write_bytes(bent)
    try:
        found = read_whole(path)
    except Refused:
        return
    assert found == wanted


# --- the folder of a timer


@pytest.fixture
def timer(tmp_path, monkeypatch):
    """`timer(day, keep)` runs the timer on that day of November."""

    def make(target, *, now, tell):
        packed(target.parent, target.name)
        with Backup(target) as opened:
            return opened.manifest, []

    monkeypatch.setattr(backup, "make_backup", make)
    folder = tmp_path / "backups"
    folder.mkdir()

    def run(day, keep=3):
        backup.back_up_into(folder, keep=keep, now=NOW.replace(day=day))
        return sorted(path.name for path in folder.glob("*.zip"))

    run.folder = folder
    return run


def named(*days):
    return [f"benchright-202611{day:02d}T093000Z.zip" for day in days]


def test_the_oldest_go(timer):
    for day in (1, 2, 3):
        timer(day)
    assert timer(4) == named(2, 3, 4)
    assert timer(5, keep=1) == named(5)


def test_only_its_own_files_go(timer):
    timer.folder.joinpath("notes.txt").write_text("mine")
    packed(timer.folder, "benchright-of-the-year.zip")
    packed(timer.folder, named(1)[0], first="another shop's")
    for day in (2, 3):
        timer(day, keep=1)
    assert sorted(path.name for path in timer.folder.glob("*.*")) == sorted(
        ["benchright-of-the-year.zip", *named(1, 3), "notes.txt"]
    )


def test_a_damaged_backup_pushes_no_good_one_out(timer):
    timer(1)
    for name in named(2, 3, 4):
        timer.folder.joinpath(name).write_bytes(b"cut off")
    assert timer(5, keep=2) == named(1, 2, 3, 4, 5)


def test_a_backup_that_fails_lets_none_go(timer, monkeypatch):
    for day in (1, 2):
        timer(day)

    def full(*_, **__):
        raise Refused("The disk is full.")

    monkeypatch.setattr(backup, "make_backup", full)
    with pytest.raises(Refused, match="full"):
        timer(3, keep=1)
    assert sorted(path.name for path in timer.folder.glob("*.zip")) == named(1, 2)


def test_a_folder_that_is_not_there_is_said_and_not_made(tmp_path):
    with pytest.raises(Refused, match="Connect the disk"):
        backup.back_up_into(tmp_path / "usb", keep=3, now=NOW)
    assert not (tmp_path / "usb").exists()


def test_a_file_under_the_name_is_never_written_over(tmp_path):
    (tmp_path / "monday.zip").write_text("mine")
    with pytest.raises(Refused, match="Choose another name"):
        backup.make_backup(tmp_path / "monday.zip", now=NOW)
    (tmp_path / "made").write_text("new")
    with pytest.raises(FileExistsError):  # also where it came while the backup was made
        backup._put(tmp_path / "made", tmp_path / "monday.zip")
    assert (tmp_path / "monday.zip").read_text() == "mine"


def test_what_no_program_of_this_version_knows_is_newer_and_what_was_given_up_is_not():
    restore._must_be_known(
        {"training": ("0001_initial",), "axes": ("0001_initial", "0009_add_session_hash")}
    )
    for migrations in ({"training": ("9999_later",)}, {"an_app_of_later": ("0001_initial",)}):
        with pytest.raises(Refused, match="newer Benchright"):
            restore._must_be_known(migrations)
