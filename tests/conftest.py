"""Which people and settings does every test share?"""

import datetime
import gc
import os
import shutil
from contextlib import suppress
from importlib import import_module
from pathlib import Path
from unittest.mock import Mock

# the browser's driver runs a loop of its own
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

import pytest
from django.core.cache import cache
from django.core.management.commands import flush as flush_command
from django.db import connection
from django.db.backends.base.operations import BaseDatabaseOperations
from django.test import override_settings
from hypothesis import HealthCheck
from hypothesis import settings as hypothesis_settings

from procedures.records.sealing import put_on, take_off
from tests.training.factories import UserFactory
from training.records.gathering import forget_records

TODAY = datetime.date(2026, 11, 25)

# No test here is about time: a slow machine fails none. In CI the same examples come in every run.
# Half of the library's examples: elsewhere others come each time, and many tests run each day.
hypothesis_settings.register_profile(
    "bench",
    deadline=None,
    max_examples=50,
    suppress_health_check=[HealthCheck.too_slow],
    derandomize="CI" in os.environ,
    database=None,
)
hypothesis_settings.load_profile("bench")


def pytest_configure():
    """What is no longer used is looked for more seldom. The library, the site and five thousand
    tests lie in memory for good, and to go through all of them again and again took a seventh of
    the processor's time.
    """
    gc.set_threshold(50_000, 20, 50)


@pytest.hookimpl(tryfirst=True)
def pytest_collection(session):
    """What compiles the tests on a new checkout is done once: where all of them are asked for, the
    second process begins at the end, and finds what the first one compiled when they have met.
    """
    if os.environ.get("PYTEST_XDIST_WORKER") != "gw1" or session.config.args != ["tests"]:
        return
    for path in sorted(Path(__file__).parent.rglob("test_*.py"), reverse=True):
        name = ".".join(path.relative_to(session.config.rootpath).with_suffix("").parts)
        with suppress(Exception, pytest.skip.Exception):  # told when it is collected
            import_module(name)


def pytest_collection_finish():
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup, django_db_blocker):
    """The databases of the tests, which nobody holds open when they are dropped. While the
    driver of the browser runs, connections are kept apart from those before and after it (asgiref's
    Local): one of them may be left, and PostgreSQL drops no database that somebody is in.
    """
    yield
    if connection.vendor == "postgresql":
        with django_db_blocker.unblock(), connection.cursor() as cursor:
            cursor.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                "WHERE datname = current_database() AND pid <> pg_backend_pid()"
            )


@pytest.fixture(autouse=True, scope="session")
def _light_settings():
    """Passwords are checked cheaply, pages find their files without a manifest, and the files are
    not counted anew for each browser that a test makes.
    """
    with override_settings(
        PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"],
        STORAGES={
            "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
            "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
        },
        WHITENOISE_AUTOREFRESH=True,
    ):
        yield


@pytest.fixture(autouse=True)
def _nothing_kept():
    """A test that is undone leaves nothing behind that was read or counted in it."""
    forget_records()
    cache.clear()


@pytest.fixture(autouse=True, scope="session")
def _flush_past_the_seals():
    """Emptying the test database between journeys takes the seals off for that moment. On SQLite,
    where each table is emptied by itself, those stay as they are that Django fills the same way
    after each emptying, which took longer than all the rest of it.
    """
    flush, is_sqlite = BaseDatabaseOperations.execute_sql_flush, connection.vendor == "sqlite"
    settled = ('"django_content_type"', '"auth_permission"') if is_sqlite else ()

    def past_the_seals(self, sql_list):
        take_off(self.connection)
        flush(self, [sql for sql in sql_list if not any(table in sql for table in settled)])
        put_on(self.connection)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(BaseDatabaseOperations, "execute_sql_flush", past_the_seals)
        if is_sqlite:
            # this fills those two tables, and puts the seals on a second time
            patch.setattr(flush_command, "emit_post_migrate_signal", Mock())
        yield


@pytest.fixture
def trainee(db):
    return UserFactory(login="tilda", name="Tilda Trainee", trade="trainee")


@pytest.fixture
def mechanic(db):
    return UserFactory(login="mika", name="Mika Mechanic", trade="mechanic")


@pytest.fixture
def senior(db):
    return UserFactory(login="sol", name="Sol Senior", trade="senior")


@pytest.fixture
def owner(db):
    return UserFactory(login="odile", name="Odile Owner", trade="owner")


@pytest.fixture(params=["trainee", "mechanic", "senior", "owner"])
def anybody(request):
    """Each kind of person in turn."""
    return request.getfixturevalue(request.param)


def browser_path() -> str | None:
    """Where Chromium is on this machine, or None. Its shell without windows comes first: the same
    browser, which asks for less than half of the processor's time.
    """
    names = ("chromium-headless-shell", "chromium", "chromium-browser")
    return next(filter(None, map(shutil.which, names)), None)


def must_be_there(what: str) -> None:
    """In CI a missing part is a failure; elsewhere its tests are skipped, and say so."""
    if os.environ.get("CI"):
        pytest.fail(f"{what} is missing on this machine; CI needs it.")
    pytest.skip(f"{what} is missing on this machine.")
