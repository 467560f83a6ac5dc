"""Does a running site notice that its records were deleted, replaced or locked, before it says that
it has written something?
"""

import shutil
import sqlite3
import time
from contextlib import closing

import pytest

from tests.training.places import ON_POSTGRESQL, Browser, served
from training.records import opened_file, probe

pytestmark = pytest.mark.skipif(ON_POSTGRESQL, reason="about the file of SQLite")
PATIENCE = 20  # seconds that a writer waits for a lock (training/site/database.py)


def people(file):
    with closing(sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro", uri=True)) as opened:
        return {login for (login,) in opened.execute("SELECT login FROM training_user")}


def deleted(place):
    place.file.unlink()


def replaced(place):
    place.file.with_name("another").replace(place.file)


def copied_over(place):
    """As somebody does who puts an old copy back by hand: the file goes, and another one comes
    under its name.
    """
    place.file.unlink()
    place.file.with_name("another").rename(place.file)


@pytest.mark.parametrize("move", [deleted, replaced, copied_over])
def test_nothing_is_acknowledged_once_the_records_are_gone(place, move):
    shutil.copy(place.file, place.file.with_name("another"))
    with served(place) as address:
        owner = Browser(place, address)
        assert owner.add_person("before")
        shutil.copy(place.file, place.file.with_name("as-it-was"))
        move(place)
        taken = [login for login in ("after1", "after2", "after3") if owner.add_person(login)]
        status, page = owner.post("/people/new/", {"login": "after4", "name": "Kept On The Page"})
        health, _ = owner.get("/healthz/")
        look, _ = owner.get("/who-may/")
    assert taken == []
    assert (status, health, look) == (503, 503, 503)
    assert "The records are not in their place" in page
    assert 'value="Kept On The Page"' in page
    assert not {"after1", "after4"} & people(
        place.file
        if place.file.exists() and place.file.stat().st_size
        else place.file.with_name("as-it-was")
    )


def test_health_does_not_wait_for_a_lock(place):
    with (
        served(place) as address,
        closing(sqlite3.connect(place.file, isolation_level=None)) as other,
    ):
        owner = Browser(place, address)
        assert owner.get("/healthz/") == (200, "ok")
        other.execute("BEGIN IMMEDIATE")
        begun = time.monotonic()
        assert owner.get("/healthz/") == (503, "busy")
        # a second, and a slow machine is forgiven; not as long as a writer waits
        assert time.monotonic() - begun < PATIENCE / 2
        other.execute("ROLLBACK")
        assert owner.get("/healthz/") == (200, "ok")
        assert owner.add_person("afterwards")


def test_a_site_without_records_is_not_well(place):
    place.file.unlink()
    with served(place) as address:
        owner = Browser(place, address)
        assert owner.get("/healthz/")[0] == 503
        status, page = owner.get("/sign-in/")
    assert status == 503
    assert "There are no records here" in page


def test_the_file_that_is_looked_for_is_the_one_of_the_site(settings):
    named = {"ENGINE": "django.db.backends.sqlite3", "NAME": "/shop/benchright.sqlite3"}
    assert opened_file.file_of(named) == "/shop/benchright.sqlite3"
    assert (
        opened_file.file_of(named | {"NAME": "file:memorydb_default?mode=memory&cache=shared"})
        == ""
    )
    assert opened_file.file_of({"ENGINE": "django.db.backends.postgresql", "NAME": "shop"}) == ""


def test_a_probe_that_hangs_is_waited_for_no_longer_than_its_patience(monkeypatch, settings):
    """A disk or server that never answers: whoever asks is told, and no second probe is put behind
    the first.
    """
    import threading

    answered, tries = threading.Event(), []

    def hang(*_):
        tries.append(1)
        answered.wait(30)
        return ""

    monkeypatch.setattr(probe, "_try", hang)
    monkeypatch.setattr(probe, "file_of", lambda named: "somewhere")
    monkeypatch.setattr(probe, "must_be_there", lambda: None)
    monkeypatch.setattr(probe, "PATIENCE", 0.05)
    monkeypatch.setattr(probe, "_asked", [])
    try:
        assert probe.find_trouble() == "busy"
        assert probe.find_trouble() == "busy"
    finally:
        answered.set()
    assert tries == [1]
