"""Is guessing slow, and can nobody shut somebody else out by it?"""

import datetime
import re
from contextlib import suppress

import pytest
from django.test import Client, RequestFactory
from django.utils import timezone

from tests.training.factories import PASSWORD
from tests.training.shop import NOW, TODAY
from training.access.throttle import LONGEST, Bucket, people_named, sign_in_paths, wait_in_words
from training.access.where import address_counted, address_of
from training.actions.accounts import give_link, use_link
from training.actions.tries import Wait, forget_tries, take_try
from training.models import KnownDevice, StandDown, Tries

STRANGER = {"REMOTE_ADDR": "203.0.113.66"}  # addresses for examples: RFC 5737, RFC 3849


def sign_in(browser, login="sol", password=PASSWORD, **more):
    return browser.post("/sign-in/", {"username": login, "password": password}, **more)


def is_in(browser):
    return "_auth_user_id" in browser.session


def guess(times, login="sol", **more):
    """A stranger's wrong tries; what the last one was answered."""
    stranger = Client()
    return [sign_in(stranger, login, f"guess {n}", **(STRANGER | more)) for n in range(times)][-1]


def tries(times, login="sol", address=STRANGER["REMOTE_ADDR"]):
    """A stranger's wrong tries, counted as the sign-in page counts them, without the page: that it
    counts each is held by the tests of a few tries.
    """
    asked = RequestFactory().post("/sign-in/", REMOTE_ADDR=address)
    for _ in range(times):
        with suppress(Wait):
            paths = sign_in_paths(asked, login, people_named(login))
            take_try(paths=paths, now=timezone.now())


def stand_down(browser, password=PASSWORD):
    return browser.post(
        "/stand-down/mika/",
        {
            "level": "",
            "first": "2026-11-25",
            "reason": "A ring came out.",
            "password": password,
            "mark": "m",
        },
    )


# --- the wait ---


def test_the_wait_begins_with_seconds_grows_and_ends_at_a_quarter_of_an_hour(db):
    bucket, now, waits = Bucket("one"), NOW, []
    for _ in range(16):
        take_try(paths=[[bucket]], now=now)
        try:
            take_try(paths=[[bucket]], now=now)
        except Wait as wait:
            waits.append(wait.seconds)
            now += datetime.timedelta(seconds=wait.seconds)
    assert waits[:4] == [5, 10, 20, 40]
    assert waits == sorted(waits)
    assert waits[-1] == LONGEST == 900


def test_a_try_during_the_wait_makes_it_no_longer(db):
    bucket = Bucket("one", free=1)
    take_try(paths=[[bucket]], now=NOW)
    for second in range(5):
        with pytest.raises(Wait) as refused:
            take_try(paths=[[bucket]], now=NOW + datetime.timedelta(seconds=second))
        assert refused.value.seconds == 5 - second
    assert take_try(paths=[[bucket]], now=NOW + datetime.timedelta(seconds=5))


def test_what_was_tried_is_forgotten_after_some_hours(db):
    bucket = Bucket("one")
    for _ in range(5):
        take_try(paths=[[bucket]], now=NOW)
    later = NOW + datetime.timedelta(hours=3)
    for _ in range(3):
        take_try(paths=[[bucket]], now=later)
    with pytest.raises(Wait):
        take_try(paths=[[bucket]], now=later)


def test_a_clock_that_was_set_back_locks_nobody_for_longer(db):
    bucket = Bucket("one", free=1)
    take_try(paths=[[bucket]], now=NOW)
    assert take_try(paths=[[bucket]], now=NOW - datetime.timedelta(days=300))


def test_a_wait_is_told_as_people_say_it():
    assert [wait_in_words(seconds) for seconds in (1, 40, 60, 61, 900)] == [
        "1 second",
        "40 seconds",
        "1 minute",
        "2 minutes",
        "15 minutes",
    ]


def test_who_gets_in_clears_the_own_count_but_of_the_address_only_the_own_try(db):
    own, address = Bucket("own"), Bucket("address", is_shared=True)
    for _ in range(3):
        path = take_try(paths=[[own, address]], now=NOW)
    forget_tries(path=path, now=NOW)
    assert dict(Tries.objects.values_list("key", "count")) == {own.key: 0, address.key: 2}


def test_no_password_typed_into_the_wrong_field_is_kept(shop, client):
    sign_in(client, "my secret word", "sol")
    assert not Tries.objects.filter(key__contains="secret").exists()
    assert {len(key) for key in Tries.objects.values_list("key", flat=True)} == {64}


# --- strangers ---


def test_after_five_wrong_passwords_the_next_look_waits_and_says_for_how_long(shop, clock):
    answer = guess(6)
    assert answer.status_code == 429
    assert answer.headers["Retry-After"] == "5"
    assert "Try again in 5 seconds." in answer.text
    clock.shift(datetime.timedelta(seconds=5))
    assert guess(1).status_code == 200


def test_a_changed_password_lifts_the_waiting_time(shop, client):
    for _ in range(8):
        page = sign_in(client, password="forgotten")
    assert "Too many wrong passwords" in page.text
    code = give_link(person=shop.senior, by=shop.owner, now=NOW)
    use_link(code=code, password="a fork without air", now=NOW)
    assert sign_in(client, password="a fork without air").status_code == 302
    assert is_in(client)


def test_the_sign_in_page_says_whom_to_ask_for_a_forgotten_password(shop, client):
    page = client.get("/sign-in/").text
    assert "Forgot your password?" in page
    assert "Ask an owner of the shop for a link." in page
    assert shop.owner.name not in page  # strangers see this page


def test_a_stranger_does_not_shut_somebody_out_of_a_known_device(shop, client, clock):
    assert sign_in(client).status_code == 302
    client.post("/sign-out/")
    for _ in range(40):
        tries(6)
        clock.shift(datetime.timedelta(minutes=16))
    assert guess(6).status_code == 429
    # even from the same address, as in the shop's own network
    assert sign_in(client, **STRANGER).status_code == 302
    assert is_in(client)


def test_a_stranger_from_a_thousand_addresses_does_not_shut_a_known_device_out(shop, client):
    sign_in(client)
    client.post("/sign-out/")
    for n in range(90):
        tries(1, address=f"198.51.100.{n}")
    answers = {guess(1, REMOTE_ADDR=f"198.51.100.{n}").status_code for n in range(90, 120)}
    assert answers == {200, 429}  # NIST SP 800-63B-4, 3.2.2: no more than 100 at one account
    assert sign_in(client).status_code == 302


def test_nobody_waits_with_signing_for_a_stranger_at_the_sign_in_page(shop, client):
    sign_in(client)
    for n in range(120):
        tries(1, address=f"198.51.100.{n}")
    tries(34)
    assert guess(6).status_code == 429
    assert stand_down(client).status_code == 302
    assert StandDown.objects.filter(person=shop.mechanic, happened_on=TODAY).exists()


def test_a_word_sprayed_over_all_logins_from_one_address_soon_waits(shop):
    answers = [
        sign_in(Client(), f"person{n}", "Summer2026!", **STRANGER).status_code for n in range(40)
    ]
    assert answers == [200] * 30 + [429] * 10


def test_a_thief_of_a_device_cookie_gets_few_tries_and_shuts_nobody_out(shop, client):
    sign_in(client)
    client.post("/sign-out/")
    thief = Client()
    thief.cookies["benchright-device"] = client.cookies["benchright-device"].value
    answers = [sign_in(thief, password=f"guess {n}", **STRANGER).status_code for n in range(30)]
    assert answers.count(200) == 10  # five as the device, five as a stranger
    assert sign_in(client).status_code == 302
    thief_again = sign_in(thief, password="guess", **STRANGER)
    assert thief_again.status_code == 429  # the secret has changed, so the thief is a stranger


def test_a_device_of_one_person_is_a_stranger_for_another(shop, client):
    sign_in(client, "mika")
    client.post("/sign-out/")
    for _ in range(5):
        sign_in(client, "sol", "guess")
    assert sign_in(client, "sol").status_code == 429
    assert KnownDevice.objects.get().person == shop.mechanic


def test_a_device_is_known_however_the_login_is_written(shop, client):
    sign_in(client)
    client.post("/sign-out/")
    guess(6)
    assert sign_in(client, "SOL", **STRANGER).status_code == 302
    assert KnownDevice.objects.count() == 1


def test_several_people_at_one_tablet_are_known_each_for_themselves(shop, client):
    for login in ("mika", "sol"):
        sign_in(client, login)
        client.post("/sign-out/")
    guess(6, "mika"), guess(6, "sol")
    for login in ("mika", "sol"):
        assert sign_in(client, login, **STRANGER).status_code == 302
        client.post("/sign-out/")
    assert KnownDevice.objects.count() == 2


@pytest.mark.parametrize("value", ["", "x", "W10:1t:forged", "W1sxLCJ4Il1d:1vO:abc"])
def test_a_forged_device_cookie_is_no_device(shop, value):
    browser = Client()
    browser.cookies["benchright-device"] = value
    assert sign_in(browser).status_code == 302


def test_the_device_cookie_is_kept_from_scripts_and_holds_no_secret_of_the_database(shop, client):
    cookie = sign_in(client).cookies["benchright-device"]
    assert cookie["httponly"]
    assert cookie["samesite"] == "Lax"
    assert cookie["path"] == "/"
    assert not cookie["domain"]
    assert KnownDevice.objects.get().secret_hash not in cookie.value


def test_a_login_that_nobody_has_is_answered_like_one_with_a_wrong_password(shop):
    def told(answer, login):
        return answer.status_code, re.sub(
            r'name="csrfmiddlewaretoken" value="\w+"', "", answer.text.replace(login, "*")
        )

    for times in (1, 6):
        assert told(guess(times, "sol"), "sol") == told(
            guess(times, "nobody-at-all"), "nobody-at-all"
        )


def test_while_it_waits_no_password_is_hashed(shop, monkeypatch):
    guess(5)
    monkeypatch.setattr(
        "training.access.sign_in.ShopBackend.authenticate",
        lambda *args, **more: pytest.fail("a password was looked at"),
    )
    assert guess(1).status_code == 429


# --- within a session ---


def test_wrong_passwords_within_a_session_wait_too_and_nothing_is_signed(shop, client, clock):
    sign_in(client)
    pages = [stand_down(client, "guess").text for _ in range(6)]
    assert "This is not your password." in pages[4]
    assert "Too many wrong passwords. Nothing was signed. Try again in 5 seconds." in pages[5]
    assert "Try again in 5 seconds." in stand_down(client).text
    clock.shift(datetime.timedelta(seconds=5))
    assert stand_down(client).status_code == 302


def test_the_page_for_a_new_password_is_throttled_like_signing(shop, client):
    sign_in(client)
    new = {
        "new_password1": "a shaft without a scratch",
        "new_password2": "a shaft without a scratch",
    }
    answers = [
        client.post("/password/", {"old_password": "guess", **new}).status_code for _ in range(6)
    ]
    assert answers == [200] * 5 + [429]
    assert client.post("/password/", {"old_password": PASSWORD, **new}).status_code == 429
    # one count for both, or there would be two chances
    assert "Try again in 5 seconds." in stand_down(client).text


def test_a_session_without_its_device_cookie_gets_no_fresh_tries(shop, client):
    sign_in(client)
    for _ in range(5):
        stand_down(client, "guess")
        del client.cookies["benchright-device"]
        client.cookies["benchright-device"] = "gone"
    assert "Try again in" in stand_down(client, "guess").text


# --- where a request comes from ---


@pytest.mark.parametrize(
    ("proxies", "forwarded", "found"),
    [
        (0, "198.51.100.1", "192.0.2.7"),
        (1, "", "192.0.2.7"),
        (1, "198.51.100.1", "198.51.100.1"),
        (1, "10.9.9.9, 198.51.100.1", "198.51.100.1"),
        (2, "10.9.9.9, 198.51.100.1, 192.0.2.8", "198.51.100.1"),
        (2, "198.51.100.1", "198.51.100.1"),
        (1, "198.51.100.1:4711", "198.51.100.1"),
        (1, "[2001:db8::1]:4711", "2001:db8::1"),
        (1, "2001:db8::1", "2001:db8::1"),
        (1, "::ffff:198.51.100.1", "198.51.100.1"),
        (1, "<script>", "None"),
        (1, "10.9.9.9,,  ,198.51.100.1,", "198.51.100.1"),
    ],
)
def test_the_address_is_read_from_the_right_and_never_beyond_the_proxies(
    settings, proxies, forwarded, found
):
    settings.PROXIES = proxies
    more = {"HTTP_X_FORWARDED_FOR": forwarded} if forwarded else {}
    assert str(address_of(RequestFactory().get("/", REMOTE_ADDR="192.0.2.7", **more))) == found


def test_a_made_up_forwarded_address_gives_no_fresh_tries(shop, settings):
    for settings.PROXIES in (0, 1):
        stranger = Client()
        answers = [
            sign_in(
                stranger,
                password="guess",
                HTTP_X_FORWARDED_FOR=f"10.0.{settings.PROXIES}.{n}, "
                f"203.0.113.{7 + settings.PROXIES}",
                REMOTE_ADDR=f"192.0.2.{settings.PROXIES}",
            ).status_code
            for n in range(7)
        ]
        assert answers == [200] * 5 + [429] * 2


def test_behind_a_proxy_one_stranger_does_not_shut_out_the_others(shop, settings):
    settings.PROXIES = 1
    guess(6, REMOTE_ADDR="127.0.0.1", HTTP_X_FORWARDED_FOR="203.0.113.66")
    assert (
        sign_in(Client(), REMOTE_ADDR="127.0.0.1", HTTP_X_FORWARDED_FOR="198.51.100.4").status_code
        == 302
    )


def test_a_customer_with_many_ipv6_addresses_is_one_address():
    # RFC 6177: a site gets a /64 at least, so 2**64 addresses belong to one and the same stranger.
    of = {
        address_counted(RequestFactory().get("/", REMOTE_ADDR=f"2001:db8:1:2::{n:x}"))
        for n in range(1, 50)
    }
    assert of == {"2001:db8:1:2::/64"}
