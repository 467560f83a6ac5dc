"""Does a wrong clock leave the record in order, and bring nothing back?"""

import datetime
import io
import json

import pytest
from django.core.management import call_command
from django.db import transaction

from procedures.records.refused import Refused
from tests.training.shop import LONG_AGO, NOW, TODAY, found, lifted, stood_down, watched_job
from training.actions import entries
from training.actions.people import change_person
from training.models import BookEntry, Job, Reading, shop_now
from training.records.clock import ClockBehind, moment
from training.records.keeping import faults

HOUR = datetime.timedelta(hours=1)
DAY = datetime.timedelta(days=1)


def read(shop, person=None):
    return entries.record_reading(person=person or shop.trainee, revision=shop.revision)


def standing(shop, person):
    from training.reports.who_may import LevelAsked, who_may

    told = who_may(
        [LevelAsked("air-spring", shop.workshop.today(), shop_now(), {})], person=person.login
    )
    return told[0]["people"][0]["standing"]


def test_an_entry_takes_its_instant_when_it_is_its_turn(shop, clock):
    clock.move_to(NOW + HOUR)
    assert read(shop).recorded_at == NOW + HOUR


def test_nothing_is_written_with_an_instant_before_the_newest_entry(shop, clock):
    read(shop)
    clock.move_to(NOW - HOUR)
    with pytest.raises(
        ClockBehind, match="The clock of this machine shows 25 Nov 2026, 08:30:00"
    ) as refused:
        read(shop, shop.mechanic)
    assert "Set the clock right" in refused.value.message
    assert Reading.objects.count() == 1


def test_what_has_no_instant_of_its_own_waits_for_the_clock_too(shop, clock):
    clock.move_to(NOW - HOUR)
    person = shop.trainee
    with pytest.raises(ClockBehind):
        change_person(
            person=person,
            name="Tilda Turner",
            trade=person.trade,
            owner=False,
            workshop=person.workshop,
            started=person.started,
            left=None,
            is_active=True,
            by=shop.owner,
        )


def test_a_page_says_what_to_do_about_the_clock(shop, clock, as_):
    clock.move_to(NOW - HOUR)
    page = as_(shop.trainee).post("/study/air-spring-service/read/", {"revision": "1"}, follow=True)
    assert "The clock of this machine shows" in page.text
    assert not Reading.objects.exists()


def test_a_small_step_back_takes_the_instant_after_the_newest(shop, clock):
    clock.move_to(NOW - datetime.timedelta(seconds=1))
    assert NOW < read(shop).recorded_at < NOW + datetime.timedelta(seconds=1)


@pytest.mark.parametrize("back", [HOUR, 400 * DAY])
def test_a_stand_down_counts_at_once_whatever_the_clock(shop, clock, back):
    assert standing(shop, shop.senior) == "alone"
    clock.move_to(NOW - back)
    row = stood_down(person=shop.senior, by=shop.owner, now=None)
    assert NOW < row.recorded_at < NOW + datetime.timedelta(seconds=1)
    assert standing(shop, shop.senior) == "no"
    assert list(faults()) == []


def test_a_clock_set_back_lifts_no_stand_down(shop, clock):
    stood_down(person=shop.senior, by=shop.owner)
    clock.move_to(NOW - 3 * DAY)
    assert standing(shop, shop.senior) == "no"


def test_a_stand_down_that_was_lifted_does_not_come_back_with_the_clock(shop, clock):
    row = stood_down(person=shop.senior, by=shop.owner)
    clock.move_to(NOW + 2 * DAY)
    lifted(standdown=row, by=shop.owner, on=TODAY + 2 * DAY, now=None)
    clock.move_to(NOW + HOUR)
    assert standing(shop, shop.senior) == "alone"


def test_the_day_of_a_job_is_held_against_the_shops_own_day(shop, clock):
    clock.move_to(NOW - 3 * DAY)
    assert shop.workshop.today() == TODAY


def test_the_moment_is_taken_inside_a_transaction_only(transactional_db):
    with pytest.raises(RuntimeError, match="inside the transaction"):
        moment()
    with transaction.atomic():
        assert moment()


def test_instants_of_the_book_never_go_back(shop, clock):
    for minutes in (1, 3, 2, 5):
        clock.move_to(NOW + datetime.timedelta(minutes=minutes))
        try:
            watched_job(shop, shop.trainee)
        except Refused:
            continue
    written = list(BookEntry.objects.order_by("number").values_list("written_at", flat=True))
    assert written == sorted(written)
    assert Job.objects.count() == 3
    assert found(shop.mechanic, shop.level, shop.owner, on=LONG_AGO)


def test_the_owner_and_health_and_check_say_that_the_clock_is_behind(shop, clock, as_, monkeypatch):
    # The probe asks beside this test, whose own transaction holds the head of the book.
    monkeypatch.setattr("training.records.probe._try", lambda *_: "")
    assert as_(shop.owner).get("/healthz/").text == "ok"
    clock.move_to(NOW - HOUR)
    told = "The clock of this machine is behind: it shows 25 Nov 2026, "
    assert told in as_(shop.owner).get("/").text
    assert told not in as_(shop.trainee).get("/").text
    answer = as_(shop.owner).get("/healthz/")
    assert (answer.status_code, answer.text) == (503, "clock behind")
    err = io.StringIO()
    call_command("check", tags=["database"], databases=["default"], stderr=err)
    assert told in err.getvalue()


def test_may_is_never_asked_before_the_newest_entry(shop, clock):
    stood_down(person=shop.senior, by=shop.owner)
    clock.move_to(NOW - 3 * DAY)
    out = io.StringIO()
    call_command("may", level="air-spring", format="json", stdout=out)
    told = json.loads(out.getvalue())
    assert told["known_at"] == "2026-11-25T09:30:00Z"
    assert next(person["standing"] for person in told["people"] if person["login"] == "sol") == "no"


def test_a_clock_that_was_ahead_leaves_the_site_waiting_and_says_so(shop, clock, as_):
    """Set a month ahead, one job written, set right again: stand-downs count, all else waits,
    nothing is hidden.
    """
    ahead = NOW + 30 * DAY
    clock.move_to(ahead)
    assert (
        entries.record_reading(person=shop.trainee, revision=shop.revision).happened_on
        == TODAY + 30 * DAY
    )
    clock.move_to(NOW + HOUR)
    assert shop.workshop.today() == TODAY + 30 * DAY
    with pytest.raises(ClockBehind, match="it was ahead before: wait until 25 Dec 2026"):
        read(shop, shop.mechanic)
    page = as_(shop.owner).get("/").text
    assert "some entries have a wrong day" in page
    assert "the site saves only stand-downs" in page
    row = stood_down(person=shop.senior, by=shop.owner, first=TODAY, now=None)
    assert standing(shop, shop.senior) == "no"
    with pytest.raises(ClockBehind):
        lifted(standdown=row, by=shop.owner, now=None)
    clock.move_to(ahead + HOUR)
    assert read(shop, shop.mechanic)
    assert standing(shop, shop.senior) == "no"
    assert list(faults()) == []
