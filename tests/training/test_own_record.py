"""Does a person's record show everything that the shop holds about them, and nothing about
others?
"""

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.put_in import put_in
from tests.training.shop import NOW, TODAY, lifted, make_ready, sit, small_shop, stood_down
from training import models as rows
from training.actions.entries import write_down
from training.records.keeping import head
from training.reports.record import person_record


@pytest.fixture
def lived_in(db, clock):
    return put_in(lived_in_shop)


def lived_in_shop():
    shop = small_shop()
    make_ready(shop, shop.trainee)
    make_ready(shop, shop.mechanic)
    sit(shop.mechanic, shop.quiz, wrong=("torque",))
    down = stood_down(
        person=shop.mechanic, level=None, first=TODAY, by=shop.owner, reason="A ring came out."
    )
    lifted(standdown=down, on=TODAY, by=shop.senior, reason="Settled.")
    common = {"happened_on": TODAY, "person": shop.mechanic, "recorded_at": NOW}
    write_down(
        rows.PaperPass(level=shop.level, percent=Decimal("90.50"), critical_right=True, **common)
    )
    write_down(
        rows.SignOff(
            level=shop.level,
            signer=shop.senior,
            limits={"ring": ["prong"]},
            printed_name="S. Senior",
            note="Steady hand.",
            **common,
        )
    )
    write_down(
        rows.Void(kind="job", about="air-spring", by=shop.owner, reason="Another fork.", **common)
    )
    return shop


def lines_of(person):
    return {part.title: part.lines for part in person_record(person, NOW).parts}


def test_every_entry_of_a_person_stands_there_once(lived_in):
    of = {
        "Readings": rows.Reading,
        "Jobs": rows.Job,
        "Observations": rows.Observation,
        "Sign-offs": rows.SignOff,
        "Appointments to sign off": rows.Appointment,
        "Stand-downs": rows.StandDown,
    }
    for person in rows.User.objects.all():
        shown = lines_of(person)
        for title, model in of.items():
            assert len(shown[title]) == model.objects.filter(person=person).count(), (person, title)
        assert (
            len(shown["Quizzes"])
            == person.sittings.filter(recorded_at__isnull=False).count()
            + person.paper_passes.count()
        )


def test_what_is_said_of_each(lived_in):
    shown = lines_of(lived_in.mechanic)
    assert [line.text for line in shown["Readings"]] == ["Read Air-spring service, revision 1."]
    quizzes = " ".join(line.text for line in shown["Quizzes"])
    assert "Quiz passed: " in quizzes
    assert "Quiz not passed: " in quizzes
    assert "Quiz on paper: 90 %, " in quizzes
    assert "a critical question was wrong." in quizzes
    assert (
        shown["Jobs"][0].text
        == "Air-spring service: Job supervised by Sol Senior, with ring: prong."
    )
    assert (
        shown["Jobs"][0].void
        == "Cancelled by Odile Owner on 25 Nov 2026, so it never counted. Reason: Another fork."
    )
    assert (
        shown["Observations"][0].text
        == "Air-spring service: Seen done right by Sol Senior, with ring: prong."
    )
    assert (
        shown["Sign-offs"][0].text
        == "Air-spring service: Signed off by S. Senior, on forks with ring prong."
    )
    assert (
        shown["Stand-downs"][0].text
        == "Every level: Stood down by Odile Owner. Allowed again from 25 Nov 2026, by Sol Senior."
    )


def test_a_void_reaches_only_what_was_recorded_by_then(lived_in):
    write_down(
        rows.Job(
            level=lived_in.level,
            happened_on=TODAY,
            person=lived_in.mechanic,
            recorded_at=NOW + timedelta(seconds=1),
        )
    )
    assert [bool(line.void) for line in lines_of(lived_in.mechanic)["Jobs"]] == [True, False]


def test_ones_own_page_and_the_owners_say_the_same_with_the_head_and_no_iso_day(lived_in, as_):
    own = as_(lived_in.mechanic).get("/record/").text
    owners = as_(lived_in.owner).get("/people/mika/record/").text
    for page in (own, owners):
        assert "Record of Mika Mechanic" in page
        assert head()[1] in page
        assert "25 Nov 2026" in page
        assert "Steady hand." in page
        assert "Tilda" not in page
        assert not re.search(r">[^<]*\d{4}-\d\d-\d\d", page)
    assert as_(lived_in.owner).get("/people/nobody/record/").status_code == 404


def test_the_demo_shop_is_marked(lived_in, as_):
    rows.Workshop.objects.update(is_demo=True)
    assert (
        "Demo values. Do not use on a real fork or shock."
        in as_(lived_in.mechanic).get("/record/").text
    )


def test_the_number_of_queries_does_not_grow_with_the_record(lived_in):
    def queries():
        with CaptureQueriesContext(connection) as taken:
            person_record(lived_in.mechanic, NOW)
        return len(taken)

    few = queries()
    for model in (rows.Job, rows.Observation, rows.SignOff, rows.StandDown):
        row = model.objects.filter(person=lived_in.mechanic).get()
        for _ in range(5):
            row.pk = None
            row.save()
    assert queries() == few
