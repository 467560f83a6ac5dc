"""Does the database itself refuse to change what was recorded, also after a migration, and is it
told where it does not?
"""

import io
from pathlib import Path

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction
from django.db.models import UniqueConstraint

from procedures.actions import writeups as procedures_actions
from procedures.models.comparing import AskedOfChange
from procedures.records import sealing
from procedures.records.sealing import put_on, seals, take_off
from quizzes.actions.sittings import end_sitting, start_sitting
from quizzes.models import MoreTime
from tests.training.shop import NOW, TODAY
from training import models as rows
from training.records.keeping import faults

SITE = ("procedures", "quizzes", "training")
MIGRATION = """
from django.db import migrations, models

class Migration(migrations.Migration):
    dependencies = [("{app}", "{before}")]
    operations = [{columns}]
"""
COLUMN = """
        migrations.AddField("{model}", "scratch", models.BooleanField(default=False)),"""
PACKAGE = """
import {app}.migrations
__path__.extend({app}.migrations.__path__)
"""


def models_sealed(*only):
    """Those of these apps; of all, where none is named."""
    return [
        model
        for model in apps.get_models()
        if hasattr(model, "SEAL") and model._meta.app_label in (only or SITE)
    ]


def checked():
    err = io.StringIO()
    call_command("check", tags=["database"], databases=["default"], stderr=err, stdout=err)
    return err.getvalue()


@pytest.fixture
def scratch(tmp_path, monkeypatch, settings):
    """Each app with a further migration, which gives each of its sealed tables a column. Afterwards
    the columns go again, without the steps back, for which Django makes all models anew.
    """
    monkeypatch.syspath_prepend(tmp_path)
    for app in SITE:
        folder = tmp_path / f"scratch_{app}"
        folder.mkdir()
        (folder / "__init__.py").write_text(PACKAGE.format(app=app))
        columns = "".join(COLUMN.format(model=model.__name__) for model in models_sealed(app))
        (folder / "9000_scratch.py").write_text(
            MIGRATION.format(app=app, before=newest_migration(app), columns=columns)
        )
    settings.MIGRATION_MODULES = {app: f"scratch_{app}" for app in SITE}
    yield
    take_off(connection)
    with connection.cursor() as cursor:
        for model in models_sealed():
            if "scratch" in columns_of(model):
                cursor.execute(f"ALTER TABLE {model._meta.db_table} DROP COLUMN scratch")
        cursor.execute("DELETE FROM django_migrations WHERE name = '9000_scratch'")
    put_on(connection)


def newest_migration(app):
    folder = Path(__import__(f"{app}.migrations").migrations.__path__[0])
    return max(path.stem for path in folder.glob("0*.py"))


@pytest.mark.django_db(transaction=True)
def test_a_migration_that_gives_a_sealed_table_a_column_leaves_it_sealed_and_the_book_whole(
    full, scratch
):
    """App by app: the tables of one are made anew, those of the others stay."""
    for app in SITE:
        call_command("migrate", app, "9000_scratch", verbosity=0)
        for model in models_sealed(app):
            assert "scratch" in columns_of(model), model
        assert list(faults()) == [], app
        assert "training.W002" not in checked(), app
        for model in models_sealed():
            assert model.SEAL.message in refused_change(model), (app, model)


def columns_of(model):
    with connection.cursor() as cursor:
        return {
            column.name
            for column in connection.introspection.get_table_description(
                cursor, model._meta.db_table
            )
        }


def refused_change(model):
    """With which words the database refuses to change what is sealed in this table."""
    column = next(
        field.column
        for field in model._meta.concrete_fields
        if not field.unique and not field.is_relation
    )
    return refused(f'UPDATE {model._meta.db_table} SET "{column}" = "{column}"')


def refused(statement):
    try:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement)
    except DatabaseError as error:
        return str(error)
    return "was changed"


# ---- a seal that is missing is told


def spoil(kind):
    table = "training_signoff"
    on = "" if connection.vendor == "sqlite" else f" ON {table}"
    with connection.cursor() as cursor:
        match kind:
            case "missing":
                cursor.execute(f"DROP TRIGGER {table}_no_update{on}")
            case "other":
                text = (
                    sealing.SQLITE
                    if connection.vendor == "sqlite"
                    else sealing.POSTGRESQL.replace("{body}", sealing.POSTGRESQL_BODY)
                )
                cursor.execute(f"DROP TRIGGER {table}_no_update{on}")
                cursor.execute(
                    text.format(
                        table=table,
                        verb="update",
                        VERB="UPDATE",
                        when="FALSE",
                        message="No.",
                        row="NEW",
                        each="ROW",
                    )
                )
            case "more":
                text = (
                    sealing.SQLITE
                    if connection.vendor == "sqlite"
                    else sealing.POSTGRESQL.replace("{body}", sealing.POSTGRESQL_BODY)
                )
                cursor.execute(
                    text.format(
                        table=table,
                        verb="insert_more",
                        VERB="INSERT",
                        when="FALSE",
                        message="No.",
                        row="NEW",
                        each="ROW",
                    )
                )
            case "switched off":
                # what waits for the end of the transaction locks the table
                cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
                cursor.execute(f"ALTER TABLE {table} DISABLE TRIGGER {table}_no_update")
            case "only for one column":
                cursor.execute(
                    f"CREATE OR REPLACE TRIGGER {table}_no_update BEFORE UPDATE OF note ON "
                    f"{table} FOR EACH ROW EXECUTE FUNCTION {table}_no_update()"
                )


@pytest.mark.parametrize(
    "kind", ["missing", "other", "more", "switched off", "only for one column"]
)
def test_a_seal_that_is_not_as_it_should_be_is_told_by_the_check_and_put_on_by_migrate(full, kind):
    if kind in ("switched off", "only for one column") and connection.vendor == "sqlite":
        pytest.skip("SQLite can't do this to a trigger; another text is another trigger.")
    assert "training.W002" not in checked()
    spoil(kind)
    assert "(training.W002) Table training_signoff: " in checked()
    call_command("migrate", verbosity=0)
    # a trigger that is none of ours stays, and is told
    assert ("training.W002" in checked()) == (kind == "more")
    assert rows.SignOff.SEAL.message in refused_change(rows.SignOff)


def test_seals_are_off_while_a_plan_is_migrated_and_on_again_when_a_failed_one_is_tried_again(full):
    take_off(connection)
    assert all(
        f"Table {table}: the trigger {table}_no_update is missing" in checked() for table in seals()
    )
    call_command("migrate", verbosity=0)
    assert "training.W002" not in checked()


# ---- the ways around a trigger


def sealed_rows(model):
    """The keys of the sealed rows of a table."""
    table = model._meta.db_table
    with connection.cursor() as cursor:
        cursor.execute(
            f'SELECT "{model._meta.pk.column}" FROM {table} AS kept WHERE '
            f"{model.SEAL.when.format(row='kept') or 'TRUE'} ORDER BY 1"
        )
        return [key for (key,) in cursor.fetchall()]


def unique_beside_key(model):
    """Whether rows of this table are one of a kind by more than their key."""
    return any(
        field.unique and not field.primary_key for field in model._meta.concrete_fields
    ) or any(
        isinstance(one, UniqueConstraint) and one.condition is None
        for one in model._meta.constraints
    )


@pytest.fixture
def on_sqlite(db):
    if connection.vendor != "sqlite":
        pytest.skip("Only SQLite takes a row out to put another in its place.")


@pytest.mark.parametrize("model", models_sealed(), ids=lambda model: model.__name__)
@pytest.mark.parametrize("words", ["INSERT OR REPLACE INTO", "REPLACE INTO"])
def test_no_row_comes_in_the_place_of_a_sealed_one(full, on_sqlite, model, words):
    """With the same key, and with another one where something else would be there twice."""
    key, *others = [field.column for field in model._meta.concrete_fields if field.primary_key] + [
        field.column for field in model._meta.concrete_fields if not field.primary_key
    ]
    columns, before = ", ".join(f'"{column}"' for column in others), sealed_rows(model)
    for new in [f'"{key}"', f'"{key}" + 1000'] if unique_beside_key(model) else [f'"{key}"']:
        last = f'{model._meta.db_table} WHERE "{key}" = {before[-1]}'
        assert model.SEAL.message in refused(
            f'{words} {model._meta.db_table} ("{key}", {columns}) SELECT {new}, {columns} '
            f"FROM {last}"
        )
    assert sealed_rows(model) == before


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE OR REPLACE procedures_revision SET number = 1 WHERE released_on IS NULL",
        "UPDATE OR REPLACE procedures_revision SET id = (SELECT MIN(id) FROM "
        "procedures_revision) WHERE released_on IS NULL",
        "UPDATE OR REPLACE quizzes_sitting SET id = (SELECT MIN(id) FROM quizzes_sitting) "
        "WHERE recorded_at IS NULL",
        "UPDATE OR REPLACE quizzes_answer SET id = (SELECT MIN(id) FROM quizzes_answer) WHERE "
        "id = (SELECT MAX(id) FROM quizzes_answer)",
        "UPDATE OR REPLACE quizzes_moretime SET id = (SELECT MIN(id) FROM quizzes_moretime) "
        "WHERE id = (SELECT MAX(id) FROM quizzes_moretime)",
        "UPDATE OR REPLACE procedures_askedofchange SET id = (SELECT MIN(id) FROM "
        "procedures_askedofchange) WHERE reason = 'open'",
    ],
)
def test_no_open_row_takes_the_place_of_a_sealed_one(full, on_sqlite, statement):
    draft = procedures_actions.start_revision(
        writeup=full.writeup, author=full.other_senior, now=NOW
    )
    AskedOfChange.objects.create(
        revision=draft,
        asks="nothing",
        suggested="nothing",
        reason="open",
        change="d" * 64,
        by=full.senior,
        at=NOW,
    )
    sitting = start_sitting(
        quiz=full.quiz, person=full.senior, pass_percent=75, now=NOW, seed=1, today=TODAY
    )
    MoreTime.objects.create(sitting=sitting, minutes=10, recorded_at=NOW)
    model = next(one for one in models_sealed() if one._meta.db_table in statement.split())
    before = sealed_rows(model)
    assert model.SEAL.message in refused(statement)
    assert sealed_rows(model) == before


def test_an_open_row_still_comes_in_and_changes(full):
    """The seals of what is sealed later keep nobody from going on."""
    draft = procedures_actions.start_revision(
        writeup=full.writeup, author=full.other_senior, now=NOW
    )
    draft.reason = "Shorter."
    draft.save()
    sitting = start_sitting(
        quiz=full.quiz, person=full.senior, pass_percent=75, now=NOW, seed=1, today=TODAY
    )
    assert end_sitting(sitting=sitting, now=NOW, today=TODAY).percent == 0


def test_triggers_taken_out_of_the_schema_itself_are_told(full, on_sqlite):
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA writable_schema = ON")
        cursor.execute(
            "DELETE FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'training_signoff'"
        )
        cursor.execute("PRAGMA writable_schema = OFF")
    assert "Table training_signoff: the trigger training_signoff_no_update is missing" in checked()


@pytest.mark.parametrize("model", models_sealed(), ids=lambda model: model.__name__)
def test_a_table_with_sealed_rows_is_not_emptied_at_once(full, model):
    if connection.vendor == "sqlite":
        pytest.skip("SQLite has no TRUNCATE.")
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
    assert model.SEAL.message in refused(f"TRUNCATE {model._meta.db_table} CASCADE")
