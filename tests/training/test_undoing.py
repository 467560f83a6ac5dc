"""Can what was saved on rota, wants and level rules be undone, and nobody else's work with it?"""

import datetime
from dataclasses import replace

import pytest

from procedures.records.refused import Refused
from tests.training.shop import LONG_AGO, NOW, TERMS, TODAY
from training.actions.levels import set_level, undo_rules
from training.actions.rota import add_absence, set_shift, set_want, shift_rows, want_counts
from training.models import DAYS, Absence, LevelRules, Want
from training.records.gathering import gather
from training.records.keeping import faults
from training.reports.cover import rota_of
from training.standing.levels import version_on


def weekdays(browser, shop, *days, first="2026-11-25"):
    sent = {"what": "shift", "workshop": shop.workshop.pk, "weekdays": days, "first": first}
    return browser.post("/rota/sol/", sent, follow=True)


def works(shop):
    return [rota_of().works("sol", TODAY + datetime.timedelta(days=n)) for n in range(-14, 14)]


def test_weekdays_that_were_saved_are_undone(shop, as_):
    set_shift(
        person=shop.senior, workshop=shop.workshop, weekdays=["mon"], first=LONG_AGO, by=shop.owner
    )
    before, browser = works(shop), as_(shop.owner)
    assert "Undo" in weekdays(browser, shop, "tue", "wed").text
    assert works(shop) != before
    assert "Undone. It is as it was before." in browser.post("/undo-rota/", follow=True).text
    assert works(shop) == before
    assert "There is nothing to undo." in browser.post("/undo-rota/", follow=True).text


def test_what_somebody_else_has_changed_since_is_not_undone(shop, as_):
    browser = as_(shop.owner)
    weekdays(browser, shop, "tue")
    set_shift(
        person=shop.senior, workshop=shop.workshop, weekdays=["fri"], first=TODAY, by=shop.owner
    )
    kept = shift_rows(shop.senior)
    page = browser.post("/undo-rota/", follow=True)
    assert "This has been changed since. Nothing was undone." in page.text
    assert shift_rows(shop.senior) == kept


def test_an_absence_that_was_added_or_taken_out_is_undone(shop, as_):
    browser = as_(shop.owner)
    sent = {"what": "away", "first": "2026-12-01", "until": "2026-12-04", "why": "Holiday"}
    assert "Undo</button>" in browser.post("/rota/sol/", sent, follow=True).text
    browser.post("/undo-rota/")
    assert not Absence.objects.exists()
    browser.post("/rota/sol/", sent)
    kept = Absence.objects.values().get()
    out = browser.post(f"/rota/sol/away/{kept['id']}/", follow=True)
    assert "Undo</button>" in out.text
    assert not Absence.objects.exists()
    assert "Undone. It is as it was before." in browser.post("/undo-rota/", follow=True).text
    assert Absence.objects.values().get() == kept  # with its number, which its calendar event has


@pytest.mark.parametrize("is_added", [True, False])
def test_an_absence_that_somebody_has_changed_since_is_not_undone(shop, as_, is_added):
    browser, days = as_(shop.owner), {"first": TODAY, "until": TODAY + datetime.timedelta(days=3)}
    browser.post("/rota/sol/", {"what": "away"} | {name: str(day) for name, day in days.items()})
    row = Absence.objects.get()
    if is_added:
        Absence.objects.update(why="Changed by somebody else")
    else:
        browser.post(f"/rota/sol/away/{row.pk}/")
        add_absence(person=shop.senior, **days, by=shop.owner)
    kept = list(Absence.objects.values())
    assert "Nothing was undone" in browser.post("/undo-rota/", follow=True).text
    assert list(Absence.objects.values()) == kept


def test_one_undoes_ones_own_alone(shop, as_):
    weekdays(as_(shop.owner), shop, "tue")
    assert as_(shop.senior).post("/undo-rota/").status_code == 403
    assert "/undo-rota/" not in as_(shop.senior).get("/rota/").text


@pytest.mark.parametrize("before", [{}, {"mon": 2, "fri": 1}])
def test_what_is_wanted_is_undone(shop, as_, before):
    set_want(workshop=shop.workshop, level=shop.level, counts=before, by=shop.owner)
    browser = as_(shop.owner)
    numbers = dict.fromkeys(DAYS, "0") | {"tue": "3"}
    page = browser.post(f"/wanted/{shop.workshop.pk}/air-spring/", numbers, follow=True)
    assert "Undo" in page.text
    browser.post("/undo-rota/")
    assert want_counts(shop.workshop, shop.level) == dict.fromkeys(DAYS, 0) | before
    assert Want.objects.exists() is bool(before)


def rules_on(day):
    return replace(version_on(gather().files.versions["air-spring"], day), from_day=None)


def changed(shop, now=NOW, from_day=TODAY, **terms):
    return set_level(
        name="air-spring", terms=replace(TERMS, **terms), now=now, from_day=from_day, by=shop.owner
    )


@pytest.mark.parametrize("from_day", [None, LONG_AGO, TODAY, TODAY + datetime.timedelta(days=9)])
def test_rules_of_today_are_undone_by_a_further_version_for_every_day(shop, from_day):
    changed(shop, from_day=TODAY - datetime.timedelta(days=60), watched_jobs=2)
    days = [LONG_AGO + datetime.timedelta(days=30 * n) for n in range(-2, 20)]
    days += [TODAY + datetime.timedelta(days=n) for n in range(-1, 12)]
    before = [rules_on(day) for day in days]
    saved = changed(shop, from_day=from_day, watched_jobs=7, valid_months=3)
    assert [rules_on(day) for day in days] != before
    undo_rules(rules=saved, by=shop.owner, now=NOW)
    assert [rules_on(day) for day in days] == before
    assert LevelRules.objects.count() == 4
    assert list(faults()) == []


def test_rules_are_not_undone_twice_later_or_by_others(shop):
    saved = changed(shop, watched_jobs=7)
    with pytest.raises(Refused, match="Only the owner can set this"):
        undo_rules(rules=saved, by=shop.senior, now=NOW)
    with pytest.raises(Refused, match="saved today"):
        undo_rules(rules=saved, by=shop.owner, now=NOW + datetime.timedelta(days=1))
    undo_rules(rules=saved, by=shop.owner, now=NOW)
    with pytest.raises(Refused, match="changed since"):
        undo_rules(rules=saved, by=shop.owner, now=NOW)


def test_the_first_rules_have_none_before(shop):
    with pytest.raises(Refused, match="no earlier rules"):
        undo_rules(rules=LevelRules.objects.get(), by=shop.owner, now=NOW)


def test_the_page_offers_it_and_undoes_it(shop, as_):
    saved, browser = changed(shop, watched_jobs=7), as_(shop.owner)
    for address in ("/levels/", "/levels/air-spring/rules/"):
        assert "Go back to the earlier rules" in browser.get(address).text
    page = browser.post("/levels/air-spring/rules/undo/", {"rules": saved.pk}, follow=True)
    assert "The rules of Air-spring service are again what they were before." in page.text
    assert rules_on(TODAY).watched_jobs == TERMS.watched_jobs
    for wrong in ("", "x", "9" * 30, "999"):
        sent = browser.post("/levels/air-spring/rules/undo/", {"rules": wrong})
        assert sent.status_code == 404
