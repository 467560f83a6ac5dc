"""What do the pages say of a release to come, and of what changed since somebody last read?"""

import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from procedures.actions import writeups as actions
from tests.training.factories import UserFactory
from tests.training.shop import NOW, TODAY
from training import models
from training.actions import entries
from training.records.keeping import faults

VALUE = ("by a quarter turn", "by half a turn")


@pytest.fixture
def draft(shop):
    new = actions.start_revision(writeup=shop.writeup, author=shop.senior, now=NOW)
    return actions.save_draft(
        revision=new,
        text=new.text.replace(*VALUE),
        reason="",
        asks="nothing",
        by=shop.senior,
        now=NOW,
        seen=None,
    )


@pytest.fixture
def covered(shop):
    """The senior works every weekday and is wanted on each."""
    week = dict.fromkeys(models.DAYS[:5], True)
    models.Rota.objects.create(person=shop.senior, workshop=shop.workshop, **week)
    models.Want.objects.create(workshop=shop.workshop, level=shop.level, **dict.fromkeys(week, 1))
    return shop


def impact(browser, **query):
    return browser.get(reverse("training:impact", args=["air-spring-service", 2]), query)


def test_the_page_names_who_falls_when_and_what_is_asked(as_, covered, draft):
    text = impact(as_(covered.other_senior)).text
    assert "Sol Senior" in text
    assert "from 10 Dec 2026" in text  # 25 Nov and 14 days of grace; on the day after it falls
    assert "answer again" in text
    assert "short on" in text
    assert "2 min to read each changed step" in text


def test_questions_on_steps_that_change_are_named(as_, covered, draft):
    from quizzes.models import QuestionVersion

    one = QuestionVersion.objects.newest().first()
    QuestionVersion.objects.create(
        question=one.question,
        number=one.number + 1,
        kind=one.kind,
        stem="How far?",
        asked=one.asked,
        steps=["open-chamber"],
        recorded_at=NOW,
    )
    assert "How far?" in impact(as_(covered.other_senior)).text


def test_somebody_away_through_the_grace_is_late_and_a_better_day_is_sought(as_, covered, draft):
    models.Absence.objects.create(
        person=covered.senior, first=TODAY, until=datetime.date(2026, 12, 13)
    )
    text = impact(as_(covered.other_senior)).text
    # Away until 13 Dec, in grace until 9 Dec: reads on Monday 14 Dec, and nobody was there on the
    # days between anyway.
    assert "to catch up takes until 14 Dec 2026" in text
    assert "No extra day becomes short" in text


@pytest.mark.parametrize("on", ["2026-13-01", "2026-11-24", "2027-11-24"])
def test_a_day_that_cannot_be_asked_about(as_, covered, draft, on):
    assert "Wrong:" in impact(as_(covered.other_senior), on=on).text


def test_another_day_of_release(as_, covered, draft):
    assert "from 15 Dec 2026" in impact(as_(covered.other_senior), on="2026-11-30").text


def test_a_released_revision_has_no_impact_any_more(as_, shop):
    assert (
        as_(shop.senior).get(reverse("training:impact", args=["air-spring-service", 1])).status_code
        == 404
    )


def test_the_revision_in_review_says_it_in_short(as_, covered, draft):
    actions.send_to_review(revision=draft, by=covered.senior, now=NOW)
    text = (
        as_(covered.other_senior)
        .get(reverse("procedures:revision", args=["air-spring-service", 2]))
        .text
    )
    assert "If nobody does anything, the answer changes for 1 person." in text
    assert reverse("training:impact", args=["air-spring-service", 2]) in text


def release(shop, draft):
    sent = actions.send_to_review(revision=draft, by=shop.senior, now=NOW)
    return actions.release(revision=sent, by=shop.other_senior, today=TODAY, now=NOW)


def test_whoever_read_the_last_revision_sees_what_is_new(as_, ready, shop, draft):
    release(shop, draft)
    page = as_(ready).get("/study/air-spring-service/?ring=prong").text
    assert "What changed since you read revision 1 on 25 Nov 2026" in page
    assert "<del>quarter</del>" in page
    assert page.count('href="#change-open-chamber"') == 1
    assert 'id="change-open-chamber"' in page


def test_whoever_read_none_or_this_one_is_told_nothing_of_it(as_, ready, shop, draft):
    assert "What changed since" not in as_(shop.mechanic).get("/study/air-spring-service/").text
    new = release(shop, draft)
    entries.record_reading(person=ready, revision=new, on=TODAY, now=NOW)
    assert "What changed since" not in as_(ready).get("/study/air-spring-service/").text


def test_the_book_is_whole_after_a_release_with_a_decision(shop, draft):
    from procedures.actions.comparing import ask_of_change
    from procedures.records.asking import find_base, list_asked

    (one,) = list_asked(draft, find_base(draft))
    ask_of_change(
        revision=draft,
        step="open-chamber",
        asks="read again",
        reason="Known.",
        by=shop.senior,
        now=NOW,
        seen=one.change.digest,
    )
    assert release(shop, draft).asks == "read again"
    assert list(faults()) == []


def test_the_number_of_queries_does_not_grow(as_, covered, draft):
    browser = as_(covered.other_senior)
    pages = [
        reverse("training:impact", args=["air-spring-service", 2]),
        reverse("procedures:compare", args=["air-spring-service", 2]),
    ]

    def grow(times):
        for _ in range(times):
            person = UserFactory(workshop=covered.workshop)
            models.Rota.objects.create(person=person, workshop=covered.workshop, mon=True)
            models.Absence.objects.create(person=person, first=TODAY, until=TODAY)
            models.Reading.objects.create(
                person=person, revision=covered.revision, happened_on=TODAY, recorded_at=NOW
            )
            models.SignOff.objects.create(
                person=person,
                level=covered.level,
                signer=covered.senior,
                happened_on=TODAY,
                recorded_at=NOW,
            )

    def queries():
        counts = []
        for path in pages:
            browser.get(path)
            with CaptureQueriesContext(connection) as taken:
                assert browser.get(path).status_code == 200
            counts.append(len(taken))
        return counts

    grow(1)
    small = queries()
    grow(20)
    assert queries() == small


def test_where_the_cover_breaks_a_better_day_is_sought_when_asked_for(as_, covered, draft):
    actions.save_draft(
        revision=draft,
        text=draft.text,
        reason="",
        asks="show again",
        by=covered.senior,
        now=NOW,
        seen=None,
    )
    browser = as_(covered.owner)
    text = impact(browser).text
    assert "in the time that this page shows" in text  # the only senior can't watch himself
    assert "Find the first day" in text
    assert "A release on any of the next 90 days" in impact(browser, seek="yes").text
    # A second senior works from Monday 11 Jan 2027. Released on 25 Dec, the grace ends on Friday 8
    # Jan, nobody is wanted at the weekend, and on Monday each of the two shows it to the other. A
    # day earlier, Friday would be without anybody.
    second = {"person": covered.other_senior, "level": covered.level}
    models.SignOff.objects.create(
        signer=covered.owner, founding=True, happened_on=TODAY, recorded_at=NOW, **second
    )
    models.Rota.objects.create(
        person=covered.other_senior,
        workshop=covered.workshop,
        first=datetime.date(2027, 1, 11),
        **dict.fromkeys(models.DAYS[:5], True),
    )
    assert (
        "Release it on 25 Dec 2026: then no extra day becomes short</a>"
        in impact(browser, seek="yes").text
    )
