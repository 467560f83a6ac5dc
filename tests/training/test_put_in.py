"""Is a shop that is put in again the one that was built?"""

import pytest
from django.apps import apps
from django.db import models, transaction

from tests import put_in as putting
from tests.put_in import put_in
from tests.training.conftest import full_shop
from tests.training.factories import WorkshopFactory
from tests.training.shop import NOW, TODAY, busy_shop, small_shop
from training.models import Job, User, Workshop
from training.records.keeping import faults


@pytest.fixture
def none_built(monkeypatch):
    monkeypatch.setattr(putting, "_BUILT", {})


def lying():
    """Every row of every table, asked for through the models."""
    found = {
        model._meta.label: list(model._base_manager.order_by("pk").values_list())
        for model in apps.get_models(include_auto_created=True)
    }
    return {label: rows for label, rows in found.items() if rows}


@pytest.fixture
def twice(db, clock, none_built):
    """What comes back and what lies in the tables: for a shop that is built, and put in again."""

    def of(build):
        for _ in range(2):
            with transaction.atomic():
                made = put_in(build)
                yield made, lying(), list(faults())
                transaction.set_rollback(True)

    return of


def fields(made):
    """What a builder gave, with every column of the rows that are in it."""
    return {
        name: [value.serializable_value(field.attname) for field in value._meta.concrete_fields]
        if isinstance(value, models.Model)
        else value
        for name, value in vars(made).items()
    }


@pytest.mark.parametrize("build", [small_shop, full_shop, busy_shop], ids=lambda one: one.__name__)
def test_the_rows_the_book_and_what_comes_back_are_the_same(twice, build):
    (built, laid, wrong), (again, laid_again, wrong_again) = twice(build)
    assert len(laid) > 10
    assert laid_again == laid
    assert fields(again) == fields(built)
    assert wrong == wrong_again == []


def test_it_is_built_once_in_a_process(db, clock, none_built):
    times = []

    def build():
        times.append(1)
        return small_shop()

    for _ in range(3):
        with transaction.atomic():
            put_in(build)
            transaction.set_rollback(True)
    assert len(times) == 1


def test_one_test_changes_nothing_for_the_next(db, clock, none_built):
    with transaction.atomic():
        put_in(small_shop).trainee.name = "Another"
        User.objects.filter(login="mika").update(name="Another")
        transaction.set_rollback(True)
    shop = put_in(small_shop)
    assert (shop.trainee.name, shop.trainee.pk) == ("Tilda Trainee", shop.trainee.pk)
    assert not User.objects.filter(name="Another").exists()


def test_rows_that_come_later_have_keys_of_their_own(db, clock, none_built):
    for _ in range(2):
        with transaction.atomic():
            shop = put_in(full_shop)
            there = set(Job.objects.values_list("pk", flat=True))
            job = Job.objects.create(
                person=shop.trainee, level=shop.level, happened_on=TODAY, recorded_at=NOW
            )
            assert job.pk not in there
            transaction.set_rollback(True)


def test_beside_rows_of_others_it_is_built_anew(db, clock, none_built):
    with transaction.atomic():
        put_in(small_shop)
        transaction.set_rollback(True)
    other = WorkshopFactory(name="Another Workshop")
    assert put_in(small_shop).workshop.pk != other.pk
    assert Workshop.objects.count() == 2
