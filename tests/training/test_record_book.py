"""Is a byte that was changed in any table behind the record book found, and the entry named?"""

import io
import json
from dataclasses import asdict, replace
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, models, transaction
from django.db.models.functions import Concat

from procedures.actions import writeups as procedures_actions
from procedures.models import WriteUp
from procedures.models.booking import booked_rows, kinds, list_written_kinds
from procedures.records.sealing import put_on
from quizzes.models import Answer, Question, QuestionVersion, Quiz, Sitting
from tests.put_in import put_in
from tests.training.conftest import full_shop
from tests.training.outside_book import OUTSIDE
from tests.training.shop import LONG_AGO, NOW, TERMS, TODAY, sit, stood_down
from training import models as rows
from training.actions.entries import write_down
from training.actions.levels import set_level
from training.actions.people import open_workshop
from training.records.book.chain import link
from training.records.keeping import PERSON, entry_faults, faults, head
from training.reports.who_may import LevelAsked as Asked
from training.reports.who_may import who_may

# The rules of a level name it, and their entry comes before its own: where the name changes, that
# one disagrees first.
NAMED_BY_OTHERS = {"level"}
# The database itself lets nobody change each column of their first rows: an owner, a job that was
# refused.
FIRST_IS_HELD = {PERSON, "job confirmation"}


@pytest.fixture
def fuller(db, clock):
    """Every kind of entry, and a second row of everything that a row of the book can name, so that
    each name can be changed to another one.
    """
    return put_in(fuller_shop)


def fuller_shop():
    full = full_shop()
    open_workshop(name="Second Workshop", time_zone="Europe/Vienna")
    set_level(name="travel-change", terms=replace(TERMS, title="Travel change"), now=NOW)
    procedures_actions.bring_writeup(name="damper", title="Damper")
    procedures_actions.start_revision(writeup=full.writeup, author=full.senior, now=NOW)
    spare = Quiz.objects.create(name="spare", title="Spare")
    Question.objects.create(writeup=full.writeup, name="spare")
    Sitting.objects.create(quiz=spare, person=full.senior, seed=1, pass_percent=75, started_at=NOW)
    write_down(
        rows.VoidAsked(
            kind="job",
            person=full.trainee,
            about="air-spring",
            by=full.senior,
            reason="Another.",
            happened_on=TODAY,
            recorded_at=NOW,
        )
    )
    write_down(
        rows.Void(
            kind="job",
            person=full.trainee,
            about="air-spring",
            by=full.owner,
            reason="Another.",
            happened_on=LONG_AGO,
            recorded_at=NOW,
        )
    )
    stood_down(person=full.mechanic, level=None, first=TODAY, by=full.owner, reason="Another ring.")
    common = {"person": full.trainee, "level": full.level, "happened_on": TODAY, "recorded_at": NOW}
    write_down(rows.Job(watched_by=full.other_senior, **common))
    write_down(rows.Appointment(by=full.owner, **common))
    return full


def other(field, value):
    """Another value that this column can hold."""
    match field:
        case models.BooleanField():
            return not value
        case models.JSONField():
            return {"changed": "yes"} if isinstance(value, dict) else ["changed"]
        case models.ForeignKey():
            keys = field.related_model._default_manager.exclude(pk=value).values_list(
                "pk", flat=True
            )
            return keys.first()
        case models.DateTimeField():
            return (value or NOW) + timedelta(seconds=1)
        case models.DateField():
            return (value or TODAY) - timedelta(days=1)
        case models.DecimalField():
            return value - 1 if value else 1
        case models.IntegerField():
            return (value or 0) + 7  # no other row has it
        case _ if field.choices:
            return next(choice for choice, _ in field.choices if choice != value)
        case _:
            # no longer than the column is wide; a hash stays one
            return value[:-1] + ("a" if value[-1:] != "a" else "b")


def change(row, field):
    """Another value in this column of a row, the first one that the database lets in."""
    old = getattr(row, field.attname)
    for new in others(field, old):
        try:
            with transaction.atomic():
                assert (
                    type(row)._default_manager.filter(pk=row.pk).update(**{field.attname: new}) == 1
                )
        except DatabaseError:
            continue
        assert new != old
        return
    raise AssertionError(f"{field}: there is nothing to change it to")


def others(field, old):
    if isinstance(field, models.DateField) and not isinstance(field, models.DateTimeField):
        return [(old or TODAY) + timedelta(days=days) for days in (-1, 1)]
    if not field.is_relation:
        return [other(field, old)]
    return list(
        field.related_model._default_manager.exclude(pk=old)
        .order_by("-pk")
        .values_list("pk", flat=True)
    )


def said_by_the_command(*, sealed_again=True, **options):
    """As somebody does it who knows how: the triggers are off, and on again before anybody
    looks.
    """
    if sealed_again:
        put_on(connection)
    out, err = io.StringIO(), io.StringIO()
    with pytest.raises(CommandError):
        call_command("book", stdout=out, stderr=err, **options)
    return err.getvalue()


def test_a_whole_book_says_so(full):
    out = io.StringIO()
    call_command("book", stdout=out)
    number, digest = head()
    assert (
        out.getvalue().strip()
        == f"The record book is whole: {number} entries, check code {digest}."
    )


@pytest.mark.parametrize("kind", sorted(kinds()))
def test_a_change_in_any_column_is_found_and_names_the_entry(fuller, unsealed, kind):
    """One column after the other, each undone again; then all at once, after which no entry before
    it may be named. What comes behind it cannot be named before it.
    """
    table = booked_rows(kinds()[kind])
    row = table.last() if kind in FIRST_IS_HELD else table.first()
    entry = rows.BookEntry.objects.filter(kind__in=list_written_kinds(kind), row=row.pk).last()
    columns = [
        field
        for field in row._meta.concrete_fields
        if not field.primary_key and field.name not in OUTSIDE.get(row._meta.label, ())
    ]
    missed = []
    for field in columns:
        with transaction.atomic():
            change(row, field)
            # a row that no longer is of its kind (a release without its day) is found as gone
            if not list(entry_faults(entry.number, entry.number)):
                missed.append(field.name)
            transaction.set_rollback(True)
    assert missed == []
    if kind not in NAMED_BY_OTHERS:
        for together in changed_together(row, columns):
            found = next(entry_faults(1, entry.number), None)
            assert found, together
            assert found.number == entry.number, together


def changed_together(row, columns):
    """The names of the columns that were changed just now: all at once, and then each by itself
    that the database did not let in beside the others.
    """
    apart = []
    with transaction.atomic():
        for field in columns:
            try:
                change(row, field)
            except AssertionError:
                apart.append(field)
        yield [field.name for field in columns if field not in apart]
        transaction.set_rollback(True)
    for field in apart:
        with transaction.atomic():
            change(row, field)
            yield [field.name]
            transaction.set_rollback(True)


ASKED = [
    (model, field.name)
    for model in (Answer, QuestionVersion)
    for field in model._meta.concrete_fields
    if field.name != "id"
]


@pytest.mark.parametrize(
    ("model", "column"), ASKED, ids=[f"{model.__name__}-{column}" for model, column in ASKED]
)
def test_what_was_asked_and_answered_cannot_be_changed_after_the_end(full, unsealed, model, column):
    entry = rows.BookEntry.objects.filter(kind__startswith="sitting").first()
    asked = Answer.objects.filter(sitting=entry.row).order_by("place").last()
    row = asked if model is Answer else asked.version
    if model is QuestionVersion:  # it has an entry of its own, before that of the sitting
        entry = rows.BookEntry.objects.get(kind="question", row=row.pk)
    field = model._meta.get_field(column)
    match column:
        case "sitting":
            new = sit(full.mechanic, full.quiz).pk
            Answer.objects.filter(sitting=new).delete()
        case "question":
            new = Question.objects.create(writeup=full.writeup, name="another").pk
        case "marks":
            new = Decimal("0.5")
        case _:
            new = other(field, getattr(row, field.attname))
    model.objects.filter(pk=row.pk).update(**{field.attname: new})
    assert said_by_the_command().startswith(
        f"Entry {entry.number} ({entry.kind}): the {entry.kind.partition('@')[0]} was changed"
    )


@pytest.mark.parametrize(
    ("model", "column", "first"),
    [
        (rows.Level, "name", "level rules@2"),
        (rows.Workshop, "name", "workshop"),
        (WriteUp, "name", "write-up"),
        (Quiz, "name", "quiz rules"),
        (Question, "name", "question"),
    ],
)
def test_a_name_that_entries_are_told_by_cannot_be_changed(full, model, column, first):
    model.objects.update(**{column: Concat(models.Value("x"), column)})
    assert f"({first}): " in said_by_the_command()


def test_a_level_tied_to_another_quiz_gives_nobody_a_pass(full):
    """The tie itself is in no entry, so nothing may rest on it."""

    def codes():
        told = who_may([Asked("travel-change", TODAY, NOW, {})], person=full.trainee.login)
        return [reason["code"] for reason in told[0]["people"][0]["reasons"]]

    set_level(name="travel-change", terms=TERMS, now=NOW)
    assert "quiz-not-passed" in codes()
    rows.Level.objects.filter(name="air-spring").update(quiz=None)
    rows.Level.objects.filter(name="travel-change").update(quiz=full.quiz)
    assert "quiz-not-passed" in codes()


@pytest.mark.parametrize(
    "text",
    ["{body} ", "[]", "null", "3", "", "[" * 100_000],
    ids=["spaced", "list", "null", "number", "empty", "deep"],
)
def test_a_text_that_is_no_entry_any_more_is_a_fault_and_no_failure(full, unsealed, as_, text):
    entry = rows.BookEntry.objects.order_by("number")[3]
    rows.BookEntry.objects.filter(pk=entry.pk).update(body=text.replace("{body}", entry.body))
    assert said_by_the_command().startswith(f"Entry {entry.number} ({entry.kind}): its text")
    assert f"entry {entry.number}" in as_(full.owner).get("/book/?check=yes").text.lower()


@pytest.mark.parametrize("column", ["kind", "row", "written_at", "body", "previous", "digest"])
def test_a_change_in_the_book_itself_is_found(full, unsealed, column):
    entry = rows.BookEntry.objects.order_by("number")[3]
    field = rows.BookEntry._meta.get_field(column)
    rows.BookEntry.objects.filter(pk=entry.pk).update(
        **{column: other(field, getattr(entry, column))}
    )
    assert min(fault.number for fault in faults() if fault.number) == entry.number


def test_an_entry_dropped_is_named_where_it_is_missing(full, unsealed):
    rows.BookEntry.objects.filter(number=5).delete()
    assert said_by_the_command().startswith("Entry 6")
    assert any("row" in fault.problem for fault in faults())


def test_an_entry_slipped_in_behind_is_not_followed_by_the_head(full, unsealed):
    last = rows.BookEntry.objects.last()
    made = link(
        number=last.number + 1,
        kind="job",
        row=last.row,
        written_at=NOW,
        body={"made": "up"},
        previous=last.digest,
    )
    rows.BookEntry.objects.create(**asdict(made))
    assert said_by_the_command().startswith(f"Entry {made.number} (job): ")


def test_an_entry_slipped_in_between_breaks_the_link_of_the_next(full, unsealed):
    rows.BookEntry.objects.filter(number__gte=5).update(number=models.F("number") + 1000)
    rows.BookEntry.objects.filter(number__gte=1005).update(number=models.F("number") - 999)
    fourth = rows.BookEntry.objects.get(number=4)
    made = link(
        number=5,
        kind=fourth.kind,
        row=fourth.row,
        written_at=NOW,
        body={"made": "up"},
        previous=fourth.digest,
    )
    rows.BookEntry.objects.create(**asdict(made))
    assert said_by_the_command().startswith("Entry 5 ")
    assert {5, 6} <= {fault.number for fault in faults()}


def written_anew(entry):
    """The row of an entry changed, and the entry beside it, with a fresh digest of its own that
    fits: what somebody does who knows how a row is written into the book.
    """
    job = rows.Job.objects.get(pk=entry.row)
    rows.Job.objects.filter(pk=job.pk).update(came_back=not job.came_back)
    body = json.loads(entry.body) | {"came_back": not job.came_back}
    made = link(
        number=entry.number,
        kind=entry.kind,
        row=entry.row,
        written_at=entry.written_at,
        body=body,
        previous=entry.previous,
    )
    rows.BookEntry.objects.filter(number=entry.number).update(body=made.body, digest=made.digest)


def test_an_entry_written_anew_together_with_its_row_is_found_by_the_next(full, unsealed):
    entry = rows.BookEntry.objects.filter(kind__startswith="job@").first()
    written_anew(entry)
    number = entry.number
    assert number < head()[0]
    assert [fault.number for fault in faults()] == [number + 1]
    assert "does not follow from the entry before it" in said_by_the_command()


def test_the_last_entry_written_anew_together_with_its_row_is_found_by_the_head(full, unsealed):
    write_down(
        rows.Job(
            person=full.trainee,
            level=full.level,
            happened_on=TODAY,
            recorded_at=NOW,
            watched_by=full.other_senior,
        )
    )
    last = rows.BookEntry.objects.order_by("number").last()
    assert last.kind.startswith("job@")
    written_anew(last)
    assert "the head of the book names entry" in said_by_the_command()


@pytest.mark.parametrize("change", [{"number": 3}, {"digest": "f" * 64}])
def test_a_head_that_was_changed_is_found(full, change):
    rows.BookHead.objects.update(**change)
    assert "the head of the book names entry" in said_by_the_command()


def test_a_head_that_was_taken_away_is_found(full):
    rows.BookHead.objects.all().delete()
    assert "the head of the book names entry 0" in said_by_the_command()


def test_of_two_changes_the_earlier_entry_is_named_and_with_all_both(full, unsealed):
    first, second = (
        rows.BookEntry.objects.filter(kind=kind).earliest("number").number
        for kind in ("observation", "void")
    )
    rows.Void.objects.update(reason="none")
    rows.Observation.objects.filter(right=True).update(note="changed")
    assert said_by_the_command().startswith(f"Entry {first} (observation)")
    told = said_by_the_command(all=True).splitlines()
    assert [line.partition(":")[0] for line in told] == [
        f"Entry {first} (observation)",
        f"Entry {second} (void)",
    ]


def test_a_book_with_nothing_in_it_is_whole(db):
    out = io.StringIO()
    call_command("book", stdout=out)
    assert "0 entries" in out.getvalue()


def test_a_row_slipped_in_is_named(full, unsealed):
    row = rows.Job.objects.first()
    row.pk = None
    row.save()
    assert (
        f"a job (row {row.pk}) stands in the table without an entry in the book"
        in said_by_the_command()
    )


def test_a_row_dropped_is_named(full, unsealed):
    entry = rows.BookEntry.objects.filter(kind="observation").earliest("number")
    rows.Observation.objects.get(pk=entry.row).delete()
    assert said_by_the_command().startswith(
        f"Entry {entry.number} (observation): the observation that it records is no longer there"
    )


def test_a_tail_cut_off_is_found_by_the_head(full, unsealed):
    last = rows.BookEntry.objects.last()
    rows.BookEntry.objects.filter(pk=last.pk).delete()
    booked_rows(kinds()[last.kind]).filter(pk=last.row).delete()
    assert "the head of the book names entry" in said_by_the_command()


@pytest.mark.parametrize(
    "kind", sorted(kind for kind, model in kinds().items() if not hasattr(model, "BOOK_CHANGES"))
)
def test_the_database_refuses_change_and_deletion(full, kind):
    model = kinds()[kind]
    moment = "recorded_at" if hasattr(model, "recorded_at") else "at"
    with pytest.raises(DatabaseError), transaction.atomic():
        booked_rows(kinds()[kind]).update(**{moment: NOW + timedelta(days=1)})
    with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(f"DELETE FROM {model._meta.db_table}")


@pytest.mark.parametrize(
    "table", ["training_bookentry", "quizzes_answer", "quizzes_questionversion"]
)
def test_the_database_refuses_change_and_deletion_of_what_entries_rest_on(full, table):
    for statement in (
        f"UPDATE {table} SET {'number = number + 900' if 'book' in table else 'id = id + 900'}",
        f"DELETE FROM {table}",
    ):
        with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement)


def test_the_page_says_what_the_command_says(full, as_):
    page = as_(full.owner).get("/book/?check=yes").text
    assert "the book is whole and agrees with the tables" in page
    assert head()[1] in page
