"""Is a form that is sent again the same entry, whoever sends it and whenever?"""

import datetime
import re

import pytest
from django.db import IntegrityError, transaction

from procedures.records.refused import Refused
from tests.training.factories import PASSWORD
from tests.training.shop import NOW, TODAY, lifted, proof, stood_down
from training.actions import entries, signing
from training.actions.once import write_once
from training.models import Appointment, Job, Lift, Reading, SignOff, StandDown, Taken
from training.records.sheets import signing_sheet

ALREADY = "This was saved already. Nothing was saved twice."
OUT_OF_DATE = "This page is out of date. Open it again."
DAY = datetime.timedelta(days=1)
JOB = {"on": "2026-11-25", "watched_by": "", "v-ring": "prong"}
DOWN = {"level": "", "first": "2026-11-25", "reason": "A ring came out.", "password": PASSWORD}


def mark_of(page):
    return re.search(r'name="mark" value="([^"]+)"', page.text)[1]


def test_every_page_with_a_form_that_writes_an_entry_gives_it_a_mark_of_its_own(shop, as_):
    down = stood_down(person=shop.mechanic, by=shop.owner)
    for person, address in (
        (shop.trainee, "/study/air-spring-service/?ring=prong"),
        (shop.senior, "/levels/air-spring/job/"),
        (shop.senior, "/who-may/air-spring/tilda/observe/?v-ring=prong"),
        (shop.senior, "/stand-down/mika/"),
        (shop.senior, f"/lift/{down.pk}/"),
        (shop.owner, "/people/wim/"),
    ):
        browser = as_(person)
        assert mark_of(browser.get(address)) != mark_of(browser.get(address)), address


def test_a_form_without_its_mark_is_not_taken(shop, as_):
    page = as_(shop.senior).post("/levels/air-spring/job/", JOB | {"mark": ""})
    assert OUT_OF_DATE in page.text
    assert OUT_OF_DATE in as_(shop.senior).post("/stand-down/mika/", DOWN | {"mark": ""}).text
    assert (
        OUT_OF_DATE
        in as_(shop.trainee)
        .post("/study/air-spring-service/read/", {"revision": "1", "mark": ""}, follow=True)
        .text
    )
    for kind in (Job, StandDown, Reading):
        assert not kind.objects.exists()


def test_a_replay_days_later_is_the_same_entry_and_says_so(shop, as_, clock):
    reading = {"revision": "1", "mark": "r" * 32}
    for _ in range(2):
        page = as_(shop.trainee).post("/study/air-spring-service/read/", reading, follow=True)
        job = as_(shop.senior).post(
            "/levels/air-spring/job/", JOB | {"mark": "j" * 32}, follow=True
        )
        clock.move_to(NOW + 3 * DAY)
    assert ALREADY in page.text
    assert ALREADY in job.text
    assert (Reading.objects.count(), Job.objects.count()) == (1, 1)


def test_a_stand_down_sent_again_after_it_was_lifted_does_not_come_back(shop, as_):
    data = DOWN | {"mark": "d" * 32}
    as_(shop.senior).post("/stand-down/mika/", data)
    lifted(standdown=StandDown.objects.get(), by=shop.owner)
    assert ALREADY in as_(shop.senior).post("/stand-down/mika/", data, follow=True).text
    assert StandDown.objects.count() == 1


def test_somebody_may_be_stood_down_again_after_a_lift(shop):
    lifted(standdown=stood_down(person=shop.mechanic, by=shop.senior), by=shop.owner)
    assert stood_down(person=shop.mechanic, by=shop.senior).pk != StandDown.objects.first().pk


def test_an_open_stand_down_is_not_given_twice(shop):
    stood_down(person=shop.mechanic, by=shop.senior, level=shop.level)
    with pytest.raises(Refused, match="is stood down from that day already"):
        stood_down(person=shop.mechanic, by=shop.owner, level=shop.level)
    stood_down(person=shop.mechanic, by=shop.owner)  # at every level: another one
    assert StandDown.objects.count() == 2


def test_a_sign_off_sent_again_is_the_same_one(shop, ready, as_):
    browser, address = as_(shop.senior), "/who-may/air-spring/tilda/sign-off/"
    data = {"password": PASSWORD, "shown": browser.get(address).context["sheet"].digest, "note": ""}
    browser.post(address, data)
    assert ALREADY in browser.post(address, data, follow=True).text
    assert SignOff.objects.filter(person=ready).count() == 1


def test_a_lift_sent_again_is_the_same_one(shop, as_):
    down = stood_down(person=shop.mechanic, by=shop.senior)
    data = {"on": "2026-11-25", "reason": "Settled.", "password": PASSWORD, "mark": "l" * 32}
    for _ in range(2):
        page = as_(shop.owner).post(f"/lift/{down.pk}/", data, follow=True)
    assert ALREADY in page.text
    assert Lift.objects.count() == 1


def test_the_mark_of_somebody_else_is_not_accepted(shop, as_):
    as_(shop.senior).post("/levels/air-spring/job/", JOB | {"mark": "a" * 32})
    page = as_(shop.trainee).post(
        "/levels/air-spring/job/", JOB | {"watched_by": "sol", "mark": "a" * 32}
    )
    assert OUT_OF_DATE in page.text
    assert Job.objects.get().person == shop.senior


def test_a_mark_serves_one_kind_of_form(shop):
    assert not write_once(
        Reading,
        person=shop.senior,
        mark="x" * 32,
        write=lambda: entries.record_reading(person=shop.senior, revision=shop.revision),
    ).again
    assert not write_once(
        StandDown,
        person=shop.senior,
        mark="x" * 32,
        write=lambda: stood_down(person=shop.mechanic, by=shop.senior),
    ).again


def test_a_refused_form_keeps_its_mark(shop, as_):
    data = JOB | {"mark": "k" * 32}
    as_(shop.senior).post("/levels/air-spring/job/", data | {"on": "2026-11-26"})
    assert not Taken.objects.exists()
    assert as_(shop.senior).post("/levels/air-spring/job/", data).status_code == 302


def test_one_revision_is_read_once_a_day_by_one_person(shop, clock):
    entries.record_reading(person=shop.trainee, revision=shop.revision)
    with pytest.raises(Refused, match="You have said today that you studied this revision"):
        entries.record_reading(person=shop.trainee, revision=shop.revision)
    clock.move_to(NOW + DAY)
    assert entries.record_reading(person=shop.trainee, revision=shop.revision)


def test_somebody_is_appointed_for_the_same_days_once(shop):
    def appoint(until):
        return signing.appoint(
            person=shop.other_senior, level=shop.level, by=shop.owner, first=TODAY, until=until
        )

    appoint(TODAY + DAY)
    assert appoint(None).until is None  # for longer
    for until in (TODAY + DAY, None):
        with pytest.raises(Refused, match="may sign off this level from that day already"):
            appoint(until)
    assert Appointment.objects.filter(person=shop.other_senior).count() == 2


def test_the_database_itself_holds_what_is_signed_once(shop, ready):
    sheet = signing_sheet(
        person=ready, level=shop.level, signer=shop.senior, limits={}, on=TODAY, now=NOW
    )
    given = proof(shop.senior, sheet.digest)
    row = signing.sign_off(
        person=ready,
        level=shop.level,
        signer=shop.senior,
        limits={},
        shown=sheet.digest,
        proof=given,
    )
    row.pk = None
    with pytest.raises(IntegrityError), transaction.atomic():
        row.save(force_insert=True)


def test_what_is_there_twice_from_before_stays_and_hinders_nobody(shop):
    said = {
        "person": shop.trainee,
        "revision": shop.revision,
        "happened_on": TODAY,
        "recorded_at": NOW,
    }
    Reading.objects.bulk_create([Reading(**said), Reading(**said)])
    assert entries.record_reading(person=shop.trainee, revision=shop.revision)


def test_a_proof_is_used_once(shop):
    given = proof(
        shop.senior, signing.words_of_stand_down(shop.mechanic, None, TODAY, "A ring came out.")
    )
    first = signing.stand_down(
        person=shop.mechanic,
        level=None,
        first=TODAY,
        by=shop.senior,
        reason="A ring came out.",
        proof=given,
    )
    lifted(standdown=first, by=shop.owner)
    with pytest.raises(Refused, match="You typed this password for something else"):
        signing.stand_down(
            person=shop.mechanic,
            level=None,
            first=TODAY,
            by=shop.senior,
            reason="A ring came out.",
            proof=given,
        )


@pytest.mark.parametrize("change", ["person", "level", "first", "reason"])
def test_the_password_for_a_stand_down_serves_no_other(shop, change):
    said = {
        "person": shop.mechanic,
        "level": shop.level,
        "first": TODAY,
        "reason": "A ring came out.",
    }
    given = proof(shop.senior, signing.words_of_stand_down(*said.values()))
    other = {"person": shop.trainee, "level": None, "first": TODAY + DAY, "reason": "Another."}
    with pytest.raises(Refused, match="You typed this password for something else"):
        signing.stand_down(**said | {change: other[change]}, by=shop.senior, proof=given)


@pytest.mark.parametrize("change", ["standdown", "on", "reason"])
def test_the_password_for_a_lift_serves_no_other(shop, change):
    said = {
        "standdown": stood_down(person=shop.mechanic, by=shop.owner),
        "on": TODAY,
        "reason": "Settled.",
    }
    given = proof(shop.senior, signing.words_of_lift(*said.values()))
    other = {
        "standdown": stood_down(person=shop.trainee, by=shop.owner),
        "on": TODAY + DAY,
        "reason": "Another.",
    }
    with pytest.raises(Refused, match="You typed this password for something else"):
        signing.lift(**said | {change: other[change]}, by=shop.senior, proof=given)


def test_a_first_sign_off_without_a_note_is_refused_in_the_action_too(shop):
    sheet = signing_sheet(
        person=shop.mechanic,
        level=shop.level,
        signer=shop.owner,
        limits={},
        on=TODAY,
        now=NOW,
        founding=True,
    )
    for note in ("", "  "):
        with pytest.raises(Refused, match="what proof"):
            signing.sign_off(
                person=shop.mechanic,
                level=shop.level,
                signer=shop.owner,
                limits={},
                shown=sheet.digest,
                founding=True,
                note=note,
                proof=proof(shop.owner, sheet.digest),
            )


@pytest.mark.parametrize("by", ["trainee", "mechanic", "senior"])
def test_only_the_owner_appoints_also_in_the_action(shop, by):
    with pytest.raises(Refused, match="Only the owner can appoint"):
        signing.appoint(
            person=shop.other_senior,
            level=shop.level,
            by=getattr(shop, by),
            first=TODAY,
            until=None,
        )
