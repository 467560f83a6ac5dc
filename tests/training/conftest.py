"""Which pieces do tests of the training app share?"""

import pytest
import time_machine
from django.db import connection

from tests.training.places import copy_of, forget, new_place
from tests.training.shop import NOW, make_ready, small_shop


@pytest.fixture
def clock():
    """It is 25 Nov 2026, 9:30 UTC; move it with `clock.move_to`."""
    with time_machine.travel(NOW, tick=False) as traveller:
        yield traveller


@pytest.fixture
def shop(db, clock):
    """A small shop with its record book."""
    return small_shop()


@pytest.fixture
def ready(shop):
    """The trainee, with all that the level asks before a sign-off."""
    make_ready(shop, shop.trainee)
    return shop.trainee


@pytest.fixture
def as_(client):
    """A browser in which somebody is signed in: `as_(person).get(...)`."""

    def signed_in(person):
        client.force_login(person, backend="training.sign_in.ShopBackend")
        return client

    return signed_in


@pytest.fixture
def unsealed(db):
    """The triggers are off, as for somebody with the database file in hand."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
            for (name,) in cursor.fetchall():
                cursor.execute(f'DROP TRIGGER "{name}"')
        else:
            cursor.execute("SELECT trigger_name, event_object_table FROM information_schema.triggers GROUP BY 1, 2")
            for name, table in cursor.fetchall():
                cursor.execute(f'DROP TRIGGER IF EXISTS "{name}" ON "{table}"')


@pytest.fixture(scope="session")
def kept(tmp_path_factory):
    """A place with a small shop; made once, copied for each test."""
    place = new_place(tmp_path_factory.mktemp("kept") / "home")
    done = place.python("-m", "tests.training.places")
    assert done.returncode == 0, done.stderr
    yield place
    forget(place)


@pytest.fixture
def place(kept, tmp_path):
    made = copy_of(kept, tmp_path / "home")
    yield made
    forget(made)


@pytest.fixture
def empty(tmp_path):
    made = new_place(tmp_path / "empty")
    yield made
    forget(made)
