"""Does the page plan what it should, say what it does, and does an accepted plan come first for
whoever it is about?

No outside source: what is expected follows from the rules of the small shop and from the rota
below.
"""

import re
from dataclasses import replace
from datetime import timedelta

import pytest
from django.urls import reverse

from tests.put_in import put_in
from tests.training.shop import NOW, TODAY, wanting_shop
from training.actions.plan import accept_plan
from training.actions.rota import add_absence, set_shift, set_want
from training.cover.columns import NoAnswerError
from training.cover.plan import PlannedLine
from training.cover.programme import best_plan
from training.models import Planned, SignOff, User
from training.reports.plan import PlanAsked
from training.reports.plan_page import plan_page

pytestmark = pytest.mark.django_db
ASK = PlanAsked(weeks=8, own_a_day=2.0, senior_a_day=1.0, at_once=1)
ADDRESS = "/cover/plan/"


@pytest.fixture
def wanting(db, clock):
    return put_in(wanting_shop)


def test_a_shop_that_wants_nothing_is_told_where_to_say_so(shop, as_):
    assert plan_page(ASK, on=TODAY, now=NOW) is None
    assert reverse("training:rota") in as_(shop.owner).get(ADDRESS).text


def test_the_one_who_lacks_least_is_planned_first_and_every_later_gap_is_closed(wanting):
    page = plan_page(ASK, on=TODAY, now=NOW)
    # From Monday 30 November eight weeks; one is missing on each of the eight Mondays, and nobody
    # can be ready for the first.
    assert (page.first, page.before, page.after) == (TODAY + timedelta(days=5), "8", "1")
    (line,) = page.lines
    assert (line.name, line.when, line.closes) == (
        "Tilda Trainee",
        "30 Nov 2026 to 6 Dec 2026",
        "7 days",
    )
    assert [one.why for one in page.unreached] == ["Too few people can be ready by then."]
    # on the calendar it stands in the first of eight weeks, and closes gaps in the seven after it
    assert page.weeks == tuple(TODAY + timedelta(days=5 + 7 * week) for week in range(8))
    assert (line.before, line.length, line.after) == (0, 1, 7)
    assert page.calendar == (line,)
    without = plan_page(PlanAsked(8, 2.0, 1.0, 1, "tilda/air-spring"), on=TODAY, now=NOW)
    assert without.lines == ()
    assert without.without == "Tilda Trainee at Air-spring service"
    assert without.more_missing == "7 days"


def test_without_a_seniors_hours_nothing_is_planned_and_the_reason_is_said(wanting):
    page = plan_page(PlanAsked(8, 2.0, 0.0, 1), on=TODAY, now=NOW)
    assert page.lines == ()
    assert [one.why for one in page.unreached] == [
        "Too few people can be ready by then.",
        "There are not enough hours, or they are better used on other days.",
    ]
    assert plan_page(ASK, on=TODAY, now=NOW).lines != ()


def test_without_a_day_at_work_in_common_nothing_is_planned_and_the_reason_is_said(wanting):
    """The senior works on Mondays and Tuesdays, the trainee on Mondays to Fridays but those."""
    week = ["mon", "tue", "wed", "thu", "fri"]
    set_shift(
        person=wanting.senior,
        workshop=wanting.workshop,
        weekdays=week[:2],
        first=TODAY,
        by=wanting.owner,
    )
    set_shift(
        person=wanting.trainee,
        workshop=wanting.workshop,
        weekdays=week[2:],
        first=TODAY,
        by=wanting.owner,
    )
    set_want(workshop=wanting.workshop, level=wanting.level, counts={"wed": 1}, by=wanting.owner)
    page = plan_page(ASK, on=TODAY, now=NOW)
    assert page.lines == ()
    assert [one.why for one in page.unreached] == [
        "Too few people can be ready by then.",
        "Nobody who may teach and sign is at work there in time.",
    ]


def hidden(page):
    return dict(
        re.findall(
            r'<input type="hidden" name="(\w+)" value="([^"]*)">',
            page.split('name="digest"')[0] + page[page.index('name="digest"') - 30 :],
        )
    )


def test_an_accepted_plan_stands_on_the_trainees_first_page_until_it_is_taken_back(wanting, as_):
    owner = as_(wanting.owner)
    sent = hidden(owner.get(ADDRESS).text)
    said = owner.post(ADDRESS, sent, follow=True).text
    assert "The plan is accepted." in said
    assert "by 6 Dec 2026" in said
    (row,) = Planned.objects.all()
    assert (row.person, row.level, row.first, row.until) == (
        wanting.trainee,
        wanting.level,
        TODAY + timedelta(days=5),
        TODAY + timedelta(days=11),
    )
    assert "Planned for you from 30 Nov 2026 to 6 Dec 2026." in as_(wanting.trainee).get("/").text
    assert (
        "The plan is taken back"
        in as_(wanting.owner).post(ADDRESS, {"what": "none"}, follow=True).text
    )
    assert not Planned.objects.exists()


def test_a_plan_that_changed_since_it_was_shown_is_not_accepted(wanting, as_):
    owner = as_(wanting.owner)
    sent = hidden(owner.get(ADDRESS).text)
    add_absence(
        person=wanting.trainee, first=TODAY, until=TODAY + timedelta(days=12), by=wanting.owner
    )
    assert "The plan has changed since you opened it" in owner.post(ADDRESS, sent).text
    assert not Planned.objects.exists()


def test_a_senior_looks_and_does_not_accept(wanting, as_):
    senior = as_(wanting.senior)
    page = senior.get(ADDRESS).text
    assert "Tilda Trainee" in page
    assert "Accept this plan" not in page
    assert senior.post(ADDRESS, {"what": "none"}).status_code == 403


@pytest.mark.parametrize(
    "query",
    [
        {"weeks": "x"},
        {"weeks": "8", "own": "99", "senior": "1", "at_once": "1"},
        {"at_once": "0"},
        {"without": "nobody/nothing"},
    ],
)
def test_what_cannot_be_read_is_said_and_the_usual_plan_shown(wanting, as_, query):
    page = as_(wanting.owner).get(ADDRESS, query).text
    assert "Tilda Trainee" in page
    assert "Wrong:" in page


def test_no_answer_in_time_is_told(wanting, as_, monkeypatch):
    def never(*_, **__):
        raise NoAnswerError("too long")

    monkeypatch.setattr("training.reports.plan.best_plan", never)
    assert "No plan was found in 15 seconds." in as_(wanting.owner).get(ADDRESS).text


def test_a_line_that_is_done_is_no_longer_planned_for_anybody(wanting, as_):
    accept_plan(by=wanting.owner, lines=[PlannedLine("tilda", "air-spring", TODAY, TODAY)])
    assert "Planned for you" in as_(wanting.trainee).get("/").text
    SignOff.objects.create(
        person=wanting.trainee,
        level=wanting.level,
        signer=wanting.senior,
        happened_on=TODAY,
        recorded_at=NOW,
        printed_name="Sol Senior",
    )
    assert "Planned for you" not in as_(wanting.trainee).get("/").text


def test_a_plan_that_is_not_proven_says_so(wanting, as_, monkeypatch):
    assert "There may be a better one" not in as_(wanting.owner).get(ADDRESS).text
    monkeypatch.setattr(
        "training.reports.plan.best_plan",
        lambda *args, **more: replace(best_plan(*args, **more), is_proven=False),
    )
    assert "There may be a better one" in as_(wanting.owner).get(ADDRESS).text


def test_the_forecast_that_was_asked_for_stays_with_the_plan(wanting, as_):
    """It is what is accepted, and what a line is left out of."""
    owner = as_(wanting.owner)
    asked = {"weeks": "8", "own": "2", "senior": "1", "at_once": "1", "forecast": "pace"}
    page = owner.get(ADDRESS, asked).text
    assert hidden(page)["forecast"] == "pace"
    assert "forecast=pace&amp;without=tilda/air-spring" in page
    assert "The plan is accepted." in owner.post(ADDRESS, hidden(page), follow=True).text
    without = owner.get(ADDRESS, {**asked, "without": "tilda/air-spring"}).text
    assert "Planned without Tilda Trainee at Air-spring service: 7 days more" in without


def test_what_the_standing_does_not_bear_out_is_cut_and_said(wanting, as_, monkeypatch):
    """The plan's own model is made to say too much: somebody signs who may not."""

    def too_much(*args, **more):
        plan = best_plan(*args, **more)
        lines = [
            replace(line, option=replace(line.option, signer="wim"), seniors=("wim",))
            for line in plan.lines
        ]
        return replace(plan, lines=tuple(lines))

    monkeypatch.setattr("training.reports.plan.best_plan", too_much)
    page = plan_page(ASK, on=TODAY, now=NOW)
    assert (page.before, page.after, page.cut) == ("8", "8", 7)
    text = as_(wanting.owner).get(ADDRESS).text
    assert "would close gaps on 7 days more" in text


def test_the_page_names_who_teaches_and_says_what_a_line_counts(wanting, as_):
    text = as_(wanting.owner).get(ADDRESS).text
    assert "Learn Air-spring service" in text
    assert "Sol Senior" in text
    assert "both are at work in one workshop" in text
    assert "A line counts from the day after its last week" in " ".join(text.split())


@pytest.mark.parametrize("address", ["/cover/", ADDRESS])
def test_whoever_left_cannot_be_left_out_once_more(wanting, as_, address):
    User.objects.filter(pk=wanting.mechanic.pk).update(left=TODAY - timedelta(days=1))
    page = as_(wanting.owner).get(address).text
    assert '<option value="sol"' in page
    assert '<option value="mika"' not in page
