"""Does an entry hold exactly the columns that its kind and version name, today and in ten years?"""

import json
import runpy

import pytest
from django.db import transaction

from procedures.models.booking import (
    booked_rows,
    fetch_with,
    kind_and_version,
    kinds,
    reader,
    write_kind,
)
from tests.for_each import for_each
from tests.procedures.book import body_of
from tests.training import golden
from tests.training.shop import NOW, TODAY
from tests.training.test_book_out import STRANGER
from training import models as rows
from training.actions.entries import write_down
from training.records.book.chain import link
from training.records.keeping import faults, head, record

# ---- golden entries: a lock on the format; those of the first versions were made by the program
# that wrote the first books


@for_each(golden.wanted())
def test_an_entry_of_each_kind_and_version_has_the_text_and_digest_that_it_always_had(
    kind, made_of
):
    assert golden.made(kind, made_of) == golden.kept().get((kind, made_of)), (
        "no golden entry: python -m tests.training.golden"
    )


def test_no_golden_entry_is_of_a_kind_or_version_that_is_gone():
    """A version that was ever written into a book stays in the program: its entries are there."""
    assert sorted(golden.kept()) == sorted(golden.wanted())


def test_the_strangers_program_works_out_the_same_digests(tmp_path):
    """Nothing but a standard library: json with its keys in order, and SHA-256."""
    (tmp_path / "verify.py").write_text(STRANGER, encoding="utf-8")
    digest = runpy.run_path(str(tmp_path / "verify.py"))["digest"]
    for entry in golden.kept().values():
        rest = {"number": 1, "written_at": "2026-11-25T09:30:00.000000Z", "previous": "0" * 64}
        assert (
            digest(
                {
                    **rest,
                    "kind": entry["kind"],
                    "row": entry["row"],
                    "body": json.loads(entry["body"]),
                }
            )
            == entry["digest"]
        )


@pytest.mark.parametrize("kind", sorted(kinds()))
def test_rows_are_told_with_a_fixed_number_of_queries(full, kind, django_assert_num_queries):
    model = kinds()[kind]
    readers = [reader(model, version) for version in model.BOOK]
    parts = {part.accessor for one in readers for part in one.parts}
    with django_assert_num_queries(1 + len(parts)):
        for row in fetch_with(booked_rows(model), readers):
            for version in model.BOOK:
                body_of(row, version)


# ---- a further version


@pytest.fixture
def in_versions(monkeypatch):
    """Voids are written by these lists."""

    def given(*layouts):
        monkeypatch.setattr(rows.Void, "BOOK", dict(enumerate(layouts, start=1)))

    return given


WITH_REASON = rows.Void.BOOK[1]
WITHOUT = tuple(line for line in WITH_REASON if line != "reason")


def void(shop, reason=""):
    return write_down(
        rows.Void(
            kind="job",
            person=shop.mechanic,
            about="air-spring",
            by=shop.owner,
            reason=reason,
            happened_on=TODAY,
            recorded_at=NOW,
        )
    )


@pytest.fixture
def blank_reasons(monkeypatch):
    """The column of this example may be empty, as one that comes later is in older rows."""
    monkeypatch.setattr(rows.Void._meta.get_field("reason"), "blank", True)


def test_a_column_that_came_later_changes_no_older_entry_and_stands_in_each_newer_one(
    shop, in_versions, blank_reasons
):
    in_versions(WITHOUT)
    void(shop)
    in_versions(WITHOUT, WITH_REASON)
    assert list(faults()) == []
    void(shop, "Said now.")
    older, newer = rows.BookEntry.objects.filter(kind__startswith="void").order_by("number")
    assert (older.kind, newer.kind) == ("void", "void@2")
    assert ("reason" in json.loads(older.body), json.loads(newer.body)["reason"]) == (
        False,
        "Said now.",
    )
    assert list(faults()) == []


def test_a_later_column_filled_in_behind_an_older_entry_is_found_until_an_entry_says_so(
    shop, unsealed, in_versions, blank_reasons
):
    in_versions(WITHOUT)
    row = void(shop)
    in_versions(WITHOUT, WITH_REASON)
    rows.Void.objects.update(reason="Slipped in.")
    (found,) = faults()
    assert "reason was filled in, and no entry says so" in found.problem
    row.refresh_from_db()
    with transaction.atomic():
        record("void", row)
    assert list(faults()) == []
    rows.Void.objects.update(reason="Another.")
    assert "reason" in next(faults()).problem


@pytest.mark.parametrize(
    "kind", ["void@9", "void@", "void@1", "void@02", "void@x", "fine print", "void@²"]
)
def test_an_entry_of_a_kind_that_nobody_knows_is_a_fault_and_no_failure(shop, unsealed, as_, kind):
    """Its digest was made anew, as by somebody who knows how; so only the kind itself tells."""
    void(shop, "So.")
    entry = rows.BookEntry.objects.get(kind="void")
    made = link(
        number=entry.number,
        kind=kind,
        row=entry.row,
        written_at=entry.written_at,
        body=json.loads(entry.body),
        previous=entry.previous,
    )
    rows.BookEntry.objects.filter(pk=entry.pk).update(kind=kind, digest=made.digest)
    rows.BookHead.objects.update(digest=made.digest)
    assert [
        (fault.number, "does not know" in fault.problem) for fault in faults() if fault.number
    ] == [(head()[0], True)]
    assert f"entry {head()[0]}" in as_(shop.owner).get("/book/?check=yes").text.lower()


@pytest.mark.parametrize(("kind", "version"), [("sign-off", 1), ("sign-off", 2), ("sign-off", 12)])
def test_a_kind_and_its_version_are_read_back_as_written(kind, version):
    assert kind_and_version(write_kind(kind, version)) == (kind, version)
