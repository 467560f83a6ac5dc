"""Does the site refuse to start where it would not be safe, and choose the journal that is?"""

import os
import stat

import pytest
from django.core.exceptions import ImproperlyConfigured

from tests.training.places import Place
from training.site.database import has_repair, journal_mode
from training.site.environment import database, find_replica

pytestmark = pytest.mark.any_database  # files only, or a place of its own on SQLite


def check(home, *words, **environment):
    """What a start of the site says; with the checks that look at no web page, or with those that
    are asked for.
    """
    words = words or ("--tag", "shop")
    return Place(home, more=environment).python("manage.py", "check", *words)


def test_production_does_not_start_with_a_default_secret(tmp_path):
    for secret in ({}, {"BENCHRIGHT_SECRET": "short"}):
        done = check(tmp_path, BENCHRIGHT_PRODUCTION="yes", **secret)
        assert done.returncode != 0
        assert "Production does not start with a default secret." in done.stderr
        assert "Traceback" not in done.stderr


def test_production_starts_with_a_secret_of_its_own(tmp_path):
    done = check(
        tmp_path,
        *("--database", "default"),  # and all the others
        BENCHRIGHT_PRODUCTION="yes",
        BENCHRIGHT_SECRET="s3" * 30,
        BENCHRIGHT_HOSTS="bench.example",
    )
    assert done.returncode == 0, done.stderr


def test_a_word_that_is_neither_yes_nor_no_is_said(tmp_path):
    assert (
        "BENCHRIGHT_PRODUCTION is 'perhaps': say yes or no."
        in check(tmp_path, BENCHRIGHT_PRODUCTION="perhaps").stderr
    )


def test_elsewhere_a_secret_is_made_once_and_kept_to_its_owner(tmp_path):
    home = tmp_path / "home"
    assert check(home).returncode == 0
    kept = home / "secret"
    made = kept.read_text()
    assert len(made) >= 50
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    assert check(home).returncode == 0
    assert kept.read_text() == made


@pytest.mark.skipif(os.name != "posix", reason="Windows keeps rights elsewhere")
def test_a_folder_that_others_can_read_is_closed_and_said(tmp_path):
    home = tmp_path / "home"
    home.mkdir(mode=0o755)
    home.chmod(0o755)
    done = check(home)
    assert done.returncode == 0
    assert f"Others on this machine could read {home}. It is closed now" in done.stderr
    assert stat.S_IMODE(home.stat().st_mode) == 0o700
    assert "Others" not in check(home).stderr


# SQLite's change list: the write-ahead log's reset fault is repaired in 3.51.3, and in 3.44.6 and
# 3.50.7 of older branches.
@pytest.mark.parametrize(
    ("version", "repaired"),
    [
        ((3, 40, 1), False),
        ((3, 44, 5), False),
        ((3, 44, 6), True),
        ((3, 45, 0), False),
        ((3, 50, 6), False),
        ((3, 50, 7), True),
        ((3, 51, 2), False),
        ((3, 51, 3), True),
        ((3, 53, 4), True),
    ],
)
def test_only_a_repaired_sqlite_keeps_a_write_ahead_log(version, repaired):
    assert has_repair(version) is repaired
    assert journal_mode(version) == ("WAL" if repaired else "DELETE")


SERVER = "postgres://shop@127.0.0.1:5432/bench"


@pytest.mark.parametrize(
    ("primary", "named", "said"),
    [
        ("sqlite:////bench", SERVER, "only PostgreSQL has replicas"),
        (SERVER, "sqlite:////bench", "only PostgreSQL has replicas"),
        (SERVER, SERVER, "the same server"),
        (SERVER, "postgres://shop@127.0.0.1:5433/other", "“other”"),
        (SERVER, "copy of bench", "names no database"),
    ],
)
def test_what_cannot_be_a_replica_is_refused_at_the_start(monkeypatch, primary, named, said):
    monkeypatch.setenv("DATABASE_URL", primary)
    monkeypatch.setenv("DATABASE_REPLICA_URL", named)
    with pytest.raises(ImproperlyConfigured, match=said):
        find_replica(database(""))


def test_a_replica_is_only_read(monkeypatch):
    monkeypatch.setenv("DATABASE_URL", SERVER)
    assert find_replica(database("")) is None
    monkeypatch.setenv("DATABASE_REPLICA_URL", SERVER.replace("5432", "5433"))
    found = find_replica(database(""))
    assert "default_transaction_read_only=on" in found["OPTIONS"]["options"]
    assert found["NAME"] == "bench"
