"""Is a signature never made with a password that somebody else has a hand in?"""

import datetime
import json
import re
from types import SimpleNamespace

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, transaction
from django.test import Client

from procedures.records.refused import Refused
from tests.training.factories import PASSWORD
from tests.training.shop import NOW, TODAY, found, make_ready, stood_down
from training.actions.accounts import check_own_hand, choose_password, give_link, use_link
from training.models import AccountChange, BookEntry, OneTimeLink, SignOff, StandDown, User
from training.records.keeping import faults

OWN = "a shaft without a scratch"
OTHER = "a wiper without a nick"
HOUR = datetime.timedelta(hours=1)
MINUTE = datetime.timedelta(minutes=1)


def link_for(shop, person):
    return give_link(person=person, by=shop.owner, now=NOW)


def choose(browser, code, password=OWN, again=None):
    return browser.post(
        "/first-password/",
        {"code": code, "new_password1": password, "new_password2": again or password},
    )


def sign_in(browser, login, password=OWN):
    return browser.post("/sign-in/", {"username": login, "password": password})


def change(browser, old, new):
    return browser.post(
        "/password/", {"old_password": old, "new_password1": new, "new_password2": new}
    )


def post(browser, path, **typed):
    """What is typed, with the hidden fields of the form as the page gave them out."""
    hidden = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', browser.get(path).text))
    return browser.post(path, hidden | typed)


def sign(browser, password, path="/who-may/air-spring/tilda/sign-off/"):
    return post(browser, path, password=password, note="")


def told_in_book():
    return [
        json.loads(body)
        for body in BookEntry.objects.filter(kind__startswith="account")
        .order_by("number")
        .values_list("body", flat=True)
    ]


@pytest.fixture
def at_terminal(monkeypatch):
    """What is typed at the terminal where a password is asked."""

    def typed(*words):
        answers = iter(words)
        monkeypatch.setattr("training.management.passwords.getpass", lambda prompt: next(answers))
        monkeypatch.setattr("sys.stdin", SimpleNamespace(isatty=lambda: True))

    return typed


# --- the link ---


def test_the_owner_gives_a_link_on_the_page_and_the_person_chooses_a_password_by_it(shop, as_):
    shop.mechanic.set_unusable_password()
    shop.mechanic.save()
    owner = as_(shop.owner)
    assert "Make the link" in owner.get("/people/mika/link/").text
    slip = owner.post("/people/mika/link/", {"password": PASSWORD})
    assert "no-store" in slip.headers["Cache-Control"]
    assert "25 Nov" not in re.findall(r"until [^.]*", slip.text)[0]  # a day later: 26 Nov 2026
    code = re.search(r"http://testserver/first-password/([a-z2-7-]{19})/", slip.text)[1]
    person = Client()
    assert code in person.get(f"/first-password/{code}/").text
    assert choose(person, code).url == "/sign-in/"
    assert sign_in(person, "mika").url == "/"


def test_a_link_needs_the_password_of_the_owner(shop, as_):
    page = as_(shop.owner).post("/people/mika/link/", {"password": "guess"})
    assert "This is not your password." in page.text
    assert not OneTimeLink.objects.exists()


def test_a_link_works_once(shop):
    code = link_for(shop, shop.mechanic)
    assert choose(Client(), code).status_code == 302
    assert "This link does not work any more." in choose(Client(), code, OTHER).text
    assert User.objects.get(login="mika").check_password(OWN)


def test_a_link_works_for_a_day(shop, clock):
    code = link_for(shop, shop.mechanic)
    clock.shift(datetime.timedelta(hours=24))
    assert "This link does not work any more." in choose(Client(), code).text


def test_opening_a_link_uses_nothing_up(shop):
    # Programs that show a preview of a message open every link in it.
    code = link_for(shop, shop.mechanic)
    for _ in range(3):
        assert Client().get(f"/first-password/{code}/").status_code == 200
    assert choose(Client(), code).status_code == 302


def test_a_new_link_ends_the_one_before_and_a_changed_password_ends_every_link(shop):
    first, second = link_for(shop, shop.mechanic), link_for(shop, shop.mechanic)
    assert "This link does not work any more." in choose(Client(), first).text
    choose_password(person=shop.mechanic, password=OTHER, now=NOW)
    assert "This link does not work any more." in choose(Client(), second).text


def test_an_easy_password_is_refused_and_the_link_stays(shop):
    code = link_for(shop, shop.mechanic)
    assert "too common" in choose(Client(), code, "password1234").text
    assert "similar" in choose(Client(), code, "mikamechanic").text
    assert choose(Client(), code).status_code == 302


@pytest.mark.parametrize(
    "change", [{"is_active": False}, {"left": TODAY - datetime.timedelta(days=1)}]
)
def test_a_link_of_somebody_who_may_not_sign_in_does_not_work(shop, change):
    code = link_for(shop, shop.mechanic)
    User.objects.filter(pk=shop.mechanic.pk).update(**change)
    assert "This link does not work any more." in choose(Client(), code).text
    with pytest.raises(Refused, match="may not sign in"):
        link_for(shop, User.objects.get(pk=shop.mechanic.pk))


def test_a_wrong_a_used_and_an_ended_link_are_told_in_the_same_words(shop, clock):
    used, ended = link_for(shop, shop.mechanic), link_for(shop, shop.senior)
    choose(Client(), used)
    clock.shift(datetime.timedelta(days=2))
    told = {
        re.search(r"This link[^<]*", choose(Client(), code).text)[0]
        for code in (used, ended, "aaaa-bbbb-cccc-dddd", "ä" * 16, "")
        if code
    }
    assert len(told) == 1


def test_only_an_owner_gives_links_and_not_to_oneself(shop):
    with pytest.raises(Refused, match=r"Only the owner can give a link\."):
        give_link(person=shop.mechanic, by=shop.senior, now=NOW)
    with pytest.raises(Refused, match="To change your own password"):
        give_link(person=shop.owner, by=shop.owner, now=NOW)


def test_the_database_holds_no_code_that_works(shop):
    code = link_for(shop, shop.mechanic)
    kept = OneTimeLink.objects.get().code_hash
    assert code.replace("-", "") not in kept
    assert "This link does not work any more." in choose(Client(), kept[:40]).text
    # however it was typed
    assert choose(Client(), f" {code.upper().replace('-', ' ')}").status_code == 302


def test_the_link_ends_the_sessions_and_forgets_the_devices_of_the_old_password(shop, client):
    sign_in(client, "mika", PASSWORD)
    choose(Client(), link_for(shop, shop.mechanic))
    assert client.get("/").url.startswith("/sign-in/")
    assert not shop.mechanic.devices.exists()


def test_a_link_that_is_not_used_changes_nothing(shop, client):
    make_ready(shop, shop.trainee)
    link_for(shop, shop.senior)
    sign_in(client, "sol", PASSWORD)
    assert sign(client, PASSWORD).status_code == 302


def test_a_link_used_on_the_owners_tablet_leaves_nobody_signed_in(shop, as_):
    browser = as_(shop.owner)
    choose(browser, link_for(shop, shop.mechanic))
    assert browser.get("/").url.startswith("/sign-in/")


def test_the_book_says_who_gave_a_link_and_when_it_was_used(shop, clock):
    code = link_for(shop, shop.mechanic)
    clock.shift(MINUTE)
    choose(Client(), code)
    given, used = told_in_book()
    assert given == {
        "person": "mika",
        "what": "link given",
        "by": "odile",
        "recorded_at": "2026-11-25T09:30:00.000000Z",
    }
    assert used == {
        "person": "mika",
        "what": "password chosen by link",
        "by": "odile",
        "recorded_at": "2026-11-25T09:31:00.000000Z",
    }
    assert list(faults()) == []


# --- the hour ---


def test_signing_within_an_hour_of_a_link_is_refused_and_says_from_when_it_works(
    shop, client, clock
):
    make_ready(shop, shop.trainee)
    choose(Client(), link_for(shop, shop.senior))
    sign_in(client, "sol")
    page = sign(client, OWN)
    assert "You can sign from 11:30 on." in page.text  # 9:30 UTC is 10:30 in Vienna
    clock.shift(HOUR - datetime.timedelta(seconds=1))
    assert "You can sign from 11:30 on." in sign(client, OWN).text
    assert not SignOff.objects.filter(person=shop.trainee).exists()
    clock.shift(datetime.timedelta(seconds=1))
    assert sign(client, OWN).status_code == 302


def test_the_hour_is_neither_shortened_nor_begun_afresh_by_choosing_another_password(
    shop, client, clock
):
    make_ready(shop, shop.trainee)
    choose(Client(), link_for(shop, shop.senior))
    sign_in(client, "sol")
    clock.shift(30 * MINUTE)
    assert change(client, OWN, OTHER).status_code == 302
    assert "You can sign from 11:30 on." in sign(client, OTHER).text
    clock.shift(30 * MINUTE)
    assert sign(client, OTHER).status_code == 302


def test_standing_somebody_down_never_waits(shop, client):
    choose(Client(), link_for(shop, shop.senior))
    sign_in(client, "sol")
    told = {"level": "", "first": "2026-11-25", "reason": "A ring came out.", "password": OWN}
    assert post(client, "/stand-down/mika/", **told).status_code == 302
    assert StandDown.objects.filter(person=shop.mechanic).exists()


def test_everything_else_that_is_signed_waits(shop, client):
    make_ready(shop, shop.trainee)
    down = stood_down(person=shop.mechanic, by=shop.owner)
    found(shop.mechanic, shop.level, shop.owner)
    choose(Client(), link_for(shop, shop.senior))
    sign_in(client, "sol")
    lift = post(client, f"/lift/{down.pk}/", on="2026-11-25", reason="Settled.", password=OWN)
    void = post(
        client, "/voids/of/mika/signoff/air-spring/2026-01-05/", reason="Wrong.", password=OWN
    )
    for page in (lift, void):
        assert "You can sign from 11:30 on." in page.text


def test_appointing_waits_too(shop, client):
    owner = User.objects.get(pk=shop.owner.pk)
    use_link(code=give_link(person=owner, by=None, now=NOW), password=OWN, now=NOW)
    sign_in(client, "odile")
    page = client.post(
        "/people/wim/appoint/",
        {"level": "air-spring", "first": "2026-11-25", "until": "", "mark": "m"},
    )
    assert "You can sign from 11:30 on." in page.text
    assert not shop.other_senior.appointments.exists()


def test_no_row_can_be_set_to_open_signing_before_the_hour(shop, clock):
    """Seen: two columns beside the password held the hour; setting them to nothing opened signing,
    and no check saw it.
    """
    use_link(code=link_for(shop, shop.senior), password=OWN, now=NOW)
    used = AccountChange.objects.filter(what=AccountChange.LINK_USED)
    for change in (
        used.delete,
        lambda: used.update(recorded_at=NOW - HOUR),
        lambda: used.update(person=shop.mechanic),
    ):
        with pytest.raises(DatabaseError), transaction.atomic():
            change()
    with pytest.raises(Refused, match="with the help of somebody else"):
        check_own_hand(shop.senior, NOW + 59 * MINUTE)
    assert list(faults()) == []


@pytest.mark.parametrize("change", ["delete", "earlier", "another person", "another kind"])
def test_whoever_takes_the_seals_off_to_open_signing_is_found_by_the_book(shop, unsealed, change):
    use_link(code=link_for(shop, shop.senior), password=OWN, now=NOW)
    used = AccountChange.objects.filter(what=AccountChange.LINK_USED)
    {
        "delete": used.delete,
        "earlier": lambda: used.update(recorded_at=NOW - HOUR),
        "another person": lambda: used.update(person=shop.mechanic),
        "another kind": lambda: used.update(what=AccountChange.LINK_GIVEN),
    }[change]()
    assert list(faults()) != []


# --- the terminal
# --------------------------------------------------------------------------------


def test_a_password_set_at_the_terminal_must_be_changed_first_and_signs_an_hour_later(
    shop, client, clock, at_terminal
):
    make_ready(shop, shop.trainee)
    at_terminal(OTHER, OTHER)
    call_command("changepassword", "sol")
    clock.shift(3 * HOUR)
    sign_in(client, "sol", OTHER)
    for path in ("/", "/who-may/air-spring/tilda/sign-off/", "/people/", "/stand-down/mika/"):
        assert client.get(path).url == "/password/"
    assert change(client, OTHER, OWN).status_code == 302
    assert "You can sign from 14:30 on." in sign(client, OWN).text
    clock.shift(HOUR)
    assert sign(client, OWN).status_code == 302
    assert [(told["what"], told["by"]) for told in told_in_book()] == [
        ("password set at the terminal", None),
        ("own password chosen", "sol"),
    ]
    assert list(faults()) == []


def test_the_same_password_again_is_no_password_of_ones_own(shop, client, at_terminal):
    at_terminal(OTHER, OTHER)
    call_command("changepassword", "sol")
    sign_in(client, "sol", OTHER)
    page = change(client, OTHER, OTHER)
    assert "This is your old password. Choose a new one." in page.text
    assert client.get("/").url == "/password/"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((OTHER, OWN), "not the same"),
        (("",), "No password was typed"),
        (("short", "short"), "too short"),
    ],
)
def test_what_cannot_be_set_at_the_terminal_is_told(shop, at_terminal, words, said):
    at_terminal(*words)
    with pytest.raises(CommandError, match=said):
        call_command("changepassword", "sol")
    assert User.objects.get(login="sol").check_password(PASSWORD)


@pytest.fixture
def no_shop(db):
    """A site before its first shop, and the command that opens one."""
    return lambda: call_command(
        "open_shop", workshop="Our workshop", time_zone="UTC", login="lead", name="The Lead"
    )


def test_the_shop_is_opened_with_a_password_that_was_typed_twice(no_shop, at_terminal):
    at_terminal(OWN, OTHER)
    with pytest.raises(CommandError, match="The two are not the same"):
        no_shop()
    assert not User.objects.exists()
    at_terminal(OWN, OWN)
    no_shop()
    assert User.objects.get(login="lead", owner=True).check_password(OWN)


@pytest.mark.parametrize("broken_off", [EOFError, KeyboardInterrupt])
def test_a_question_at_the_terminal_that_is_broken_off_ends_in_a_sentence(
    no_shop, at_terminal, monkeypatch, broken_off
):
    def stop(prompt):
        raise broken_off

    at_terminal()
    monkeypatch.setattr("training.management.passwords.getpass", stop)
    with pytest.raises(CommandError, match="Stopped"):
        no_shop()
    assert not User.objects.exists()


def test_without_a_terminal_nothing_is_asked_and_it_is_said(no_shop, monkeypatch):
    monkeypatch.setattr("sys.stdin", SimpleNamespace(isatty=lambda: False))
    with pytest.raises(CommandError, match="The password can be typed only in a terminal"):
        no_shop()
    assert not User.objects.exists()


def test_the_terminal_says_when_nobody_has_that_login(shop):
    with pytest.raises(CommandError, match="Nobody has the login 'nobody'"):
        call_command("changepassword", "nobody")
