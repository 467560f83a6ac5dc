"""Are readings, jobs, observations and stand-downs written down as they happened, and refused where they cannot count?"""

import datetime

import pytest

from procedures.refused import Refused
from tests.procedures.factories import RevisionFactory
from tests.training.factories import PASSWORD
from tests.training.shop import LONG_AGO, NOW, TODAY, found, observe, proof, seen_lines, watched_job
from training.actions import entries, signing
from training.keeping import faults
from training.models import Job, Lift, Observation, Reading, StandDown


def job(shop, person, **changes):
    given = {"on": TODAY, "watched_by": None, "variant": {}, "by": person} | changes
    return entries.record_job(person=person, level=shop.level, revision=None, today=TODAY, now=NOW, **given)


def test_a_reading_is_of_the_current_revision(shop, as_):
    assert as_(shop.trainee).post("/study/air-spring-service/read/", {"revision": "1"}).status_code == 302
    assert Reading.objects.get(person=shop.trainee).happened_on == TODAY
    as_(shop.trainee).post("/study/air-spring-service/read/", {"revision": "2"})
    assert Reading.objects.count() == 1


def test_a_draft_is_not_read(shop):
    draft = RevisionFactory(writeup=shop.writeup, number=2)
    with pytest.raises(Refused, match="not released"):
        entries.record_reading(person=shop.trainee, revision=draft, on=TODAY, now=NOW)


def test_somebody_alone_writes_down_a_job(shop):
    assert job(shop, shop.senior).watched_by is None


def test_somebody_not_alone_names_who_watched(shop):
    with pytest.raises(Refused, match="Name the mechanic who watched"):
        job(shop, shop.trainee)
    with pytest.raises(Refused, match="not watched by somebody entitled"):
        job(shop, shop.trainee, watched_by=shop.mechanic)
    with pytest.raises(Refused, match="Nobody watches their own job"):
        job(shop, shop.trainee, watched_by=shop.trainee)
    assert job(shop, shop.trainee, watched_by=shop.senior).watched_by == shop.senior
    assert Job.objects.count() == 1


def test_a_day_that_has_not_come_is_refused(shop):
    with pytest.raises(Refused, match="has not come yet"):
        job(shop, shop.senior, on=TODAY + datetime.timedelta(days=1))


def test_an_observation_is_right_when_every_critical_line_was_unaided(shop):
    assert observe(shop, shop.trainee).right is True
    assert observe(shop, shop.trainee, "prompted").right is False
    assert observe(shop, shop.trainee, "not right").right is False


def test_every_line_of_the_check_sheet_is_filled_in(shop, as_):
    address = "/who-may/air-spring/tilda/observe/?v-ring=prong"
    page = as_(shop.senior).post(address, {"note": "Steady hands."})
    assert "Say for every line how it was seen." in page.text
    assert "Steady hands." in page.text
    assert as_(shop.senior).post(address, {"seen-let-air-out": "unaided", "note": ""}).status_code == 302
    assert Observation.objects.get().lines == [
        {"step": "let-air-out", "title": "Let the air out", "critical": True, "seen": "unaided", "values": []}
    ]


@pytest.mark.parametrize(
    ("observer", "said"),
    [("trainee", "Nobody observes their own work"), ("mechanic", "A senior mechanic observes"), ("other_senior", "not alone at this level")],
)
def test_only_a_senior_who_is_alone_observes_somebody_else(shop, observer, said):
    with pytest.raises(Refused, match=said):
        entries.record_observation(
            person=shop.trainee, level=shop.level, observer=getattr(shop, observer), revision=shop.revision, variant={},
            lines=seen_lines(shop.revision), on=TODAY, today=TODAY, now=NOW,
        )  # fmt: skip


def test_a_stand_down_takes_the_standing_and_a_lift_gives_it_back(shop, as_):
    found(shop.mechanic, shop.level, shop.owner)
    browser = as_(shop.senior)
    data = {"level": "", "first": "2026-11-25", "reason": "A ring came out.", "password": PASSWORD}
    assert browser.post("/stand-down/mika/", data).status_code == 302
    assert "Stood down from all work" in browser.get("/who-may/air-spring/mika/").text
    data = {"on": "2026-11-25", "reason": "Went through it again.", "password": PASSWORD}
    assert browser.post(f"/lift/{StandDown.objects.get().pk}/", data).status_code == 302
    assert "May do this work alone." in browser.get("/who-may/air-spring/mika/").text
    assert list(faults()) == []


def test_a_wrong_password_stands_nobody_down(shop, as_):
    data = {"level": "", "first": "2026-11-25", "reason": "A ring came out.", "password": "guessed"}
    assert "Nothing was signed." in as_(shop.senior).post("/stand-down/mika/", data).text
    assert not StandDown.objects.exists()


def test_a_stand_down_is_not_lifted_by_its_own_person_nor_twice_nor_before_it_began(shop):
    down = signing.stand_down(
        person=shop.other_senior, level=None, first=TODAY, by=shop.senior, reason="A ring came out.",
        proof=proof(shop.senior, f"stand down {shop.other_senior.pk}"), now=NOW,
    )  # fmt: skip

    def lift(by, on=TODAY, reason="Settled."):
        return signing.lift(standdown=down, on=on, by=by, reason=reason, proof=proof(by, f"lift {down.pk}"), now=NOW)

    for by, on, reason, said in (
        (shop.other_senior, TODAY, "Settled.", "Nobody lifts their own"),
        (shop.mechanic, TODAY, "Settled.", "A senior mechanic or the owner"),
        (shop.owner, LONG_AGO, "Settled.", "on or after the day on which it began"),
        (shop.owner, TODAY, " ", "Say what was done"),
    ):
        with pytest.raises(Refused, match=said):
            lift(by, on, reason)
    lift(shop.owner)
    with pytest.raises(Refused, match="lifted already"):
        lift(shop.senior)
    assert Lift.objects.count() == 1


def test_a_watched_job_and_a_reading_show_on_the_record(shop, as_):
    watched_job(shop, shop.trainee)
    page = as_(shop.trainee).get("/who-may/air-spring/tilda/").text
    assert "Job, watched by Sol Senior, ring prong" in page
