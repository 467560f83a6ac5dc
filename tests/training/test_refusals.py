"""Does an owner see which sign-ins and programs were refused, with nothing in it that was typed,
and within bounds however many come?
"""

import datetime
import secrets

import pytest
from django.db import connection
from django.test import Client, RequestFactory
from django.test.utils import CaptureQueriesContext

from tests.training.factories import PASSWORD
from tests.training.shop import NOW, TODAY
from training.actions import refusals
from training.actions.programs import end_token, make_token
from training.actions.refusals import KEPT, MOST_APART, MOST_KEPT, note_refusal
from training.actions.second_factor import begin_factor
from training.models import RefusedSignIn
from training.models.refusals import MANY, WAIT
from training.models.refusals import PASSWORD as WRONG_PASSWORD

HOUR, SECOND = datetime.timedelta(hours=1), datetime.timedelta(seconds=1)
STRANGER = {"REMOTE_ADDR": "203.0.113.66"}  # RFC 5737: addresses for examples
PHONE = "Mozilla/5.0 (Mobile; rv:143.0) Gecko/143.0"  # the shape that browsers give it, from memory


def sign_in(login="sol", password=None, browser=None, **more):
    form = {"username": login, "password": password or "guess"}
    return (browser or Client()).post("/sign-in/", form, **(STRANGER | more))


def ask(path, token):
    return Client().get(path, headers={"Authorization": f"Bearer {token}"})


def noted(n, why=WRONG_PASSWORD, now=NOW, **more):
    asked = RequestFactory().post("/sign-in/", REMOTE_ADDR=f"198.{18 + n // 256}.{n % 256}.1")
    note_refusal(request=asked, why=why, now=now, **more)


def told(page):
    """The rows of the list as their texts, newest first."""
    from lxml import html

    rows = html.fromstring(page).xpath("//table/tbody/tr")
    return [[" ".join(cell.text_content().split()) for cell in row] for row in rows]


def test_an_owner_sees_who_when_why_how_often_and_from_where_roughly(shop, as_, clock):
    for _ in range(5):
        sign_in(HTTP_USER_AGENT=PHONE)
    clock.shift(SECOND)
    sign_in(HTTP_USER_AGENT=PHONE)
    clock.shift(HOUR)
    sign_in("nobody-here")
    shop.mechanic.is_active = False
    shop.mechanic.save()
    clock.shift(HOUR)
    sign_in("mika", PASSWORD)
    sol, on_phone = "Sol Seniorsol", ["Phone or tablet", "203.0.113.0 …"]
    unknown = ["Unknown device", "203.0.113.0 …"]
    # Vienna is an hour ahead
    nobody = ["a login that we do not have", "25 Nov 2026, 11:30", "nobody has this login"]
    waited = [sol, "25 Nov 2026, 10:30", "tried again during the waiting time", "1 time"]
    assert told(as_(shop.owner).get("/refused/").text) == [
        ["Mika Mechanicmika", "25 Nov 2026, 12:30", "the account is closed", "1 time", *unknown],
        [*nobody, "1 time", *unknown],
        [*waited, *on_phone],
        [sol, "25 Nov 2026, 10:30", "wrong password", "5 times", *on_phone],
    ]


def test_a_wrong_code_and_a_token_that_does_not_work_stand_there_too(shop, as_):
    device = begin_factor(person=shop.mechanic)
    device.confirmed = True
    device.save()
    browser = Client()
    sign_in("mika", PASSWORD, browser)
    browser.post("/sign-in/code/", {"code": "12345x"}, **STRANGER)
    row, token = make_token(
        name="wall screen", scopes=["may:read"], until=TODAY, by=shop.owner, today=TODAY, now=NOW
    )
    assert ask("/api/book", token).status_code == 403
    end_token(row=row, by=shop.owner, now=NOW)
    assert ask("/api/book", token).status_code == 401
    assert ask("/metrics/", "bench_" + "\x7f" * 5000).status_code == 401
    rows = {(row[0], row[2]) for row in told(as_(shop.owner).get("/refused/").text)}
    assert rows == {
        ("Mika Mechanicmika", "wrong code"),
        ("wall screena program", "the token has ended"),
        ("a program that we do not have", "we do not have this token"),
    }


@pytest.mark.parametrize(
    "typed",
    ["my secret word", "SECRET\r\nword", "secret\x1b[31m\u202e", "secret" * 200_000, "secret\x00"],
)
def test_what_was_typed_is_neither_kept_nor_shown(shop, as_, typed):
    agent = f"Mozilla/5.0 {typed[:500]}".replace("\r", "").replace("\n", "")
    browser = Client(HTTP_USER_AGENT=agent, HTTP_REFERER=typed[:500])
    assert sign_in(typed, "sol", browser).status_code == 200
    ask("/api/book", typed[:100])
    assert "secret" not in str(list(RefusedSignIn.objects.values())).lower()
    page = as_(shop.owner).get("/refused/").text
    assert "secret" not in page.lower()
    assert "\u202e" not in page


def test_only_an_owner_is_shown_it_and_everybody_their_own_number(shop, as_, clock):
    sign_in("mika", PASSWORD, mika := Client())
    assert "refused sign-in" not in mika.get("/sessions/").text
    clock.shift(HOUR)
    for _ in range(3):
        sign_in("mika")
    sign_in("sol")
    assert "3 refused sign-ins since your last one." in mika.get("/sessions/").text
    sign_in("mika", PASSWORD, again := Client(), REMOTE_ADDR="198.51.100.4")
    assert "3 refused sign-ins since your last one." in again.get("/sessions/").text
    # within the same hour, and still counted by itself
    clock.shift(SECOND)
    sign_in("mika", REMOTE_ADDR="198.51.100.4")
    sign_in("mika", PASSWORD, third := Client(), REMOTE_ADDR="198.51.100.4")
    assert "1 refused sign-in since your last one." in third.get("/sessions/").text
    owners = as_(shop.owner).get("/people/mika/sessions/").text
    assert "since your last one" not in owners
    assert "/refused/" in owners


def test_the_first_page_of_an_owner_tells_of_a_burst_and_of_nothing_less(shop, as_, clock):
    home = as_(shop.owner)
    for _ in range(15):
        noted(0)
    noted(1)
    assert "/refused/" not in home.get("/").text
    noted(0)
    assert "About 20 tries to get in were refused in the last 24 hours." in home.get("/").text
    assert "/refused/" not in as_(shop.senior).get("/").text
    clock.shift(25 * HOUR)
    assert "/refused/" not in home.get("/").text


def test_a_thousand_refusals_at_one_moment_are_few_rows_and_few_writes(shop, monkeypatch):
    # One in so many by turns and not by chance: the same count in every run.
    turns = iter(range(10**6))
    monkeypatch.setattr(secrets, "randbelow", lambda step: next(turns) % step)
    with CaptureQueriesContext(connection) as queries:
        for _ in range(1000):
            noted(0, WAIT, person=shop.senior)
    (row,) = RefusedSignIn.objects.all()
    # Morris 1978: right on average; its error is a quarter here.
    assert 500 < row.count < 1500
    assert len(queries) < 100


def test_a_thousand_networks_at_one_moment_are_few_rows(shop, as_):
    for n in range(1000):
        noted(n, person=shop.senior)
    assert RefusedSignIn.objects.count() == MOST_APART + 1
    others = RefusedSignIn.objects.get(kind=MANY)
    assert 400 < others.count < 1600
    assert "many networks" in as_(shop.owner).get("/refused/").text


def test_what_is_old_or_too_much_goes_and_nobody_pushes_out_what_is_anothers(shop):
    noted(0, person=shop.mechanic, now=NOW - KEPT)
    noted(0, person=shop.trainee)
    for n in range(MOST_KEPT + 30):
        noted(0, person=shop.senior, now=NOW + n * HOUR)
    kept = RefusedSignIn.objects.values_list("person__login", flat=True)
    assert sorted(kept) == ["sol"] * MOST_KEPT + ["tilda"]
    newest = NOW + (MOST_KEPT + 29) * HOUR
    assert RefusedSignIn.objects.filter(person=shop.senior).first().last_at == newest


def test_a_refusal_costs_no_more_than_before_and_the_same_whoever_is_named(shop, monkeypatch):
    def cost(login):
        with CaptureQueriesContext(connection) as queries:
            sign_in(login)
        noting = [query for query in queries if "refusedsignin" in query["sql"]]
        return len(queries), len(noting)

    costs = {login: [cost(login) for _ in range(9)] for login in ("sol", "nobody-here")}
    # Else how long an answer takes would tell who works here.
    noting = {login: [n for _, n in told] for login, told in costs.items()}
    assert noting["sol"] == noting["nobody-here"]
    # Of a second wrong password before refusals were listed: 10 queries, measured then.
    assert {n for n, _ in costs["sol"][1:5]} == {10}
    # In a flood mostly nothing at all is written.
    monkeypatch.setattr(secrets, "randbelow", lambda step: step - 1)
    for _ in range(20):
        sign_in()
    waiting = cost("sol")
    monkeypatch.setattr(refusals, "note_refusal", lambda **_: None)
    monkeypatch.setattr("training.views.forms.sign_in.note_refusal", lambda **_: None)
    assert waiting == cost("sol")


def test_a_list_that_cannot_be_written_lets_nobody_in_and_breaks_nothing(shop, monkeypatch):
    from django.db import OperationalError

    def locked(*_):
        raise OperationalError("database is locked")

    monkeypatch.setattr(refusals, "_is_counted", locked)
    assert sign_in().status_code == 200
    assert not RefusedSignIn.objects.exists()
