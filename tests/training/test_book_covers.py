"""Is everything that decides who may do what told by an entry, and is each change of it behind the
book's back found?

The tables and columns are those of the models as they are: what is new is tried too.
"""

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import connection, models, transaction

from procedures.models import Drawing, Revision, WriteUp
from procedures.models.booking import booked_rows, kinds, list_written_kinds, newest_version, reader
from procedures.records import files
from procedures.records.sealing import put_on
from tests.for_each import for_each
from tests.training.outside_book import OUTSIDE
from tests.training.shop import NOW, TODAY, observe
from tests.training.test_record_book import change, fuller, others, said_by_the_command  # noqa: F401  (a fixture)
from training import models as rows
from training.records import keeping
from training.records.keeping import entry_faults, faults, head

MODELS = [
    model
    for app in ("procedures", "quizzes", "training")
    for model in apps.get_app_config(app).get_models(include_auto_created=True)
]
TOLD = frozenset[tuple[str, str]]().union(
    *(reader(model, newest_version(model)).told for model in kinds().values())
)


def is_told(field):
    return (field.model._meta.label, field.name) in TOLD


def is_outside(field):
    given = OUTSIDE.get(field.model._meta.label, {})
    return "*" in given or field.name in given


@for_each(MODELS)
def test_each_column_is_told_by_an_entry_or_decides_nothing_for_a_reason(model):
    for field in model._meta.concrete_fields:
        if not field.primary_key:
            assert is_told(field) != is_outside(field), (
                f"{field}: told by the newest entries, or in outside_book.py, and not both"
            )


def test_no_reason_is_left_for_what_is_gone():
    there = {
        model._meta.label: {field.name for field in model._meta.concrete_fields} | {"*"}
        for model in MODELS
    }
    assert [
        (label, name)
        for label, columns in OUTSIDE.items()
        for name in columns
        if name not in there.get(label, ())
    ] == []


# ---- each change behind the book's back


@pytest.mark.parametrize(
    "model",
    [
        model
        for model in MODELS
        if any(map(is_told, model._meta.concrete_fields)) and model not in kinds().values()
    ],
    ids=lambda model: model._meta.label,
)
def test_a_change_in_any_column_that_entries_tell_beside_their_own_row_is_found(
    fuller,  # noqa: F811
    unsealed,
    model,
):
    """Columns of a row that has entries of its own are changed in test_record_book.py."""
    row, missed = model._default_manager.order_by("pk").first(), []
    for field in filter(is_told, model._meta.concrete_fields):
        with transaction.atomic():
            change(row, field)
            if next(faults(), None) is None:
                missed.append(field.name)
            transaction.set_rollback(True)
    assert missed == []


@pytest.mark.parametrize("kind", sorted(kinds()))
def test_a_row_of_any_kind_that_was_taken_out_or_slipped_in_is_found(
    fuller,  # noqa: F811
    unsealed,
    kind,
):
    model = kinds()[kind]
    row = booked_rows(model).last()
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(
            f'DELETE FROM {model._meta.db_table} WHERE "{model._meta.pk.column}" = {row.pk}'
        )
        entry = rows.BookEntry.objects.filter(kind__in=list_written_kinds(kind), row=row.pk).last()
        assert [
            (fault.number, fault.problem) for fault in entry_faults(entry.number, entry.number)
        ] == [(entry.number, f"the {kind} that it records is no longer there")]
        transaction.set_rollback(True)
    once = {
        field.name
        for field in model._meta.concrete_fields
        if field.unique and not field.primary_key
    }
    once |= {
        one.fields[-1]
        for one in model._meta.constraints
        if isinstance(one, models.UniqueConstraint) and one.condition is None
    }
    for name in once:
        field = model._meta.get_field(name)
        setattr(row, field.attname, others(field, getattr(row, field.attname))[0])
    if hasattr(row, "once"):
        # as in a row that did not come by the site: only the site's own are there once
        row.once = None
    row.pk = None
    row.save(force_insert=True)
    if kind == WriteUp.KIND:
        Revision.objects.create(
            writeup=row,
            number=1,
            text="x",
            changed_at=NOW,
            released_on=TODAY,
            recorded_at=NOW,
            digest="a" * 64,
        )
    behind_the_book = head()[0] + 1  # what is left to look at there are rows without an entry
    assert (0, f"a {kind} (row {row.pk}) stands in the table without an entry in the book") in [
        (fault.number, fault.problem) for fault in faults(behind_the_book)
    ]


def test_two_rows_that_changed_places_are_found(full, unsealed):
    first, second = rows.SignOff.objects.get(), full.senior
    entry = rows.BookEntry.objects.get(kind="sign-off", row=first.pk)
    rows.SignOff.objects.create(
        person=full.trainee,
        level=full.level,
        signer=second,
        happened_on=TODAY,
        recorded_at=NOW,
        printed_name="Sol Senior",
        founding=True,
    )
    keys = list(rows.SignOff.objects.values_list("pk", flat=True))
    for old, new in [(keys[0], 9_000), (keys[1], keys[0]), (9_000, keys[1])]:
        rows.SignOff.objects.filter(pk=old).update(id=new)
    assert entry.number in {fault.number for fault in faults()}


# ---- what lies beside the tables


def photo_of(full, kind):
    """A file that an entry of this kind names, and the number of the entry."""
    if kind == "picture":
        row = Drawing.objects.get()
        return row.digest, rows.BookEntry.objects.get(kind="picture").number
    kept = files.keep(b"a photo of a ring")
    newest = Revision.objects.current(TODAY).get(writeup=full.revision.writeup)
    seen = observe(full, full.trainee, photos=[kept], revision=newest)
    return kept, rows.BookEntry.objects.get(
        kind__in=list_written_kinds("observation"), row=seen.pk
    ).number


@pytest.fixture
def own_pictures(settings, tmp_path):
    """A folder of this test alone: what it does to a file is seen by no test that runs beside
    it.
    """
    settings.PICTURES = tmp_path / "pictures"


@pytest.mark.parametrize("kind", ["picture", "observation"])
@pytest.mark.parametrize("change", ["taken away", "changed"])
def test_a_picture_that_is_gone_or_another_one_is_found(own_pictures, full, settings, kind, change):
    digest, number = photo_of(full, kind)
    assert list(faults()) == []
    path = settings.PICTURES / digest
    before = path.read_bytes()
    try:
        if change == "changed":
            path.write_bytes(before[:-1] + bytes([before[-1] ^ 1]))
        else:
            path.unlink()
        assert [(fault.number, digest[:12] in fault.problem) for fault in faults()] == [
            (number, True)
        ]
        assert said_by_the_command().startswith(f"Entry {number} ({kind}): ")
    finally:
        path.write_bytes(before)


def test_a_seal_that_is_off_is_told_by_the_command_and_the_page(full, unsealed, as_):
    assert (
        "Table training_signoff: the trigger training_signoff_no_update is missing."
        in said_by_the_command(all=True, sealed_again=False)
    )
    assert "trigger" in as_(full.owner).get("/book/?check=yes").text
    put_on(connection)
    assert "the book is whole" in as_(full.owner).get("/book/?check=yes").text


def test_an_instant_that_goes_backwards_is_found_though_every_digest_fits(full, unsealed):
    from datetime import timedelta

    from tests.training.test_book_out import rewrite

    def earlier(entries):
        entries[4].written_at -= timedelta(days=400)

    rewrite(earlier)
    assert [(fault.number, "earlier instant" in fault.problem) for fault in faults()] == [(5, True)]


# ---- a shop that was there before its kind came into the book


@pytest.fixture
def before(full):
    """The shop as it was when workshops, levels and write-ups were in no book."""
    from procedures.records.sealing import take_off
    from tests.training.test_book_out import rewrite

    take_off(connection)
    rewrite(
        lambda entries: entries.__setitem__(
            slice(None), [entry for entry in entries if entry.kind not in NEW]
        )
    )
    put_on(connection)
    return full


NEW = ("workshop", "level", "write-up")
APPLIED = {("training", "wider_book"), ("procedures", "wider_book")}


def test_rows_from_before_their_kind_came_into_the_book_get_entries_with_its_migration(before):
    assert {fault.kind for fault in faults()} == set(NEW)
    keeping.catch_up(APPLIED)
    assert list(faults()) == []
    number = head()[0]
    keeping.catch_up(APPLIED)
    assert head()[0] == number


def test_a_row_slipped_in_is_not_made_good_by_a_migration(before):
    keeping.catch_up(APPLIED)
    row = rows.Workshop.objects.create(name="Another", time_zone="Europe/Vienna")
    for applied in (APPLIED, {("training", "some_other")}, set()):
        keeping.catch_up(applied)
    call_command("migrate", verbosity=0)
    assert [(fault.kind, str(row.pk) in fault.problem) for fault in faults()] == [
        ("workshop", True)
    ]


def test_nothing_is_taken_in_without_the_migration_of_its_kind(before):
    number = head()[0]
    keeping.catch_up({("training", "something_else"), ("quizzes", "wider_book")})
    call_command("migrate", verbosity=0)
    assert head()[0] == number


NOBODY = 987_654


@pytest.mark.skipif(
    connection.vendor != "sqlite", reason="PostgreSQL keeps no key that leads nowhere"
)
@pytest.mark.parametrize("kind", sorted(kinds()))
def test_a_key_that_leads_nowhere_is_found_also_where_the_column_was_empty(full, unsealed, kind):
    """Seen: an entry's `recorded_by` set to somebody who does not exist was read as nobody."""
    model = kinds()[kind]
    row = booked_rows(model).first()
    keys = [
        field
        for field in model._meta.concrete_fields
        if field.is_relation and not field.primary_key and is_told(field)
    ]
    entry = rows.BookEntry.objects.filter(kind__in=list_written_kinds(kind), row=row.pk).last()
    for field in keys:
        before = transaction.savepoint()
        model._default_manager.filter(pk=row.pk).update(**{field.attname: NOBODY})
        found = [fault.number for fault in entry_faults(entry.number, entry.number)]
        transaction.savepoint_rollback(before)
        assert found == [entry.number], field.name
    assert list(entry_faults(entry.number, entry.number)) == []
