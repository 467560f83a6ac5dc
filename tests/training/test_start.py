"""Does a new shop see how far it has come, and do the examples come in as drafts?"""

import datetime
import re

import pytest
from django.urls import reverse

from procedures.models import Example, Revision, ShopRules
from procedures.records.refused import Refused
from procedures.writeup.demo_values import is_marked_as_demo
from tests.procedures.factories import TEXT, RevisionFactory
from tests.training.factories import UserFactory, WorkshopFactory
from tests.training.shop import NOW, TODAY, void_asked, void_decided
from tests.training.test_levels import TYPED
from training.actions.entries import record_job
from training.actions.start import leave_for_later, take_up
from training.exchange.folder.bring import Faulty
from training.exchange.folder.examples import Chosen, bring_examples, find_examples
from training.models import BookEntry, LeftForLater, Level, LevelRules, Rota, SignOff, User
from training.records.gathering import gather
from training.records.keeping import faults
from training.reports.start import start_for, start_page
from training.standing.answer import standings

START, LATER, EXAMPLES = "/start/", "/start/later/", "/start/examples/"


@pytest.fixture
def owner(client, db, clock):
    workshop = WorkshopFactory(name="Bench House", time_zone="Europe/Vienna")
    person = UserFactory(login="odile", name="Odile Owner", trade="owner", workshop=workshop)
    client.force_login(person)
    return person


def states():
    return {step.step: step.state for step in start_page(TODAY).steps}


def test_every_way_out_of_start_leads_back(client, owner):
    ways = set(re.findall(r'href="([^"]+)"', main_of(client.get(START))))
    assert len(ways) >= 8
    for way in ways:
        assert f'href="{START}"' in main_of(client.get(way)), way
    given = {"name": "Mika Weld", "login": "mika", "trade": "mechanic", "started": "2026-11-02"}
    given |= {"workshop": owner.workshop.pk}
    on = client.post(reverse("training:new-person") + "?from=start", given)
    assert f'href="{START}"' in main_of(client.get(on.url))
    rota = client.get(reverse("training:rota") + "?from=start")
    there = reverse("training:rota-person", args=["mika"])
    assert f'href="{there}?from=start"' in rota.text
    rota = reverse("training:rota") + "?from=start"
    assert f'href="{rota}"' in main_of(client.get(f"{there}?from=start"))
    saved = {"what": "shift", "weekdays": ["mon"], "first": "2026-11-25"}
    saved |= {"workshop": owner.workshop.pk}
    assert client.post(f"{there}?from=start", saved).url == f"{there}?from=start"


def main_of(answer):
    assert answer.status_code == 200
    return re.search(r"<main.*</main>", answer.text, re.DOTALL)[0]


def every():
    known = find_examples()
    return Chosen(
        tuple(one.name for one in known.levels), tuple(one.name for one in known.writeups), True
    )


def answer_today(shop):
    found = gather()
    return standings(found, ["air-spring"], TODAY, NOW, {}, ["sol"])["sol", "air-spring"]


def test_a_new_shop_begins_at_the_first_step(client, owner):
    assert client.get("/").url == START
    page = client.get(START).text
    assert "0 of 5 are done" in page
    for name in ("training:matrix", "training:rota"):
        assert f'href="{reverse(name)}?from=start"' in page
    assert states() == {
        "people": "next",
        "levels": "open",
        "rules": "open",
        "sign-offs": "open",
        "rota": "open",
    }


def test_what_is_done_is_read_from_the_record(shop):
    """The small shop has people, a level, rules and a sign-off, but nobody is on the rota."""
    assert states() == {
        "people": "done",
        "levels": "done",
        "rules": "done",
        "sign-offs": "done",
        "rota": "later",
    }
    take_up(step="rota", by=shop.owner)
    shop.rota = Rota.objects.create(person=shop.mechanic, workshop=shop.workshop, mon=True)
    assert not start_page(TODAY).is_open
    # A rota that has ended is none; nor is one without a day.
    Rota.objects.update(until=TODAY - datetime.timedelta(days=1))
    assert states()["rota"] == "next"
    Rota.objects.update(until=None, mon=False)
    assert states()["rota"] == "next"


def test_a_cancelled_sign_off_does_not_count(shop):
    assert states()["sign-offs"] == "done"
    for row in SignOff.objects.all():
        asked = void_asked(
            by=shop.other_senior,
            kind="signoff",
            person=row.person,
            about=row.level.name,
            on=row.happened_on,
        )
        void_decided(asked, shop.owner)
    assert states()["sign-offs"] == "next"


def test_a_step_is_left_for_later_and_taken_up_again(client, owner):
    client.post(LATER, {"step": "people"})
    assert (states()["people"], states()["levels"]) == ("later", "next")
    client.post(LATER, {"step": "people", "take_up": "yes"})
    assert (states()["people"], states()["levels"]) == ("next", "open")
    assert client.post(LATER, {"rest": "yes"}).url == "/"
    assert set(states().values()) == {"later"}
    bench = client.get("/")
    assert bench.status_code == 200
    assert "5 steps of the start are left for later" in bench.text
    # What is done is told as done, also where it was left for later.
    UserFactory(trade="mechanic", workshop=owner.workshop)
    assert states()["people"] == "done"


def test_only_an_owner_starts_and_only_with_what_there_is(client, owner):
    mechanic = UserFactory(trade="mechanic", workshop=owner.workshop)
    for act in (
        lambda: leave_for_later(steps=["rota"], by=mechanic, now=NOW),
        lambda: take_up(step="rota", by=mechanic),
        lambda: leave_for_later(steps=["coffee"], by=owner, now=NOW),
        lambda: bring_examples(every(), by=mechanic, now=NOW),
        lambda: bring_examples(Chosen(), by=owner, now=NOW),
    ):
        with pytest.raises(Refused):
            act()
    assert not LeftForLater.objects.exists()
    assert start_for(mechanic, TODAY) is None


def test_a_shop_that_has_begun_to_work_is_not_started_again(shop):
    assert start_for(shop.owner, TODAY).left
    record_job(
        person=shop.mechanic,
        level=shop.level,
        revision=shop.revision,
        on=TODAY,
        today=TODAY,
        watched_by=shop.senior,
        variant={"ring": "prong"},
        by=shop.mechanic,
        now=NOW,
    )
    assert start_for(shop.owner, TODAY) is None


def test_the_examples_come_in_as_drafts_without_anybody_of_the_demo(client, owner):
    before = list(faults())  # the rows of the factories are in no book
    page = client.get(EXAMPLES)
    form = page.context["form"]
    given = {name: form[name].value() for name in ("levels", "writeups")} | {"rules": "on"}
    done = client.post(EXAMPLES, given, follow=True)
    known = find_examples()
    assert "drafts from the examples" in done.text
    assert "things from the examples are not yet read for this shop" in done.text
    assert set(User.objects.all()) == {owner}
    assert Revision.objects.count() == len(known.writeups)
    assert not Revision.objects.released().exists()
    assert all(is_marked_as_demo(row.text) for row in Revision.objects.all())
    assert not any("released:" in row.text for row in Revision.objects.all())
    rows = LevelRules.objects.all()
    assert {row.practice_from for row in rows} == {TODAY}
    assert all(row.writeups for row in rows)
    assert Example.objects.unread().count() == len(known.writeups) + len(known.levels) + 1
    assert list(faults()) == before
    # On the page of levels each is gone through by a button of its own.
    levels = client.get(reverse("training:levels")).text
    assert levels.count("not yet read for this shop") == len(known.levels)
    given = {"thing": "level", "name": known.levels[0].name, "next": "/levels/"}
    client.post(reverse("procedures:read-example"), given)
    levels = client.get(reverse("training:levels")).text
    assert levels.count("not yet read for this shop") == len(known.levels) - 1


def test_choosing_twice_changes_nothing_and_nothing_is_written_over(owner):
    first = bring_examples(Chosen(("lower-leg",), ("tool-check",), True), by=owner, now=NOW)
    assert first.there == ()
    Revision.objects.update(text="mine")
    kept = (BookEntry.objects.count(), ShopRules.objects.count(), Level.objects.count())
    again = bring_examples(Chosen(("lower-leg",), ("tool-check",), True), by=owner, now=NOW)
    assert not again.is_new
    assert len(again.there) == 3
    assert Revision.objects.get().text == "mine"
    assert (BookEntry.objects.count(), ShopRules.objects.count(), Level.objects.count()) == kept


def test_a_level_names_only_what_the_shop_has(owner):
    """Air-spring service asks for Lower-leg service first and has two write-ups in the demo."""
    bring_examples(Chosen(("air-spring",), ("release-the-air",)), by=owner, now=NOW)
    rules = LevelRules.objects.get()
    assert (rules.earlier, rules.writeups) == ([], ["release-the-air"])


def test_where_one_thing_is_wrong_nothing_comes_in(owner, monkeypatch):
    bad = find_examples().levels[0]
    worse = dict(bad.row) | {"valid_months": "0"}
    monkeypatch.setattr(
        "training.exchange.folder.examples.find_examples",
        lambda: type(find_examples())(
            levels=(type(bad)(bad.name, bad.title, tuple(worse.items()), (), ()),),
            rules=find_examples().rules,
            writeups=find_examples().writeups,
        ),
    )
    with pytest.raises(Faulty):
        bring_examples(every(), by=owner, now=NOW)
    assert [model.objects.count() for model in (Revision, Example, ShopRules)] == [0, 0, 0]


@pytest.mark.parametrize("first", ["levels", "write-ups", "both"])
def test_a_level_asks_for_its_example_write_ups_whichever_came_first(client, owner, first):
    known = find_examples()
    example = next(one for one in known.levels if one.name == "air-spring")
    unwritten = list(faults())  # the rows of the factories are in no book
    one, other = Chosen(levels=["air-spring"]), Chosen(writeups=example.writeups)
    if first == "both":
        bring_examples(Chosen(["air-spring"], example.writeups), by=owner)
    else:
        bring_examples(one if first == "levels" else other, by=owner)
        sent = {"writeups": list(other.writeups), "levels": list(one.levels)}
        said = client.post(EXAMPLES, sent, follow=True).text
        assert (f"{example.title} asks for these now too" in said) is (first == "levels")
    rules = LevelRules.objects.order_by("pk").last()
    assert set(rules.writeups) == set(example.writeups)
    assert list(faults()) == unwritten
    kept = LevelRules.objects.count()
    bring_examples(Chosen(["air-spring"], example.writeups), by=owner)  # nothing is new
    assert LevelRules.objects.count() == kept


def test_a_level_of_ones_own_asks_for_the_example_and_nobodys_standing_moves(shop, client):
    """The small shop's level has the name of an example. The draft asks nothing of anybody yet."""
    before = answer_today(shop)
    bring_examples(Chosen(writeups=["tool-check", "release-the-air"]), by=shop.owner)
    writeups = LevelRules.objects.order_by("pk").last().writeups
    asked = next(one for one in find_examples().levels if one.name == "air-spring").writeups
    new = [name for name in asked if name in ("tool-check", "release-the-air")]
    assert new
    assert writeups == [shop.writeup.name, *new]
    assert answer_today(shop) == before == "alone"


def test_a_level_that_is_made_after_its_write_up_is_told_of_it(shop, client):
    released = TEXT.format(title="Older service").replace("air-spring", "damper")
    RevisionFactory(writeup__title="Older service", text=released, released=True)
    client.force_login(shop.owner)
    sent = TYPED | {"level": "damper", "title": "Damper service", "from_day": TODAY}
    answer = client.post("/levels/new/", sent, follow=True)
    assert answer.redirect_chain[-1][0] == "/levels-write-ups/"
    assert "name the level, and it does not ask for them: Older service" in answer.text
