"""Does a shop that stands at any released schema come forward with all that it recorded?"""

import re
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


def tables_of(place):
    """Everything that the database says of its tables, in no order."""
    asked = POSTGRESQL if place.url else SQLITE
    return {what: sorted(map(_without_order, place.ask(sql))) for what, sql in asked.items()}


SQLITE = {
    "tables": "SELECT name, sql FROM sqlite_master WHERE type = 'table'",
    "others": "SELECT name, tbl_name, coalesce(sql, '') FROM sqlite_master WHERE type <> 'table'",
    "steps": "SELECT app, name FROM django_migrations",
}
POSTGRESQL = {
    "columns": "SELECT table_name, column_name, data_type, "
    "coalesce(character_maximum_length, 0), is_nullable, coalesce(column_default, ''), "
    "is_identity FROM information_schema.columns WHERE table_schema = 'public' "
    # Django's own, empty here: made at once, its key is wider.
    "AND table_name <> 'auth_group_permissions'",
    "constraints": "SELECT conrelid::regclass::text, pg_get_constraintdef(oid) "
    "FROM pg_constraint WHERE connamespace = 'public'::regnamespace",
    "indexes": "SELECT tablename, indexname, indexdef FROM pg_indexes WHERE schemaname = 'public'",
    "triggers": "SELECT tgrelid::regclass::text, pg_get_triggerdef(oid) FROM pg_trigger "
    "WHERE NOT tgisinternal",
    "steps": "SELECT app, name FROM django_migrations",
}


def _without_order(row):
    """A table's columns come in the order in which they came in, which says nothing."""
    return tuple(
        " ".join(sorted(re.split(r"[,\s()]+", text.replace('"', ""))))
        if "CREATE TABLE" in text
        else text
        for text in map(str, row)
    )


def test_all_that_was_recorded_at_any_released_schema_comes_through(nowhere, kept):
    done = nowhere.python("-m", "tests.training.history")
    assert done.returncode == 0, done.stdout + done.stderr
    assert f"{len(RELEASED)} schemas and now, nothing lost" in done.stdout
    # Whose logins were alike is told, and nobody else.
    assert "The logins bo and Bo differ only in capitals." in done.stderr
    assert "zoe" not in done.stderr
    # The other place is as `migrate` makes it on a new machine.
    step_by_step, at_once = tables_of(nowhere), tables_of(kept)
    assert {what: set(rows) ^ set(at_once[what]) for what, rows in step_by_step.items()} == {
        what: set() for what in at_once
    }


def test_the_released_schemas_stand_in_their_order_and_each_names_what_is_there():
    days = [released.at for released in RELEASED]
    assert days == sorted(set(days))
    for released in RELEASED:
        for app, name in released.targets:
            assert (ROOT / app / "migrations" / f"{name}.py").is_file(), (released.at, name)
