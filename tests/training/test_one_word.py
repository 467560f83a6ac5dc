"""Is a watcher's word on a job taken once when two come in at one moment, and does a void at that
moment hold?
"""

import threading
from datetime import timedelta

import pytest
from django.db import connection, transaction

from procedures.records.refused import Refused
from tests.training.shop import NOW, TODAY, small_shop, waiting_job
from training.actions.confirming import confirm_job, refuse_job
from training.actions.entries import write_down
from training.models import JobConfirmation, Void
from training.records.clock import moment
from training.records.gathering import gather
from training.records.keeping import faults
from training.standing.known import Known

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(
        connection.vendor == "sqlite",
        reason="SQLite has one writer at a time; one after the other is in test_confirming.py",
    ),
]


def while_open(first, second):
    """Does `first` in a transaction, begins `second` in another thread before it ends; what the
    second one was told comes back.
    """
    told, done = [], threading.Event()

    def later():
        done.wait(30)
        try:
            second()
            told.append("done")
        except Refused as refused:
            told.append(refused.message)
        finally:
            connection.close()

    thread = threading.Thread(target=later)
    thread.start()
    with transaction.atomic():
        first()
        done.set()
        thread.join(0.5)  # as long as the first has not ended, the second one waits
        assert told == []
    thread.join(30)
    return told


@pytest.mark.parametrize("second_says", ["confirm", "refuse"])
def test_the_first_of_two_words_at_one_moment_stands(clock, second_says):
    shop = small_shop()
    job = waiting_job(shop, shop.trainee)

    def second():
        if second_says == "confirm":
            confirm_job(job=job, by=shop.senior)
        else:
            refuse_job(job=job, by=shop.senior, reason="I was not there.")

    told = while_open(lambda: confirm_job(job=job, by=shop.senior), second)
    assert told == ["You have answered this already. Nothing was saved twice."]
    assert JobConfirmation.objects.get().confirmed
    assert list(faults()) == []


@pytest.mark.parametrize("void_first", [True, False])
def test_a_void_at_the_moment_of_the_confirmation_holds(clock, void_first):
    shop = small_shop()
    job = waiting_job(shop, shop.trainee)

    @transaction.atomic
    def void():
        write_down(
            Void(
                kind="job",
                person=shop.trainee,
                about="air-spring",
                by=shop.owner,
                reason="Never done.",
                happened_on=TODAY,
                recorded_at=moment(NOW),
            )
        )

    def confirm():
        confirm_job(job=job, by=shop.senior)

    told = while_open(*((void, confirm) if void_first else (confirm, void)))
    assert told == (
        ["This job was cancelled, so there is nothing to confirm."] if void_first else ["done"]
    )
    assert Known(gather(), NOW + timedelta(days=1)).jobs("tilda", "air-spring") == ()
    assert list(faults()) == []
