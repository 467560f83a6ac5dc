"""Does only somebody who works here get in, and does a page that fails say so in plain words?"""

import datetime

import pytest
from django.http import Http404
from django.test import Client

from tests.training.factories import PASSWORD
from tests.training.shop import TODAY
from training.views import home

NEW_PASSWORD = "a shaft without a scratch"


def sign_in(browser, login="mika", password=PASSWORD, **more):
    return browser.post("/sign-in/", {"username": login, "password": password}, **more)


def change_password(browser, old, new, again=None):
    return browser.post(
        "/password/", {"old_password": old, "new_password1": new, "new_password2": again or new}
    )


def test_the_right_password_leads_to_the_bench(shop, client):
    assert sign_in(client).url == "/"
    assert client.get("/").status_code == 200


@pytest.mark.parametrize(
    ("login", "password"), [("mika", "guessed"), ("nobody", PASSWORD), ("mika", "")]
)
def test_anything_else_leads_nowhere_and_does_not_say_which_of_the_two_is_wrong(
    shop, client, login, password
):
    page = sign_in(client, login, password)
    assert page.status_code == 200
    assert "_auth_user_id" not in client.session
    assert "no such" not in page.text.lower()


def test_one_mechanic_who_forgets_does_not_lock_the_others_out(shop, client):
    for _ in range(5):
        sign_in(client, password="guessed")
    assert sign_in(client, "sol").url == "/"


def test_a_password_that_is_right_starts_the_count_afresh(shop, client):
    for _ in range(4):
        sign_in(client, password="guessed")
    assert sign_in(client).url == "/"
    client.post("/sign-out/")
    for _ in range(4):
        assert sign_in(client, password="guessed").status_code == 200
    assert sign_in(client).url == "/"


def test_somebody_who_has_left_does_not_get_in(shop, client):
    shop.mechanic.left = TODAY - datetime.timedelta(days=1)
    shop.mechanic.save()
    assert sign_in(client).status_code == 200
    assert "_auth_user_id" not in client.session


def test_the_sign_in_leads_on_within_this_site_only(shop, client):
    # CWE-601: a sign-in page that sends people on to another site.
    assert (
        client.post(
            "/sign-in/?next=https://elsewhere.example/", {"username": "mika", "password": PASSWORD}
        ).url
        == "/"
    )
    assert (
        Client().post("/sign-in/?next=/write-ups/", {"username": "mika", "password": PASSWORD}).url
        == "/write-ups/"
    )


def test_a_link_signs_nobody_out(shop, as_):
    browser = as_(shop.mechanic)
    assert browser.get("/sign-out/").status_code == 405
    assert browser.get("/").status_code == 200
    assert browser.post("/sign-out/").url == "/sign-in/"
    assert browser.get("/").url.startswith("/sign-in/")


def test_a_new_password_works_and_ends_the_other_sessions(shop, client):
    # OWASP ASVS 5.0, 7.4.3: after a change of password the other sessions of that account can be
    # ended.
    other = Client()
    sign_in(client), sign_in(other)
    assert change_password(client, PASSWORD, NEW_PASSWORD).url == "/password/done/"
    assert client.get("/").status_code == 200
    assert other.get("/").url.startswith("/sign-in/")
    client.post("/sign-out/")
    assert sign_in(client).status_code == 200
    assert sign_in(client, password=NEW_PASSWORD).url == "/"


@pytest.mark.parametrize(
    ("old", "new", "again"),
    [
        ("guessed", NEW_PASSWORD, None),
        (PASSWORD, "short", None),
        (PASSWORD, "password1234", None),
        (PASSWORD, NEW_PASSWORD, "another one"),
    ],
)
def test_a_password_that_cannot_be_is_refused_and_the_old_one_stays(shop, as_, old, new, again):
    assert change_password(as_(shop.mechanic), old, new, again).status_code == 200
    shop.mechanic.refresh_from_db()
    assert shop.mechanic.check_password(PASSWORD)


def test_a_form_from_another_site_is_refused(shop):
    # CWE-352. The form must carry the token of this site.
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(shop.senior, backend="training.access.sign_in.ShopBackend")
    answer = browser.post(
        "/stand-down/mika/",
        {"level": "", "first": "2026-11-25", "reason": "x", "password": PASSWORD},
    )
    assert answer.status_code == 403
    assert "Traceback" not in answer.text


def test_the_session_is_kept_from_scripts_and_other_sites(shop, client):
    # OWASP ASVS 5.0, 3.3.2 and 3.3.4: SameSite and HttpOnly.
    cookie = sign_in(client).cookies["benchright"]
    assert cookie["httponly"]
    assert cookie["samesite"] == "Lax"


class Broken(Exception):
    """Something that nobody foresaw."""


@pytest.mark.parametrize(
    ("error", "status"), [(Http404, 404), (PermissionError, 500), (Broken, 500)]
)
def test_a_page_that_fails_says_so_without_a_traceback(shop, as_, monkeypatch, error, status):
    def fails(*args, **more):
        raise error("the inside of the house")

    monkeypatch.setattr(home, "home_page", fails)
    browser = as_(shop.mechanic)
    browser.raise_request_exception = False
    page = browser.get("/")
    assert page.status_code == status
    assert "<h1" in page.text
    assert "the inside of the house" not in page.text
    assert "Traceback" not in page.text
    assert "script-src 'self'" in page.headers["Content-Security-Policy"]


def test_a_page_that_is_refused_says_so_and_leads_back(shop, as_):
    page = as_(shop.mechanic).get("/people/")
    assert page.status_code == 403
    assert 'href="/"' in page.text
    page = as_(shop.mechanic).get("/nowhere/")
    assert page.status_code == 404
    assert 'href="/"' in page.text
