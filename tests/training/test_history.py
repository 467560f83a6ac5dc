"""Does a shop that stands at any released schema come forward with all that it recorded?"""

from pathlib import Path

import pytest

from tests.training.places import forget, new_place
from tests.training.released import RELEASED

ROOT = Path(__file__).parents[2]


@pytest.fixture
def nowhere(tmp_path):
    """A place without any table."""
    place = new_place(tmp_path / "old")
    yield place
    forget(place)


def test_all_that_was_recorded_at_any_released_schema_comes_through(nowhere):
    done = nowhere.python("-m", "tests.training.history")
    assert done.returncode == 0, done.stdout + done.stderr
    assert f"{len(RELEASED)} schemas and now, nothing lost" in done.stdout


def test_the_released_schemas_stand_in_their_order_and_each_names_what_is_there():
    days = [released.at for released in RELEASED]
    assert days == sorted(set(days))
    for released in RELEASED:
        for app, name in released.targets:
            assert (ROOT / app / "migrations" / f"{name}.py").is_file(), (released.at, name)
