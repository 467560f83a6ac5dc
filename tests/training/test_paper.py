"""What do the wall sheet, the certificate, the card and the write-up to fill in say, and to
whom?
"""

import datetime
import re

import pytest

from procedures.actions.studying import keep_fork
from procedures.rehearsal.variants import steps_for
from procedures.writeup.parse import parse
from tests.training.factories import WorkshopFactory
from tests.training.shop import (
    LONG_AGO,
    NOW,
    TODAY,
    found,
    make_ready,
    observe,
    proof,
    sit,
    stood_down,
    void_asked,
    void_decided,
    watched_job,
)
from training.actions.entries import write_down
from training.actions.rota import set_shift
from training.actions.signing import sign_off
from training.models import BookEntry, Card, SignOff, User, Void
from training.records.keeping import head
from training.records.sheets import signing_sheet

DAY = datetime.timedelta(days=1)


@pytest.fixture
def signed(shop):
    """The sign-off of the trainee by the senior, on today's sheet."""
    make_ready(shop, shop.trainee)
    sheet = signing_sheet(
        person=shop.trainee, level=shop.level, signer=shop.senior, limits={}, on=TODAY, now=NOW
    )
    return sign_off(
        person=shop.trainee,
        level=shop.level,
        signer=shop.senior,
        limits={},
        shown=sheet.digest,
        proof=proof(shop.senior, sheet.digest),
        on=TODAY,
        now=NOW,
    )


def where_the_code_leads(page):
    return re.search(r'href="http://testserver(/card/[^"]+)"', page.text)[1]


def test_the_wall_sheet_has_everybody_with_a_word_the_day_and_the_head_of_the_book(shop, as_):
    stood_down(person=shop.senior, level=shop.level, first=TODAY, by=shop.owner)
    page = as_(shop.owner).get("/wall/?paper=A4").text
    for person in (shop.trainee, shop.mechanic, shop.senior, shop.other_senior):
        assert person.name in page
    assert head()[1] in page
    assert "Wednesday, 25 Nov 2026" in page
    assert 'class="wall-a4"' in page
    row = re.search(r"Sol Senior.*?</tr>", page, re.S)[0]
    assert 'class="standing stopped"' in row


def test_the_wall_sheet_says_who_is_at_work_and_names_them_first(shop, as_):
    set_shift(
        person=shop.senior, workshop=shop.workshop, weekdays=["wed"], first=TODAY, by=shop.owner
    )
    page = as_(shop.owner).get("/wall/").text
    assert "Sol Senior<small>senior mechanic · at work</small>" in page
    assert page.index("Sol Senior<small>") < page.index("Mika Mechanic<small>")
    set_shift(
        person=shop.senior, workshop=shop.workshop, weekdays=["sun"], first=TODAY, by=shop.owner
    )
    page = as_(shop.owner).get("/wall/").text
    assert "The shop is closed: nobody on the rota works on a Wednesday." in page


def test_the_wall_sheet_of_seven_days_promises_nothing_that_falls_within_them(shop, as_):
    set_shift(
        person=shop.senior,
        workshop=shop.workshop,
        weekdays=["thu", "fri"],
        first=TODAY,
        by=shop.owner,
    )
    stood_down(person=shop.senior, level=shop.level, first=TODAY + DAY, by=shop.owner)
    page = as_(shop.owner).get("/wall/?days=7").text
    row = re.search(r"Sol Senior.*?</tr>", page, re.S)[0]
    assert "Wed 25 Nov to Tuesday, 1 Dec 2026" in page
    assert 'class="standing stopped"' in row
    assert "alone until Wed 25 Nov" in row
    assert "senior mechanic · Thu Fri" in row
    assert 'class="standing alone"' in as_(shop.owner).get("/wall/").text


def test_the_wall_sheet_is_for_whichever_workshop_is_asked_for(shop, as_):
    other = WorkshopFactory(name="Mill Lane")
    User.objects.create(login="nia", name="Nia Vale", trade="trainee", workshop=other)
    owner = as_(shop.owner)
    assert "Nia Vale" not in owner.get("/wall/").text
    alone = owner.get("/wall/?workshop=Mill+Lane").text
    assert "Nia Vale" in alone
    assert "Sol Senior" not in alone
    both = owner.get("/wall/?workshop=").text
    assert "Nia Vale" in both
    assert "Sol Senior" in both
    assert "Sol Senior" in owner.get("/wall/?workshop=Nowhere").text


def test_the_wall_sheet_has_no_page_breaks_of_its_own(shop, as_, monkeypatch):
    monkeypatch.setattr("training.reports.who_may.PEOPLE_A_PAGE", 2)
    assert as_(shop.owner).get("/wall/").text.count('<th scope="row">') == 5


def test_a_certificate_names_who_was_trained_when_and_by_whom(shop, as_, signed):
    # 29 CFR 1910.178(l)(6): the operator, the date of the training, the date of the evaluation, who
    # performed them
    page = as_(shop.trainee).get(f"/sign-offs/{signed.pk}/").text
    entry = BookEntry.objects.get(kind=SignOff.KIND, row=signed.pk)
    for text in (
        "Certificate of sign-off",
        "Tilda",
        "Signed off for",
        "Read Air-spring service revision 1 on 25 Nov 2026",
        "Sitting of 25 Nov 2026: 100 %",
        "Supervised job of 25 Nov 2026",
        "Observed by Sol Senior on 25 Nov 2026",
        "Signed off by Sol Senior",
        signed.meaning,
        signed.shown_digest,
        f"entry {entry.number}",
        entry.digest,
    ):
        assert text in page
    assert 'class="standing alone"' in page


def test_a_certificate_rests_on_nothing_that_failed_and_tells_jobs_in_one_line(shop, as_):
    days = [TODAY - ago * DAY for ago in (2, 1)]
    sit(shop.trainee, shop.quiz, wrong=("torque",), today=days[0])
    observe(shop, shop.trainee, "not right")
    for day in days:
        watched_job(shop, shop.trainee, day)
    row = found(shop.trainee, shop.level, shop.owner, on=TODAY)
    page = as_(shop.owner).get(f"/sign-offs/{row.pk}/").text
    assert "2 jobs from 23 Nov 2026 to 24 Nov 2026, 2 of them supervised" in page
    assert "itting of" not in page
    assert "bserved by" not in page


def test_a_certificate_says_when_it_no_longer_speaks_for_the_person(shop, as_, signed):
    stood_down(person=shop.trainee, level=shop.level, first=TODAY, by=shop.owner)
    assert 'class="standing no"' in as_(shop.owner).get(f"/sign-offs/{signed.pk}/").text


def test_a_void_sign_off_has_no_certificate(shop, as_, signed):
    write_down(
        Void(
            kind="signoff",
            person=shop.trainee,
            about="air-spring",
            by=shop.owner,
            reason="Another person.",
            happened_on=TODAY,
            recorded_at=NOW + datetime.timedelta(hours=1),
        )
    )
    page = as_(shop.owner).get(f"/sign-offs/{signed.pk}/").text
    assert "This page is not a certificate." in page
    assert 'class="standing' not in page


def test_a_sign_off_that_fell_with_its_signer_has_no_certificate_either(shop, as_, signed):
    """The signer's own is cancelled and the trainee is signed off afresh: the old page would say
    alone.
    """
    of_signer = {"person": shop.senior, "about": "air-spring", "on": LONG_AGO}
    void_decided(void_asked(kind="signoff", by=shop.other_senior, **of_signer), shop.owner)
    fresh = found(shop.trainee, shop.level, shop.owner, on=TODAY)
    page = as_(shop.owner).get(f"/sign-offs/{signed.pk}/").text
    assert "This page is not a certificate." in page
    assert "Sol Senior could not sign off this level on that day" in page
    assert 'class="standing' not in page
    assert "Certificate of sign-off" in as_(shop.owner).get(f"/sign-offs/{fresh.pk}/").text


def test_a_founding_sign_off_tells_its_proof(shop, as_):
    row = found(shop.mechanic, shop.level, shop.owner)
    page = as_(shop.mechanic).get(f"/sign-offs/{row.pk}/").text
    assert "Ten years at another bench." in page
    assert "Nothing is on record here." in page
    assert LONG_AGO.strftime("%-d %b %Y") in page


def test_a_card_leads_a_stranger_to_the_standing_of_the_moment_and_nothing_else(
    shop, as_, client, clock
):
    page = as_(shop.senior).post("/card/", {"do": "make"}, follow=True)
    address = where_the_code_leads(page)
    client.logout()
    seen = client.get(address)
    assert seen.status_code == 200
    assert "Sol Senior" in seen.text
    assert 'class="standing alone"' in seen.text
    assert "lapses" not in seen.text
    assert "appointed" not in seen.text
    assert "noindex" in seen["X-Robots-Tag"]
    assert "no-store" in seen["Cache-Control"]
    stood_down(person=shop.senior, level=shop.level, first=TODAY, by=shop.owner)
    assert 'class="standing no"' in client.get(address).text


def test_a_withdrawn_card_and_one_that_was_replaced_lead_nowhere(shop, as_, client):
    first = where_the_code_leads(as_(shop.senior).post("/card/", {"do": "make"}, follow=True))
    second = where_the_code_leads(as_(shop.senior).post("/card/", {"do": "make"}, follow=True))
    assert client.get(first).status_code == 410
    assert "Sol" not in client.get(first).text.partition("<main")[2]
    as_(shop.owner).post("/people/sol/card/", {"do": "withdraw"})
    assert client.get(second).status_code == 410
    assert (
        "no card to withdraw"
        in as_(shop.senior).post("/card/", {"do": "withdraw"}, follow=True).text
    )
    assert Card.objects.filter(ended_at__isnull=True).count() == 0


def test_a_forged_code_leads_nowhere(shop, as_, client):
    address = where_the_code_leads(as_(shop.senior).post("/card/", {"do": "make"}, follow=True))
    other = where_the_code_leads(as_(shop.trainee).post("/card/", {"do": "make"}, follow=True))
    number, seal = address.split("/")[2], other.split("/")[3]
    client.logout()
    assert client.get(f"/card/{number}/{seal}/").status_code == 404
    assert client.get(address[:-2] + "/").status_code == 404


def test_the_write_up_to_fill_in_has_a_box_for_each_step_and_the_revision(shop, as_):
    asked = as_(shop.trainee).get("/study/air-spring-service/print/")
    assert (asked.status_code, asked["Location"]) == (302, "/study/air-spring-service/")
    keep_fork(revision=shop.revision, person=shop.trainee, chosen={"ring": "prong"})
    page = as_(shop.trainee).get("/study/air-spring-service/print/").text
    assert page.count('class="box"') == len(steps_for(parse(shop.revision.text), {"ring": "prong"}))
    assert "This is revision 1." in page
    assert "ring prong" in page
