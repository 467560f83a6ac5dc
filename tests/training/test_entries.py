"""Are readings, jobs, observations and stand-downs written down as they happened, and refused where
they cannot count?
"""

import datetime

import pytest

from procedures.records.refused import Refused
from procedures.writeup.check_sheet import check_sheet, mark_seen
from procedures.writeup.parse import parse
from tests.procedures.factories import RevisionFactory
from tests.training.factories import PASSWORD
from tests.training.shop import (
    LONG_AGO,
    NOW,
    TODAY,
    found,
    lifted,
    observe,
    proof,
    seen_lines,
    stood_down,
    watched_job,
)
from training.actions import entries, signing
from training.models import Job, Lift, Observation, Reading, StandDown
from training.records.keeping import faults
from training.records.sheets import signing_sheet


def job(shop, person, **changes):
    given = {"on": TODAY, "watched_by": None, "variant": {}, "by": person} | changes
    return entries.record_job(
        person=person, level=shop.level, revision=None, today=TODAY, now=NOW, **given
    )


def test_a_reading_is_of_the_current_revision(shop, as_):
    assert (
        as_(shop.trainee).post("/study/air-spring-service/read/", {"revision": "1"}).status_code
        == 302
    )
    assert Reading.objects.get(person=shop.trainee).happened_on == TODAY
    as_(shop.trainee).post("/study/air-spring-service/read/", {"revision": "2"})
    assert Reading.objects.count() == 1


def test_a_revision_is_read_from_the_day_of_its_release_on(shop):
    first = shop.revision.released_on
    common = {"person": shop.trainee, "revision": shop.revision, "now": NOW}
    with pytest.raises(Refused, match="not released"):
        entries.record_reading(on=first - datetime.timedelta(days=1), **common)
    assert entries.record_reading(on=first, **common).happened_on == first


def test_a_draft_is_not_read(shop):
    draft = RevisionFactory(writeup=shop.writeup, number=2)
    with pytest.raises(Refused, match="not released"):
        entries.record_reading(person=shop.trainee, revision=draft, on=TODAY, now=NOW)


def test_somebody_alone_writes_down_a_job(shop):
    assert job(shop, shop.senior).watched_by is None


def test_somebody_not_alone_names_who_watched(shop):
    with pytest.raises(Refused, match="Choose the mechanic who watched"):
        job(shop, shop.trainee)
    with pytest.raises(Refused, match="could not supervise this job"):
        job(shop, shop.trainee, watched_by=shop.mechanic)
    with pytest.raises(Refused, match="You cannot supervise your own job"):
        job(shop, shop.trainee, watched_by=shop.trainee)
    assert job(shop, shop.trainee, watched_by=shop.senior).watched_by == shop.senior
    assert Job.objects.count() == 1


def test_a_day_that_has_not_come_is_refused(shop):
    with pytest.raises(Refused, match="is still to come"):
        job(shop, shop.senior, on=TODAY + datetime.timedelta(days=1))


def test_an_observation_is_right_when_every_critical_line_was_unaided(shop):
    assert observe(shop, shop.trainee).right is True
    assert observe(shop, shop.trainee, "prompted").right is False
    assert observe(shop, shop.trainee, "not right").right is False


def test_an_observation_without_a_line_says_nothing_and_is_not_written_down(shop):
    """All of no lines are right: without this it would count as seen right."""
    with pytest.raises(Refused, match="Choose for every line how you saw it done"):
        entries.record_observation(
            person=shop.trainee,
            level=shop.level,
            observer=shop.senior,
            revision=shop.revision,
            variant={"ring": "prong"},
            lines=[],
            today=TODAY,
            now=NOW,
        )
    assert not Observation.objects.exists()


def test_every_line_of_the_check_sheet_is_filled_in(shop, as_):
    address = "/who-may/air-spring/tilda/observe/?v-ring=prong"
    page = as_(shop.senior).post(address, {"note": "Steady hands.", "revision": "1"})
    assert "Choose for every line how you saw it done." in page.text
    assert "Steady hands." in page.text
    assert (
        as_(shop.senior)
        .post(address, {"seen-let-air-out": "unaided", "note": "", "revision": "1"})
        .status_code
        == 302
    )
    assert Observation.objects.get().lines == [
        {
            "step": "let-air-out",
            "title": "Let the air out",
            "critical": True,
            "seen": "unaided",
            "values": [],
        }
    ]


def test_a_note_on_a_line_is_kept_through_a_refusal_and_then_with_the_line(shop, as_):
    address = "/who-may/air-spring/tilda/observe/?v-ring=prong"
    page = as_(shop.senior).post(address, {"note-let-air-out": "Asked twice where the valve is."})
    assert "Asked twice where the valve is.</textarea>" in page.text
    as_(shop.senior).post(
        address,
        {
            "seen-let-air-out": "prompted",
            "note-let-air-out": "Asked twice where the valve is.",
            "revision": "1",
        },
    )
    assert Observation.objects.get().lines[0]["note"] == "Asked twice where the valve is."


def test_the_check_sheet_has_each_step_in_full_with_why_it_is_critical(shop, as_):
    page = as_(shop.senior).get("/who-may/air-spring/tilda/observe/?v-ring=prong").text
    assert "Critical: a cap under pressure can blind" in page


@pytest.mark.parametrize(
    ("measured", "said"), [("9", "9 is outside foot bolt 7 ± 0.5 N·m"), ("tight", "“tight")]
)
def test_a_value_outside_its_range_or_unreadable_is_refused_by_line(shop, measured, said):
    (line,) = check_sheet(
        parse(
            "---\ntitle: T\n---\n## P\n\n### Tighten {#tighten}\ntorque: foot bolt 7 ± 0.5 "
            "N·m\n\nTighten.\n"
        ).steps
    )
    with pytest.raises(Refused, match="cannot be right") as refused:
        entries.record_observation(
            person=shop.trainee,
            level=shop.level,
            observer=shop.senior,
            revision=shop.revision,
            variant={"ring": "prong"},
            lines=[mark_seen(line, "unaided", [measured])],
            on=TODAY,
            today=TODAY,
            now=NOW,
        )
    assert refused.value.details[0].startswith("Tighten: ")
    assert said in refused.value.details[0]
    assert not Observation.objects.exists()


@pytest.mark.parametrize(
    ("observer", "said"),
    [
        ("trainee", "You cannot observe your own work"),
        ("mechanic", "Only a senior mechanic or the owner can observe"),
        ("other_senior", "work alone at this level"),
    ],
)
def test_only_a_senior_who_is_alone_observes_somebody_else(shop, observer, said):
    with pytest.raises(Refused, match=said):
        entries.record_observation(
            person=shop.trainee,
            level=shop.level,
            observer=getattr(shop, observer),
            revision=shop.revision,
            variant={},
            lines=seen_lines(shop.revision),
            on=TODAY,
            today=TODAY,
            now=NOW,
        )


def test_a_stand_down_takes_the_standing_and_a_lift_gives_it_back(shop, as_):
    found(shop.mechanic, shop.level, shop.owner)
    browser = as_(shop.senior)
    data = {"level": "", "first": "2026-11-25", "reason": "A ring came out.", "password": PASSWORD}
    assert browser.post("/stand-down/mika/", data).status_code == 302
    assert "Stood down from all work" in browser.get("/who-may/air-spring/mika/").text
    data = {"on": "2026-11-25", "reason": "Went through it again.", "password": PASSWORD}
    assert browser.post(f"/lift/{StandDown.objects.get().pk}/", data).status_code == 302
    assert "May work alone." in browser.get("/who-may/air-spring/mika/").text
    assert list(faults()) == []


def test_a_wrong_password_stands_nobody_down(shop, as_):
    data = {"level": "", "first": "2026-11-25", "reason": "A ring came out.", "password": "guessed"}
    assert "Nothing was signed." in as_(shop.senior).post("/stand-down/mika/", data).text
    assert not StandDown.objects.exists()


def test_a_stand_down_is_not_lifted_by_its_own_person_nor_twice_nor_before_it_began(shop):
    down = stood_down(
        person=shop.other_senior, level=None, first=TODAY, by=shop.senior, reason="A ring came out."
    )

    def lift(by, on=TODAY, reason="Settled."):
        return lifted(standdown=down, on=on, by=by, reason=reason)

    for by, on, reason, said in (
        (shop.other_senior, TODAY, "Settled.", "You cannot end your own stand-down"),
        (shop.mechanic, TODAY, "Settled.", "Only a senior mechanic or the owner"),
        (shop.owner, LONG_AGO, "Settled.", "the day on which the stand-down began"),
        (shop.owner, TODAY, " ", "Say what was done"),
    ):
        with pytest.raises(Refused, match=said):
            lift(by, on, reason)
    lift(shop.owner)
    with pytest.raises(Refused, match="This stand-down has ended already"):
        lift(shop.senior)
    assert Lift.objects.count() == 1


def test_a_watched_job_and_a_reading_show_on_the_record(shop, as_):
    watched_job(shop, shop.trainee)
    page = as_(shop.trainee).get("/who-may/air-spring/tilda/").text
    assert "Job supervised by Sol Senior, with ring: prong." in page


def test_a_job_is_written_down_on_its_page(shop, as_):
    page = as_(shop.trainee).post(
        "/levels/air-spring/job/", {"on": "2026-11-25", "watched_by": "", "v-ring": "prong"}
    )
    assert (
        "Tilda Trainee could not work alone at this level on that day. Choose the "
        "mechanic who watched."
    ) in page.text
    assert not Job.objects.exists()
    data = {"on": "2026-11-24", "watched_by": "sol", "v-ring": "prong", "note": "Smooth."}
    assert as_(shop.trainee).post("/levels/air-spring/job/", data).status_code == 302
    kept = Job.objects.get()
    assert (kept.watched_by, kept.variant, kept.note) == (shop.senior, {"ring": "prong"}, "Smooth.")
    assert (kept.happened_on, kept.recorded_at, kept.recorded_by) == (
        datetime.date(2026, 11, 24),
        NOW,
        shop.trainee,
    )
    assert list(faults()) == []


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"on": "2026-11-26"}, "is still to come"),
        ({"on": "soon"}, "valid date"),
        ({"on": ""}, "required"),
        ({"watched_by": "nobody"}, "not one of the available choices"),
        ({"watched_by": "sol"}, "not one of the available choices"),
        ({"v-ring": ""}, "required"),
        ({"v-ring": "bolted"}, "not one of the available choices"),
    ],
)
def test_a_job_that_cannot_be_is_told_beside_its_field(shop, as_, data, said):
    page = as_(shop.senior).post(
        "/levels/air-spring/job/", {"on": "2026-11-25", "watched_by": "", "v-ring": "prong"} | data
    )
    assert page.status_code == 200
    assert said in page.text
    assert not Job.objects.exists()


def test_after_five_wrong_passwords_nobody_is_stood_down_with_the_right_one(shop, as_):
    browser = as_(shop.senior)
    data = {"level": "", "first": "2026-11-25", "reason": "A ring came out.", "password": "guessed"}
    for _ in range(5):
        browser.post("/stand-down/mika/", data)
    assert (
        "Too many wrong passwords. Nothing was signed."
        in browser.post("/stand-down/mika/", data | {"password": PASSWORD}).text
    )
    assert not StandDown.objects.exists()


def test_a_proof_for_one_person_stands_no_other_down_and_lifts_nothing(shop):
    common = {
        "level": None,
        "first": TODAY,
        "by": shop.senior,
        "reason": "A ring came out.",
        "now": NOW,
    }
    words = signing.words_of_stand_down
    for given in (
        proof(shop.senior, words(shop.trainee, None, TODAY, "A ring came out.")),
        proof(shop.owner, words(shop.mechanic, None, TODAY, "A ring came out.")),
        proof(shop.senior, words(shop.mechanic, shop.level, TODAY, "A ring came out.")),
        proof(shop.senior, words(shop.mechanic, None, LONG_AGO, "A ring came out.")),
        proof(shop.senior, words(shop.mechanic, None, TODAY, "Another reason.")),
    ):
        with pytest.raises(Refused, match="You typed this password for something else"):
            signing.stand_down(person=shop.mechanic, proof=given, **common)
    down = stood_down(person=shop.mechanic, by=shop.senior)
    given = proof(shop.owner, signing.words_of_lift(down, TODAY, "Settled."))
    for on, reason in (
        (TODAY, "Another reason."),
        (TODAY + datetime.timedelta(days=1), "Settled."),
    ):
        with pytest.raises(Refused, match="You typed this password for something else"):
            signing.lift(standdown=down, on=on, by=shop.owner, reason=reason, proof=given, now=NOW)
    assert not Lift.objects.exists()


def test_the_same_stand_down_sent_twice_is_written_down_once(shop, as_):
    data = {"level": "", "first": "2026-11-25", "reason": "A ring came out.", "password": PASSWORD}
    browser = as_(shop.senior)
    assert browser.post("/stand-down/mika/", data).status_code == 302
    assert "is stood down from that day already" in browser.post("/stand-down/mika/", data).text
    assert StandDown.objects.count() == 1


def test_who_was_allowed_again_can_be_stood_down_again_from_the_same_day(shop):
    """A stand-down that was lifted is over: what is found on the same day later is another one."""
    first = stood_down(person=shop.mechanic, by=shop.senior)
    lifted(standdown=first, by=shop.owner)
    again = stood_down(person=shop.mechanic, by=shop.senior, reason="A second ring came out.")
    assert list(StandDown.objects.in_force(TODAY)) == [again]
    with pytest.raises(Refused, match="stood down from that day already"):
        stood_down(person=shop.mechanic, by=shop.senior, reason="A third ring came out.")
    assert StandDown.objects.count() == 2


def test_another_level_day_or_person_is_another_stand_down(shop):
    day_before = TODAY - datetime.timedelta(days=1)
    stood_down(person=shop.mechanic, by=shop.senior)
    stood_down(person=shop.mechanic, by=shop.senior, level=shop.level)
    stood_down(person=shop.mechanic, by=shop.senior, first=day_before)
    stood_down(person=shop.trainee, by=shop.senior)
    assert StandDown.objects.count() == 4


@pytest.mark.parametrize("reason", ["", "   "])
def test_a_stand_down_has_a_reason(shop, as_, reason):
    data = {"level": "", "first": "2026-11-25", "reason": reason, "password": PASSWORD}
    assert as_(shop.owner).post("/stand-down/mika/", data).status_code == 200
    assert not StandDown.objects.exists()


def test_a_wrong_password_lifts_nothing(shop, as_):
    down = stood_down(
        person=shop.mechanic, level=None, first=TODAY, by=shop.senior, reason="A ring came out."
    )
    page = as_(shop.owner).post(
        f"/lift/{down.pk}/", {"on": "2026-11-25", "reason": "Settled.", "password": "guessed"}
    )
    assert "Nothing was signed." in page.text
    assert not Lift.objects.exists()


def test_somebody_stood_down_neither_watches_nor_observes_nor_signs(shop):
    stood_down(
        person=shop.senior, level=shop.level, first=TODAY, by=shop.owner, reason="A ring came out."
    )
    with pytest.raises(Refused, match="could not supervise this job"):
        watched_job(shop, shop.trainee)
    with pytest.raises(Refused, match="work alone at this level"):
        observe(shop, shop.trainee)


def test_somebody_alone_on_some_forks_works_and_watches_on_those_only(shop, ready):
    """A sign-off limited to options holds where the question names one of them: so a prong job
    alone is one, an eyelet job is not.
    """
    limits = {"ring": ["prong"]}
    sheet = signing_sheet(
        person=ready, level=shop.level, signer=shop.senior, limits=limits, on=TODAY, now=NOW
    )
    signing.sign_off(
        person=ready,
        level=shop.level,
        signer=shop.senior,
        limits=limits,
        shown=sheet.digest,
        proof=proof(shop.senior, sheet.digest),
        on=TODAY,
        now=NOW,
    )
    assert job(shop, ready, variant={"ring": "prong"}).watched_by is None
    assert job(shop, shop.mechanic, variant={"ring": "prong"}, watched_by=ready).watched_by == ready
    for refused in ({"ring": "eyelet"}, {}):
        with pytest.raises(Refused, match="could not work alone"):
            job(shop, ready, variant=refused)
        with pytest.raises(Refused, match="could not supervise this job"):
            job(shop, shop.mechanic, variant=refused, watched_by=ready)


def test_whoever_leaves_later_can_still_be_named_as_watching(shop, as_):
    for left, named in ((TODAY, True), (TODAY - datetime.timedelta(days=1), False)):
        shop.other_senior.left = left
        shop.other_senior.save()
        assert ("Wim" in as_(shop.trainee).get("/levels/air-spring/job/").text) is named


def test_somebody_stood_down_sees_why_and_what_comes_first_but_lifts_nothing(shop, as_):
    stood_down(
        person=shop.trainee,
        level=None,
        first=TODAY,
        by=shop.senior,
        reason="A ring came out of its groove.",
    )
    page = as_(shop.trainee).get("/who-may/air-spring/tilda/")
    assert "A ring came out of its groove." in page.text
    assert "Allow again" not in page.text
    assert page.context["page"].answer.next[0].code == "clear-stand-down"
    assert "Allow again" in as_(shop.owner).get("/who-may/air-spring/tilda/").text
