"""Does a second factor keep out whoever has only the password, and let in whoever lost the
phone?
"""

import datetime
import hashlib
import hmac
import json
import re
import struct
import time
import uuid
from base64 import b32decode

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django_otp import verify_token
from django_otp.plugins.otp_static.models import StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from procedures.records.refused import Refused
from tests.training.factories import PASSWORD
from tests.training.shop import NOW
from training.actions import second_factor
from training.actions.people import add_person
from training.actions.second_factor import (
    begin_factor,
    confirm_factor,
    has_factor,
    reset_factor,
    set_factor_rule,
    take_off_factor,
)
from training.models import Appointment, BookEntry, User
from training.records.keeping import faults

STEP = datetime.timedelta(seconds=30)
NEW = "a shaft without a scratch"


def code_of(key, at=None, digits=6):
    """RFC 6238 by the letter, with nothing but the standard library."""
    counter = struct.pack(">Q", int(time.time() if at is None else at) // 30)
    digest = hmac.new(key, counter, hashlib.sha1).digest()
    offset = digest[-1] & 15
    number = (struct.unpack(">I", digest[offset : offset + 4])[0] & 0x7FFFFFFF) % 10**digits
    return f"{number:0{digits}d}"


class Phone:
    """An app that knows the key of one person."""

    def __init__(self, person):
        self.key = begin_factor(person=person).bin_key

    def code(self):
        return code_of(self.key)


@pytest.fixture
def phone(shop):
    """The owner's, set up a minute ago."""
    made = Phone(shop.owner)
    made.recovery = confirm_factor(person=shop.owner, code=made.code(), now=NOW)
    return made


@pytest.fixture
def later(phone, clock):
    """The code of the setting-up is over."""
    clock.shift(2 * STEP)
    return phone


def password(browser, login="odile", word=PASSWORD, **more):
    return browser.post("/sign-in/", {"username": login, "password": word}, **more)


def give(browser, code, **more):
    return browser.post("/sign-in/code/", {"code": code}, **more)


def is_in(browser):
    return "_auth_user_id" in browser.session


def signed_in(phone, clock):
    browser = Client()
    password(browser)
    give(browser, phone.code())
    clock.shift(STEP)
    return browser


def appoint(browser, code, mark=None):
    told = {
        "level": "air-spring",
        "first": "2026-11-25",
        "until": "",
        "code": code,
        "mark": mark or uuid.uuid4().hex,
    }
    return browser.post("/people/wim/appoint/", told)


@pytest.mark.parametrize(
    ("at", "code"),
    [
        (59, "94287082"),
        (1111111109, "07081804"),
        (1111111111, "14050471"),
        (1234567890, "89005924"),
        (2000000000, "69279037"),
    ],
)
def test_the_codes_of_these_tests_are_those_of_the_standard(at, code):
    # RFC 6238, appendix B.
    assert code_of(b"12345678901234567890", at, digits=8) == code


# --- signing in ---


def test_password_and_code_let_in(shop, later, client):
    assert password(client).url == "/sign-in/code/"
    assert not is_in(client)
    assert client.get("/").url.startswith("/sign-in/")
    assert give(client, later.code()).url == "/"
    assert is_in(client)


def test_the_second_step_leads_on_to_the_page_that_was_asked_for(shop, later, client):
    client.post("/sign-in/?next=/people/", {"username": "odile", "password": PASSWORD})
    assert give(client, later.code()).url == "/people/"
    other = Client()
    other.post(
        "/sign-in/?next=https://elsewhere.example/", {"username": "odile", "password": PASSWORD}
    )
    assert other.session["half signed in"]["next"] == "/"


@pytest.mark.parametrize(
    "code",
    ["", "000000", "abc", "12345", "1234567", "aaaa-bbbb-cccc", "٠١٢٣٤٥", "-12345", "1e5000"],
)
def test_the_password_alone_or_with_something_else_does_not(shop, later, client, code):
    password(client)
    answer = give(client, code)
    assert answer.status_code == 200
    assert not is_in(client)
    assert "Traceback" not in answer.text


def test_a_code_without_the_password_leads_nowhere(shop, later, client):
    assert client.get("/sign-in/code/").url == "/sign-in/"
    assert give(client, later.code()).url == "/sign-in/"


def test_a_code_works_once_even_within_its_half_minute(shop, later, client):
    code = later.code()
    password(client)
    assert give(client, code).status_code == 302
    overlooked = Client()
    password(overlooked)
    assert "was used already" in give(overlooked, code).text
    assert not is_in(overlooked)


def test_an_older_code_does_not_work_after_a_newer_one(shop, later, client, clock):
    older = later.code()
    clock.shift(STEP)
    password(client)
    assert give(client, later.code()).status_code == 302
    thief = Client()
    password(thief)
    assert give(thief, older).status_code == 200


@pytest.mark.parametrize(
    ("steps", "works"), [(-3, False), (-1, True), (0, True), (1, True), (3, False)]
)
def test_a_phone_may_be_half_a_minute_off_and_no_more(shop, later, client, clock, steps, works):
    # RFC 6238, 5.2 recommends at most one step for the delay.
    clock.shift(10 * STEP)
    password(client)
    give(client, code_of(later.key, time.time() + steps * 30))
    assert is_in(client) is works


def test_codes_are_throttled_and_the_wait_grows(shop, later, client, clock):
    password(client)
    answers = [give(client, f"{n:06}") for n in range(6)]
    assert [answer.status_code for answer in answers] == [200] * 5 + [429]
    assert "Too many wrong codes. Try again in 5 seconds." in answers[-1].text
    assert give(client, later.code()).status_code == 429
    clock.shift(datetime.timedelta(seconds=5))
    assert give(client, later.code()).status_code == 302


def test_who_knows_the_password_cannot_guess_codes_from_many_addresses_nor_shut_a_known_device_out(
    shop, later, client, clock
):
    password(client)
    give(client, later.code())
    client.post("/sign-out/")
    thief = Client()
    password(thief, REMOTE_ADDR="203.0.113.1")
    answers = [give(thief, f"{n:06}", REMOTE_ADDR=f"198.51.100.{n}").status_code for n in range(40)]
    assert answers.count(200) == 20
    clock.shift(STEP)
    password(client)
    assert give(client, later.code()).status_code == 302


@pytest.mark.parametrize(
    "change",
    [{"is_active": False}, {"left": NOW.date() - datetime.timedelta(days=1)}, {"password": "!"}],
)
def test_between_password_and_code_an_account_that_is_closed_or_changed_is_shut(
    shop, later, client, change
):
    password(client)
    User.objects.filter(pk=shop.owner.pk).update(**change)
    assert give(client, later.code()).url == "/sign-in/"
    assert not is_in(client)


def test_the_second_step_waits_ten_minutes_and_no_longer(shop, later, client, clock):
    password(client)
    clock.shift(datetime.timedelta(minutes=10, seconds=1))
    assert give(client, later.code()).url == "/sign-in/"


def test_the_session_key_changes_at_both_steps(shop, later, client):
    # CWE-384.
    password(client)
    first = client.cookies["benchright"].value
    give(client, later.code())
    assert client.cookies["benchright"].value != first
    thief = Client()
    thief.cookies["benchright"] = first
    assert thief.get("/").status_code == 302


def test_a_password_chosen_by_a_link_does_not_get_round_the_code(shop, later, client):
    from training.actions.accounts import give_link, use_link

    use_link(code=give_link(person=shop.owner, by=None, now=NOW), password=NEW, now=NOW)
    assert password(client, word=NEW).url == "/sign-in/code/"


# --- recovery codes ---


def test_a_recovery_code_works_once_however_it_is_typed(shop, later, client):
    code = later.recovery[3]
    password(client)
    assert give(client, f" {code.upper().replace('-', ' ')} ").status_code == 302
    again = Client()
    password(again)
    assert give(again, code).status_code == 200
    assert not is_in(again)
    assert StaticToken.objects.count() == 9


def test_the_database_holds_no_recovery_code_that_works(shop, later, client):
    kept = list(StaticToken.objects.values_list("token", flat=True))
    assert not {code.replace("-", "") for code in later.recovery} & set(kept)
    password(client)
    give(client, kept[0])
    assert not is_in(client)


def test_one_persons_recovery_code_is_nobody_elses(shop, later, client):
    other = Phone(shop.senior)
    confirm_factor(person=shop.senior, code=other.code(), now=NOW)
    password(client, "sol")
    give(client, later.recovery[0])
    assert not is_in(client)
    give(client, later.code())
    assert not is_in(client)


def test_new_recovery_codes_end_the_old_ones(shop, later, clock):
    browser = signed_in(later, clock)
    page = browser.post(
        "/second-factor/", {"do": "codes", "password": PASSWORD, "code": later.code()}
    )
    codes = re.findall(r"[a-z2-7]{4}-[a-z2-7]{4}-[a-z2-7]{4}", page.text)
    assert len(codes) == 10
    assert "no-store" in page.headers["Cache-Control"]
    assert not set(codes) & set(later.recovery)
    other = Client()
    password(other)
    assert give(other, later.recovery[0]).status_code == 200
    assert give(other, codes[0]).status_code == 302


# --- setting up ---


def test_somebody_sets_it_up_on_the_page(shop, as_):
    browser = as_(shop.mechanic)
    browser.post("/second-factor/", {"do": "begin"})
    page = browser.get("/second-factor/").text
    assert "<svg" in page
    key = b32decode(re.search(r"((?:[A-Z2-7]{4} ){7}[A-Z2-7]{4})", page)[1].replace(" ", ""))
    refused = browser.post(
        "/second-factor/", {"do": "confirm", "password": PASSWORD, "code": "000000"}
    )
    assert "This code is wrong." in refused.text
    assert (
        "This is not your password."
        in browser.post(
            "/second-factor/", {"do": "confirm", "password": "guess", "code": code_of(key)}
        ).text
    )
    assert not has_factor(shop.mechanic)
    done = browser.post(
        "/second-factor/", {"do": "confirm", "password": PASSWORD, "code": code_of(key)}
    )
    assert "Recovery codes" in done.text
    assert has_factor(shop.mechanic)
    page = browser.get("/second-factor/").text
    assert "10 recovery codes are left." in page
    assert key.hex() not in page  # it is shown while it is set up, and never again


def test_what_is_only_begun_asks_nobody_for_a_code(shop, client):
    begin_factor(person=shop.owner)
    assert password(client).url == "/"


def test_it_is_taken_off_with_password_and_code(shop, later, clock):
    browser = signed_in(later, clock)
    assert (
        "This code is wrong"
        in browser.post(
            "/second-factor/", {"do": "off", "password": PASSWORD, "code": "000000"}
        ).text
    )
    assert has_factor(shop.owner)
    browser.post("/second-factor/", {"do": "off", "password": PASSWORD, "code": later.code()})
    assert not has_factor(shop.owner)
    assert not StaticToken.objects.exists()


def test_a_second_one_cannot_be_slipped_in_beside_the_first(shop, later, clock):
    browser = signed_in(later, clock)
    page = browser.post("/second-factor/", {"do": "begin"}, follow=True)
    assert "You have a second factor already." in page.text
    assert TOTPDevice.objects.count() == 1


# --- who must ---


def test_whom_the_shop_asks_is_led_to_it_at_the_next_sign_in_and_goes_nowhere_else_first(shop, as_):
    owner = as_(shop.owner)
    assert (
        owner.post("/second-factor/required/", {"seniors": "on", "password": PASSWORD}).status_code
        == 302
    )
    senior = Client()
    password(senior, "sol")
    for path in ("/", "/who-may/", "/who-may/air-spring/tilda/sign-off/", "/sessions/"):
        assert senior.get(path).url == "/second-factor/"
    assert "Your role needs a second factor in this shop." in senior.get("/second-factor/").text
    senior.post("/second-factor/", {"do": "begin"})
    key = TOTPDevice.objects.get(user=shop.senior).bin_key
    senior.post("/second-factor/", {"do": "confirm", "password": PASSWORD, "code": code_of(key)})
    assert senior.get("/who-may/").status_code == 200
    for login in ("mika", "odile"):
        browser = Client()
        password(browser, login)
        assert browser.get("/").status_code == 200


def test_whom_the_shop_asks_does_not_take_it_off(shop, later, clock):
    set_factor_rule(seniors=False, owners=True, by=shop.owner, now=NOW)
    with pytest.raises(Refused, match="You cannot turn it off"):
        take_off_factor(person=shop.owner, now=NOW)
    assert "Turn the second factor off" not in signed_in(later, clock).get("/second-factor/").text


def test_the_rule_needs_the_owners_password_and_stands_in_the_book(shop, as_):
    browser = as_(shop.owner)
    assert (
        "not your password"
        in browser.post("/second-factor/required/", {"owners": "on", "password": "guess"}).text
    )
    browser.post(
        "/second-factor/required/", {"owners": "on", "seniors": "on", "password": PASSWORD}
    )
    browser.post("/second-factor/required/", {"seniors": "on", "password": PASSWORD})
    told = [
        json.loads(body)
        for body in BookEntry.objects.filter(kind__startswith="second factor rule").values_list(
            "body", flat=True
        )
    ]
    assert [(body["seniors"], body["owners"], body["by"]) for body in told] == [
        (True, True, "odile"),
        (True, False, "odile"),
    ]
    assert list(faults()) == []
    with pytest.raises(Refused, match="Only the owner can decide"):
        set_factor_rule(seniors=False, owners=False, by=shop.senior, now=NOW)


# --- asked again ---


def test_an_appointment_asks_for_a_fresh_code(shop, later, clock):
    browser = signed_in(later, clock)
    used = later.code()
    for code in ("", "000000"):
        assert appoint(browser, code).status_code == 200
    assert not Appointment.objects.filter(person=shop.other_senior).exists()
    assert appoint(browser, used, "the form").status_code == 302
    # a second press of the same form is asked for nothing more
    assert appoint(browser, used, "the form").status_code == 302
    assert "was used already" in appoint(browser, used).text
    assert Appointment.objects.filter(person=shop.other_senior).count() == 1


def test_taking_the_book_out_asks_for_a_fresh_code(shop, later, clock):
    browser = signed_in(later, clock)
    page = browser.get("/book/export/")
    assert "Type a new code from your app first." in page.text
    assert "digest" not in page.text
    assert "This code is wrong" in browser.post("/book/export/", {"code": "000000"}).text
    answer = browser.post("/book/export/", {"code": later.code()})
    assert answer["Content-Disposition"].startswith("attachment")
    assert b'"head"' in b"".join(answer.streaming_content)


def test_whoever_has_no_second_factor_is_asked_for_none(shop, as_):
    browser = as_(shop.owner)
    assert browser.get("/book/export/")["Content-Disposition"].startswith("attachment")
    assert appoint(browser, "").status_code == 302


# --- lost ---


def test_another_owner_resets_it_with_password_and_own_code(shop, later, clock):
    senior_phone = Phone(shop.senior)
    confirm_factor(person=shop.senior, code=senior_phone.code(), now=NOW)
    lost = Client()
    password(lost, "sol")
    clock.shift(STEP)
    give(lost, senior_phone.code())
    owner = signed_in(later, clock)
    assert (
        "This code is wrong"
        in owner.post("/people/sol/second-factor/", {"password": PASSWORD, "code": "000000"}).text
    )
    assert has_factor(shop.senior)
    clock.shift(STEP)
    assert (
        owner.post(
            "/people/sol/second-factor/", {"password": PASSWORD, "code": later.code()}
        ).status_code
        == 302
    )
    assert not has_factor(shop.senior)
    assert lost.get("/").status_code == 302  # the old sessions are over
    told = json.loads(BookEntry.objects.filter(kind__startswith="account").last().body)
    assert (told["person"], told["what"], told["by"]) == ("sol", "second factor reset", "odile")
    assert list(faults()) == []


def test_nobody_resets_the_own_one_nor_a_senior_anybodys(shop, later):
    with pytest.raises(Refused, match="Ask another owner"):
        reset_factor(person=shop.owner, by=shop.owner, now=NOW)
    with pytest.raises(Refused, match="Only the owner can reset"):
        reset_factor(person=shop.owner, by=shop.senior, now=NOW)
    with pytest.raises(Refused, match="has no second factor"):
        reset_factor(person=shop.mechanic, by=shop.owner, now=NOW)


def test_the_last_owner_gets_in_again_by_the_terminal(shop, later, client):
    call_command("reset_second_factor", "odile")
    assert password(client).url == "/"
    told = json.loads(BookEntry.objects.filter(kind__startswith="account").last().body)
    assert (told["person"], told["what"], told["by"]) == ("odile", "second factor reset", None)
    for login, said in (("nobody", "Nobody has the login"), ("mika", "has no second factor")):
        with pytest.raises(CommandError, match=said):
            call_command("reset_second_factor", login)


def test_no_key_and_no_code_stands_in_the_record_book(shop, later):
    bodies = "".join(BookEntry.objects.values_list("body", flat=True))
    assert TOTPDevice.objects.get().key not in bodies
    assert not [
        code for code in later.recovery if code in bodies or code.replace("-", "") in bodies
    ]


def test_a_code_that_comes_while_another_owner_resets_it_lets_nobody_in(
    shop, later, client, monkeypatch
):
    other = add_person(
        login="olga", name="Olga Owner", trade="owner", workshop=shop.workshop, started=None
    )
    password(client)

    def reset_meanwhile(person, device, token):
        reset_factor(person=person, by=other)
        return verify_token(person, device, token)

    monkeypatch.setattr(second_factor, "verify_token", reset_meanwhile)
    assert give(client, later.recovery[0]).status_code == 200
    assert not is_in(client)
    assert not has_factor(shop.owner)
