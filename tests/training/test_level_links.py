"""Is it told where a write-up and its level do not fit, and put right in one place?"""

from dataclasses import replace
from datetime import timedelta

import pytest
from django.urls import reverse

from procedures.records.refused import Refused
from quizzes.models import Quiz
from tests.procedures.factories import TEXT, RevisionFactory
from tests.put_in import put_in
from tests.training.shop import NOW, TERMS, TODAY, small_shop
from training.actions.levels import ask_for_writeups, keep_quiz_in_step, set_level, undo_rules
from training.models import LevelRules
from training.records.gathering import gather
from training.records.keeping import faults
from training.reports.links import level_links, tell_level_faults
from training.standing.levels import version_on

THERE = reverse("training:level-links")


def asked_by_quiz():
    return set(Quiz.objects.get(name="air-spring").writeups.values_list("name", flat=True))


@pytest.fixture
def shop(db, time_machine):
    time_machine.move_to(NOW, tick=False)
    return put_in(small_shop)


def released(level, title="Other service"):
    text = TEXT.format(title=title).replace("level: air-spring", level)
    return RevisionFactory(writeup__title=title, text=text, released=True)


def test_a_level_and_a_write_up_that_name_each_other_are_silent(shop):
    assert level_links(TODAY).is_silent
    assert tell_level_faults(shop.revision, TODAY) == ()


@pytest.mark.parametrize(
    ("level", "said"),
    [
        ("level: air-spring", "does not ask people to read it"),
        ("level: nowhere", "which is not there"),
        ("interval: 10 h", "It names no level"),
    ],
)
def test_a_released_write_up_whose_level_does_not_ask_for_it_is_told(shop, client, level, said):
    row = released(level)
    client.force_login(shop.senior)
    page = client.get(reverse("procedures:revision", args=[row.writeup.name, row.number]))
    assert said in page.text
    client.force_login(shop.owner)
    assert said in client.get(THERE).text
    assert "do not fit each other" in client.get(reverse("training:levels")).text


def test_a_level_without_a_write_up_that_names_it_is_told(shop):
    newest = LevelRules.objects.get()
    earlier = TODAY.replace(year=TODAY.year - 20)
    # Before its first release nothing is current, and the level asks for it all the same.
    found = level_links(earlier).of_levels
    assert any("no revision is released" in said for said in found)
    assert any("no observation can count" in said for said in found)
    assert newest.title in found[0]


def test_the_level_asks_for_it_at_a_press_and_the_press_can_be_undone(shop, client):
    row = released("level: air-spring")
    client.force_login(shop.owner)
    sent = {"level": "air-spring", "writeup": row.writeup.name}
    assert "asks for it from today on" in client.post(THERE, sent, follow=True).text
    rules = LevelRules.objects.order_by("pk").last()
    assert row.writeup.name in rules.writeups
    assert level_links(TODAY).is_silent
    assert "already" in client.post(THERE, sent, follow=True).text
    undo_rules(rules=rules, by=shop.owner)
    assert not level_links(TODAY).is_silent


def test_what_is_set_for_a_later_day_waits_for_it(shop):
    """The level asks for one write-up more from today on; from next month on, for more jobs too."""
    row, later = released("level: air-spring"), TODAY + timedelta(days=30)
    ahead = replace(TERMS, practice_jobs=9)
    set_level(name=shop.level.name, terms=ahead, now=NOW, from_day=later, by=shop.owner)
    ask_for_writeups(level=shop.level, writeups=[row.writeup.name], by=shop.owner, now=NOW)
    for day, jobs in ((TODAY, TERMS.practice_jobs), (later, 9)):
        rules = version_on(gather().files.versions[shop.level.name], day)
        assert (rules.practice_jobs, rules.writeups[-1]) == (jobs, row.writeup.name)
    with pytest.raises(Refused):
        ask_for_writeups(level=shop.level, writeups=[row.writeup.name], by=shop.owner, now=NOW)


def test_the_quiz_asks_by_the_rules_of_the_day_and_not_by_those_set_ahead(shop, client):
    """Rules of next month without a write-up took its questions out of the quiz of today."""
    row, first = released("level: air-spring"), {"air-spring-service"}
    ahead, before = replace(TERMS, writeups=(row.writeup.name,)), list(faults())
    set_level(name="air-spring", terms=ahead, now=NOW, from_day=TODAY + timedelta(days=30))
    assert asked_by_quiz() == first
    keep_quiz_in_step(level=shop.level, on=TODAY + timedelta(days=29))
    assert asked_by_quiz() == first
    keep_quiz_in_step(level=shop.level, on=TODAY + timedelta(days=30))
    assert asked_by_quiz() == {row.writeup.name}
    client.force_login(shop.trainee)
    client.post(reverse("training:quiz", args=["air-spring"]))  # in step for whoever begins it
    assert asked_by_quiz() == first
    assert list(faults()) == before  # the rows of the factories are in no book
