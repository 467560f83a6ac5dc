"""Is what somebody looks for in a list found, and is what cannot be read told?"""

import datetime

import pytest

from tests.training.shop import TODAY, make_ready, watched_job
from training.models import User
from training.reports.record import FEW
from training.views import people as people_views
from training.views import record as record_views


@pytest.fixture
def many_jobs(shop):
    make_ready(shop, shop.trainee)
    for days in range(FEW + 3):
        watched_job(shop, shop.trainee, on=TODAY - datetime.timedelta(days=days))
    return shop


def test_a_record_shows_the_newest_of_each_kind_and_all_on_one_page_to_print(many_jobs, as_):
    browser = as_(many_jobs.trainee)
    parts = {part.code: part for part in browser.get("/record/").context["record"].parts}
    everything = len(parts["jobs"].lines)
    shown = browser.get("/record/").text
    assert everything > FEW
    assert shown.count("supervised by Sol Senior") == FEW
    assert f"Show all {everything}" in shown
    assert browser.get("/record/?whole=yes").text.count("supervised by Sol Senior") == everything


def test_a_record_is_searched_by_kind_and_words_a_page_at_a_time(many_jobs, as_, monkeypatch):
    monkeypatch.setattr(record_views, "LINES_A_PAGE", 2)
    browser = as_(many_jobs.owner)
    found = browser.get("/people/tilda/record/?kind=jobs&words=SOL+supervised").context["found"]
    assert found.paginator.count > FEW
    assert {title for title, _ in found} == {"Jobs"}
    days = [line.on for _, line in found]
    assert days == sorted(days, reverse=True)
    assert len(days) == 2
    page = browser.get("/people/tilda/record/?kind=jobs&page=2").text
    assert "Page 2 of" in page
    assert "kind=jobs" in page.partition("Show the page before")[0].rpartition("href=")[2]
    assert "0 entries found" not in page
    assert "Select a valid choice" in browser.get("/people/tilda/record/?kind=song").text


def test_people_are_searched_and_those_who_left_come_last(shop, as_, monkeypatch):
    User.objects.filter(pk=shop.mechanic.pk).update(left=TODAY - datetime.timedelta(days=1))
    browser = as_(shop.owner)

    def found(**said):
        return [row.login for row in browser.get("/people/", said).context["people"]]

    assert found()[-1] == shop.mechanic.login
    assert found(words="TILDA") == [shop.trainee.login]
    assert found(trade="trainee") == [shop.trainee.login]
    assert "Nobody found." in browser.get("/people/?words=zzz").text
    monkeypatch.setattr(people_views, "PEOPLE_A_PAGE", 2)
    assert len(found()) == 2
    assert "Page 1 of" in browser.get("/people/").text


def test_whoever_looks_for_a_wrong_entry_finds_it_by_kind_and_words(many_jobs, as_):
    browser = as_(many_jobs.owner)
    found = browser.get("/voids/of/tilda/?kind=job").context["named"]
    assert {one.kind for one in found} == {"job"}
    assert not browser.get("/voids/of/tilda/?words=damper").context["named"]
    assert "No entry to cancel." in browser.get("/voids/of/tilda/?words=damper").text


def test_a_recall_comes_a_page_at_a_time_the_newest_first(many_jobs, as_):
    page = as_(many_jobs.owner).get("/recall/?person=sol")
    days = [row.on for row in page.context["rows"]]
    assert days == sorted(days, reverse=True)
    assert f"{page.context['rows'].paginator.count} jobs and observations were touched" in page.text


def test_a_list_is_looked_through_without_a_script(many_jobs, as_):
    text = as_(many_jobs.owner).get("/people/").text
    form = text.partition('role="search"')[0].rpartition("<form")[2]
    assert 'method="get"' in form
    assert '<button type="submit">Search the list</button>' in text
