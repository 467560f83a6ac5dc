"""Does every route let in exactly those who may, and does no page show a way that its reader may
not go?
"""

import re
from collections.abc import Iterator
from urllib.parse import urlsplit

import pytest
from django.db import connection
from django.urls import URLPattern, URLResolver, get_resolver, resolve, reverse

from tests.pages import PUBLIC, ROUTES, TRADES
from tests.put_in import put_in
from tests.training.factories import PASSWORD
from tests.training.shop import NOW, busy_shop
from tests.walks import address, count_passwords, enter, pages_of, shown_to
from training.records.keeping import head


def named_routes(resolver=None, prefix="") -> Iterator[str]:
    for found in (resolver or get_resolver()).url_patterns:
        if getattr(found, "namespace", None) == "api":
            continue  # asks for a token, not for a person: tests/training/test_api.py
        if isinstance(found, URLResolver):
            inner = f"{prefix}{found.namespace}:" if found.namespace else prefix
            yield from named_routes(found, inner)
        elif isinstance(found, URLPattern):
            yield f"{prefix}{found.name}"


@pytest.fixture(autouse=True)
def _no_probe(monkeypatch):
    """The test's own transaction holds the head of the record book, for which the probe of a
    database server would wait in vain. What it finds is held by
    tests/training/test_records_moved.py.
    """
    if connection.vendor == "postgresql":
        monkeypatch.setattr("training.views.home.find_trouble", lambda: "")


@pytest.fixture
def shop(db, time_machine):
    time_machine.move_to(NOW, tick=False)
    return put_in(busy_shop)


def ask(client, shop, route):
    return getattr(client, route.method)(address(shop, route))


def test_every_route_stands_in_the_table():
    assert set(named_routes()) == {route.name for route in ROUTES}


@pytest.mark.parametrize("trade", TRADES)
def test_each_kind_of_person_gets_what_the_table_says(shop, trade):
    got = [(shown.route, shown.status) for shown in shown_to(shop, trade)]
    sent = [route for route in ROUTES if route.method == "post"]
    client, signed_out = enter(shop, trade), []
    for route in sent:
        # the session that is ended is one of its own
        answer = ask(enter(shop, trade) if route.name == "logout" else client, shop, route)
        got.append((route, answer.status_code))
        signed_out += [route.name] * answer.get("Location", "").startswith(reverse("login"))
    assert signed_out == ["logout"]
    assert [
        f"{route.method} {route.name}: {status}, the table says {route.status(trade)}"
        for route, status in got
        if status != route.status(trade)
    ] == []


@pytest.mark.parametrize("trade", TRADES)
def test_a_password_is_worked_out_only_where_one_is_checked(client, shop, trade):
    """It takes a tenth of a second of a core, on purpose: a page that did it could be asked for
    until the site stands still.
    """
    assert [shown.path for shown in shown_to(shop, trade) if shown.passwords] == []
    given = {"username": getattr(shop, trade).login, "password": PASSWORD}
    with count_passwords() as worked_out:
        assert client.post(reverse("login"), given).status_code == 302
    assert worked_out.call_count == 1


def test_nobody_gets_past_the_sign_in(client, shop):
    for route in ROUTES:
        answer = ask(client, shop, route)
        assert answer.status_code == route.nobody, route.name
        if answer.status_code == 302:
            assert answer.url.startswith("/sign-in/"), route.name
        else:
            assert route.name in (*PUBLIC, "logout")


@pytest.mark.parametrize("trade", TRADES)
def test_whoever_may_not_look_may_not_write_either(client, shop, trade):
    """Every refusal holds for both methods, says nothing of how the site is made, and leaves the
    record book as it was.
    """
    before = head()
    client.force_login(getattr(shop, trade), backend="training.access.sign_in.ShopBackend")
    refused = [route for route in ROUTES if route.status(trade) in {403, 404}]
    for route in refused:
        answer = client.post(
            address(shop, route),
            {"password": PASSWORD, "reason": "x", "first": "2026-11-25", "note": "x"},
        )
        assert answer.status_code in {route.status(trade), 405}, route.name
        assert "Traceback" not in answer.text
    assert head() == before


def test_an_address_that_only_takes_what_is_sent_shows_nothing(client, shop):
    client.force_login(shop.senior, backend="training.access.sign_in.ShopBackend")
    for route in ROUTES:
        if route.method == "post" and route.status("senior") != 404:
            assert client.get(address(shop, route)).status_code in {405, 403}, route.name


NOWHERE = {
    "watched_job": 99999,
    "appointment": 99999,
    "writeup": "nowhere",
    "level": "nowhere",
    "standdown": 999,
    "observation": 999,
    "signoff": 999,
    "card": 999,
    "program": 99999,
    "seal": "forged",
    "purpose": "nowhere",
    "open_sitting": 999,
    "ended_sitting": 999,
    "round": 999,
    "question": "nowhere",
    "quiz": "nowhere",
    "2": 9,
    "1": 9,
    "rules": 999,
    "void": 999,
    "reading": "job",
    "day": "2020-01-01",
    "away": 999,
    "wish": 999,
    "stop_seal": "forged",
    "logo": "nowhere",
    "workshop": 999,
}


@pytest.mark.parametrize("trade", TRADES)
def test_what_is_not_there_is_not_found_or_not_allowed(client, shop, trade):
    client.force_login(getattr(shop, trade), backend="training.access.sign_in.ShopBackend")
    for route in ROUTES:
        for arg in route.args:
            changed = shop.args | {arg: NOWHERE.get(arg, "nobody")}
            path = reverse(route.name, args=[changed[name] for name in route.args])
            assert getattr(client, route.method)(path).status_code in {403, 404}, path


def ways_on(page: str) -> set[tuple[str, str]]:
    """Method and path of every link and form on a page that stays on this site."""
    links = {("get", urlsplit(href).path) for href in re.findall(r'<a [^>]*href="(/[^"]*)"', page)}
    forms = re.findall(r"<form([^>]*)>", page)
    for form in forms:
        action = re.search(r'action="(/[^"]*)"', form)
        if action:
            links.add(("post" if 'method="post"' in form else "get", urlsplit(action[1]).path))
    return links


@pytest.mark.parametrize("trade", TRADES)
def test_no_page_shows_a_way_that_its_reader_may_not_go(shop, trade):
    refused = {(route.name, route.method) for route in ROUTES if route.status(trade) >= 400}
    client = enter(shop, trade)
    found = {way: page.route.name for page in pages_of(shop, trade) for way in ways_on(page.text)}
    asked = {page.path: page.status for page in shown_to(shop, trade)}
    assert ("post", "/sign-out/") in found
    for (method, path), page in found.items():
        if method == "get":
            status = asked.get(path) or client.get(path).status_code
            assert status < 400, f"{page} links to {path}"
        else:
            assert (resolve(path).view_name, method) not in refused, f"{page} has a form to {path}"


@pytest.mark.parametrize("trade", TRADES)
def test_every_page_carries_the_policy_against_foreign_scripts(shop, trade):
    for page in pages_of(shop, trade):
        policy = page.headers["Content-Security-Policy"]
        assert "script-src 'self'" in policy
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
