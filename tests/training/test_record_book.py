"""Is a byte that was changed in any table behind the record book found, and the entry named?"""

import io
from datetime import timedelta

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, models, transaction

from quizzes.models import Answer, QuestionVersion
from tests.training.shop import NOW, TODAY, make_ready, proof
from training import models as rows
from training.actions import signing
from training.keeping import PERSON, faults, head, tables

# What a row knows beside the book: its key, and what belongs to the sign-in alone.
OUTSIDE = {
    PERSON: {"id", "password", "last_login"},
    # `changed_at` and the rest say how the draft came to be; the release is what counts
    "release": {"id", "changed_at", "sent_to_review_at", "sent_back_because", "writers", "digest"},
}


@pytest.fixture
def full(shop):
    """Every kind of entry at least once."""
    make_ready(shop, shop.trainee)
    down = signing.stand_down(
        person=shop.mechanic, level=shop.level, first=TODAY, by=shop.owner, reason="A ring came out.",
        proof=proof(shop.owner, f"stand down {shop.mechanic.pk}"), now=NOW,
    )  # fmt: skip
    signing.lift(standdown=down, on=TODAY, by=shop.senior, reason="Settled.", proof=proof(shop.senior, f"lift {down.pk}"), now=NOW)
    from training.actions.entries import write_down

    common = {"happened_on": TODAY, "recorded_at": NOW, "person": shop.mechanic}
    write_down(rows.PaperPass(level=shop.level, percent=90, critical_right=True, **common))
    write_down(rows.Void(kind="job", about="air-spring", by=shop.owner, reason="Another fork.", **common))
    assert set(rows.BookEntry.objects.values_list("kind", flat=True)) == set(tables())
    return shop


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


def other(field, value):
    """Another value that this column can hold."""
    match field:
        case models.BooleanField():
            return not value
        case models.JSONField():
            return {"changed": "yes"} if isinstance(value, dict) else ["changed"]
        case models.ForeignKey():
            keys = field.related_model._default_manager.exclude(pk=value).values_list("pk", flat=True)
            return keys.first()
        case models.DateTimeField():
            return (value or NOW) + timedelta(seconds=1)
        case models.DateField():
            return (value or TODAY) - timedelta(days=1)
        case models.IntegerField() | models.DecimalField():
            return (value or 0) + 1
        case _ if field.choices:
            return next(choice for choice, _ in field.choices if choice != value)
        case _:
            return f"{value}x"


def said_by_the_command():
    out, err = io.StringIO(), io.StringIO()
    with pytest.raises(CommandError):
        call_command("book", stdout=out, stderr=err)
    return err.getvalue()


def test_a_whole_book_says_so(full):
    out = io.StringIO()
    call_command("book", stdout=out)
    number, digest = head()
    assert out.getvalue().strip() == f"The record book is whole: {number} entries, head {digest}."


@pytest.mark.parametrize("kind", sorted(tables()))
def test_a_change_in_any_column_is_found_and_names_the_entry(full, unsealed, kind):
    """One column after the other, each undone again."""
    table = tables()[kind].rows
    row = table.order_by("pk").last()
    entry = rows.BookEntry.objects.filter(kind=kind, row=row.pk).last()
    missed = []
    for field in row._meta.concrete_fields:
        old = getattr(row, field.attname)
        new = other(field, old)
        if field.name in OUTSIDE.get(kind, {"id"}) or (new is None and old is None):
            continue
        with transaction.atomic():
            try:
                with transaction.atomic():
                    changed = type(row)._default_manager.filter(pk=row.pk).update(**{field.attname: new})
            except DatabaseError:
                continue  # a constraint refuses this value anyway
            assert changed == 1
            # a row that no longer is of its kind (a release without its day) is found as gone
            if entry.number not in {fault.number for fault in faults()}:
                missed.append(field.name)
            transaction.set_rollback(True)
    assert missed == []


def test_an_answer_changed_after_the_end_is_found_at_its_sitting(full, unsealed):
    entry = rows.BookEntry.objects.get(kind="sitting")
    Answer.objects.filter(place=1).update(given=["made up"])
    assert said_by_the_command().startswith(f"Entry {entry.number} (sitting): the sitting was changed")


def test_a_question_changed_after_it_was_asked_is_found_at_the_sitting(full, unsealed):
    entry = rows.BookEntry.objects.get(kind="sitting")
    QuestionVersion.objects.update(stem="Another question?")
    assert said_by_the_command().startswith(f"Entry {entry.number} (sitting)")


@pytest.mark.parametrize("column", ["kind", "row", "written_at", "body", "previous", "digest"])
def test_a_change_in_the_book_itself_is_found(full, unsealed, column):
    entry = rows.BookEntry.objects.order_by("number")[3]
    field = rows.BookEntry._meta.get_field(column)
    rows.BookEntry.objects.filter(pk=entry.pk).update(**{column: other(field, getattr(entry, column))})
    assert min(fault.number for fault in faults() if fault.number) == entry.number


def test_an_entry_dropped_is_named_where_it_is_missing(full, unsealed):
    rows.BookEntry.objects.filter(number=5).delete()
    assert said_by_the_command().startswith("Entry 6")
    assert any("row" in fault.problem for fault in faults())


def test_a_row_slipped_in_is_named(full, unsealed):
    row = rows.Job.objects.get()
    row.pk = None
    row.save()
    assert f"a job (row {row.pk}) stands in the table without an entry in the book" in said_by_the_command()


def test_a_row_dropped_is_named(full, unsealed):
    entry = rows.BookEntry.objects.get(kind="observation")
    rows.Observation.objects.all().delete()
    assert said_by_the_command().startswith(f"Entry {entry.number} (observation): the observation that it records is no longer there")


def test_a_tail_cut_off_is_found_by_the_head(full, unsealed):
    last = rows.BookEntry.objects.last()
    rows.BookEntry.objects.filter(pk=last.pk).delete()
    tables()[last.kind].rows.filter(pk=last.row).delete()
    assert "the head of the book names entry" in said_by_the_command()


@pytest.mark.parametrize("kind", sorted(set(tables()) - {PERSON}))
def test_the_database_refuses_change_and_deletion(full, kind):
    model = tables()[kind].rows.model
    with pytest.raises(DatabaseError), transaction.atomic():
        tables()[kind].rows.update(recorded_at=NOW + timedelta(days=1))
    with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(f"DELETE FROM {model._meta.db_table}")


def test_the_page_says_what_the_command_says(full, as_):
    page = as_(full.owner).get("/book/?check=yes").text
    assert "the book is whole and agrees with the tables" in page
    assert head()[1] in page
