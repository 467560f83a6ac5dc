"""Is what somebody typed kept when the session ran out before it was sent, and by nobody else's
hand?
"""

import html
import re

import pytest
from django.test import Client

from tests.training.factories import PASSWORD
from training.models import Absence, Job

NOTE = "The ring sat “deep”, <again>."
JOB = {"on": "2026-11-25", "watched_by": "sol", "v-ring": "prong", "note": NOTE, "mark": "m" * 16}


def kept_in(page):
    found = re.search(r'name="typed" value="([^"]*)"', page.text)
    return html.unescape(found[1]) if found else ""


def hidden(page):
    """The fields and the address of the form that sends it again."""
    forms = re.findall(r'<form method="post" action="([^"]*)">(.*?)</form>', page.text, re.S)
    action, inside = next(form for form in forms if "Send this again" in form[1])
    fields = re.findall(r'name="([^"]*)" value="([^"]*)"', inside)
    return action, {html.unescape(name): html.unescape(value) for name, value in fields}


def sign_in(browser, text, login="tilda", password=PASSWORD, **more):
    sent = {"username": login, "password": password, "typed": text, "next": "/"}
    return browser.post("/sign-in/", sent, **more)


def test_a_job_that_was_typed_is_written_down_after_signing_in_again(shop):
    browser = Client(enforce_csrf_checks=True)
    mark = re.search(r'csrfmiddlewaretoken" value="(\w+)"', browser.get("/sign-in/").text)[1]
    sent = {**JOB, "csrfmiddlewaretoken": mark}
    page = browser.post("/levels/air-spring/job/", sent)
    assert page.status_code == 401
    assert "what you typed is kept" in page.text
    assert not Job.objects.exists()
    wrong = sign_in(browser, kept_in(page), password="no", headers={"X-CSRFToken": mark})
    again = sign_in(browser, kept_in(wrong), headers={"X-CSRFToken": mark}, follow=True)
    assert "What you typed is still here" in again.text
    assert "in the name of Tilda Trainee" in again.text
    address, fields = hidden(again)
    browser.post(address, fields)
    assert Job.objects.get().note == NOTE


def test_a_password_that_was_typed_is_kept_nowhere(shop, client):
    sent = {"level": "", "first": "2026-11-25", "reason": NOTE, "password": PASSWORD, "mark": "m"}
    page = client.post("/stand-down/mika/", sent)
    again = sign_in(client, kept_in(page), login="sol", follow=True)
    assert "Your password is not sent again." in again.text
    address, fields = hidden(again)
    assert PASSWORD not in again.text
    filled = client.post(address, fields)
    assert html.escape(NOTE) in filled.text  # the form comes back filled and asks for it


@pytest.mark.parametrize("text", ["", "made up", "eyJwYXRoIjoiLyJ9:abc:def"])
def test_nothing_that_this_site_did_not_seal_is_shown(shop, client, text):
    page = sign_in(client, text)
    assert page.url == "/"
    assert client.get("/typed/").url == "/"


def test_programs_and_empty_forms_are_sent_to_the_sign_in_page_as_before(shop, client):
    for sent, headers in (({}, {}), (JOB, {"Accept": "application/json"})):
        page = client.post("/levels/air-spring/job/", sent, headers=headers)
        assert page.url.startswith("/sign-in/?next=")
    assert "typed" not in client.session


def test_who_signed_in_again_in_another_tab_finds_it_too(shop, as_):
    page = Client().post(
        "/rota/sol/", {"what": "away", "first": "2026-12-01", "until": "2026-12-02"}
    )
    browser = as_(shop.owner)
    again = sign_in(browser, kept_in(page), login="odile", follow=True)
    address, fields = hidden(again)
    browser.post(address, fields)
    assert Absence.objects.filter(person=shop.senior).count() == 1


def test_with_a_second_factor_it_comes_back_after_the_code(shop, client, monkeypatch):
    page = client.post("/levels/air-spring/job/", JOB)
    monkeypatch.setattr("training.views.signing_in.has_factor", lambda person: True)
    monkeypatch.setattr("training.views.signing_in.check_code", lambda **_: None)
    assert sign_in(client, kept_in(page)).url == "/sign-in/code/"
    again = client.post("/sign-in/code/", {"code": "123456"}, follow=True)
    assert "What you typed is still here" in again.text
