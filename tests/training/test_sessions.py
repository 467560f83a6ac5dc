"""Does a session end when it should, and can its person see it and end it?"""

import datetime
import json

import pytest
from django.db import DatabaseError, connection
from django.test import Client, RequestFactory
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from procedures.records.refused import Refused
from tests.training.factories import PASSWORD
from tests.training.places import Place
from tests.training.shop import TODAY
from training.access.sessions import mark_of
from training.access.where import device_of, network_of
from training.actions.people import change_person
from training.actions.sessions import end_sessions
from training.models import KnownDevice, Session, User
from training.reports.sessions import sessions_of

HOUR = datetime.timedelta(hours=1)
NEW = "a shaft without a scratch"
PHONE = "Mozilla/5.0 (Mobile; rv:143.0) Gecko/143.0"  # the shape that browsers give it, from memory
DESK = "Mozilla/5.0 (X11; rv:143.0) Gecko/143.0"


def signed_in(login="mika", agent=PHONE, **more):
    browser = Client(HTTP_USER_AGENT=agent, **more)
    browser.post("/sign-in/", {"username": login, "password": PASSWORD})
    return browser


def is_in(browser):
    return browser.get("/password/").status_code == 200  # a page with little on it


def test_a_session_that_is_used_every_day_goes_on_and_ends_after_thirty_days(shop, clock):
    # NIST SP 800-63B-4, 2.1.3 (from memory): a sign-in by a password alone is asked again after
    # thirty days at the latest.
    browser = signed_in()
    for _ in range(3 * 30 - 1):
        clock.shift(8 * HOUR)
        assert is_in(browser)
    clock.shift(8 * HOUR)
    assert not is_in(browser)


def test_a_session_ends_after_twelve_hours_without_use(shop, clock):
    browser = signed_in()
    clock.shift(12 * HOUR - datetime.timedelta(seconds=1))
    assert is_in(browser)
    clock.shift(12 * HOUR)
    cookie = browser.cookies["benchright"].value
    assert not is_in(browser)
    browser.cookies["benchright"] = cookie
    assert not is_in(browser)
    assert sessions_of(shop.mechanic, timezone.now()) == ()
    assert is_in(signed_in())
    assert len(sessions_of(shop.mechanic, timezone.now())) == 1


def test_a_quarter_of_an_hour_at_most_is_lost_of_the_twelve(shop, clock):
    """When it was last used is written once in a quarter of an hour."""
    browser = signed_in()
    clock.shift(datetime.timedelta(minutes=14))
    assert is_in(browser)
    clock.shift(12 * HOUR - datetime.timedelta(minutes=15))
    assert is_in(browser)


def test_a_session_of_thirty_idle_days_is_over_even_with_its_cookie_kept(shop, clock):
    browser = signed_in()
    key = browser.cookies["benchright"].value
    clock.shift(datetime.timedelta(days=30))
    browser.cookies["benchright"] = key
    assert not is_in(browser)


@pytest.mark.parametrize(
    "change", [{"is_active": False}, {"left": TODAY - datetime.timedelta(days=1)}]
)
def test_a_session_ends_when_the_account_is_closed_or_the_person_has_left(shop, change):
    browser = signed_in()
    told = {
        "name": "Mika",
        "trade": "mechanic",
        "owner": False,
        "workshop": shop.workshop,
        "started": None,
        "left": None,
        "is_active": True,
    } | change
    change_person(person=shop.mechanic, by=shop.owner, **told)
    assert not is_in(browser)
    assert not Session.objects.filter(person=shop.mechanic).exists()
    change_person(person=shop.mechanic, by=shop.owner, **(told | {"left": None, "is_active": True}))
    assert not is_in(browser)  # opened again, the old session stays ended


def test_a_new_password_ends_every_other_session_and_forgets_their_devices(shop):
    here, there = signed_in(), signed_in(agent=DESK)
    here.post("/password/", {"old_password": PASSWORD, "new_password1": NEW, "new_password2": NEW})
    assert (is_in(here), is_in(there)) == (True, False)
    assert Session.objects.filter(person=shop.mechanic).count() == 1
    assert KnownDevice.objects.filter(person=shop.mechanic).count() == 1


def test_a_person_sees_the_own_sessions_and_ends_one(shop):
    here, there = signed_in(), signed_in(agent=DESK, REMOTE_ADDR="203.0.113.66")
    page = here.get("/sessions/").text
    assert "Phone or tablet" in page
    assert "Computer" in page
    assert "203.0.113.0 …" in page
    assert "203.0.113.66" not in page
    other = Session.objects.get(kind="computer")
    assert other.pk not in page  # the key is what lets in
    assert here.post("/sessions/", {"end": mark_of(other.pk)}).url == "/sessions/"
    assert "1 session is ended." in here.get("/sessions/").text
    assert (is_in(here), is_in(there)) == (True, False)


def test_a_person_ends_all_others_at_once(shop):
    here, others = signed_in(), [signed_in() for _ in range(3)]
    here.post("/sessions/", {"end": "all"})
    assert is_in(here)
    assert not any(is_in(other) for other in others)


def test_the_device_of_an_ended_session_is_known_no_more(shop):
    here, lost = signed_in(), signed_in(agent=DESK)
    here.post("/sessions/", {"end": "all"})
    for n in range(5):
        lost.post("/sign-in/", {"username": "mika", "password": f"guess {n}"})
    assert lost.post("/sign-in/", {"username": "mika", "password": PASSWORD}).status_code == 429


def test_the_owner_ends_the_sessions_of_a_leaver(shop):
    leaver = signed_in()
    owner = signed_in("odile")
    assert "Phone or tablet" in owner.get("/people/mika/sessions/").text
    owner.post("/people/mika/sessions/", {"end": "all"})
    assert (is_in(owner), is_in(leaver)) == (True, False)


def test_nobody_ends_somebody_elses_session(shop):
    signed_in("odile")
    browser = signed_in()
    key = Session.objects.get(person=shop.owner).pk
    browser.post("/sessions/", {"end": mark_of(key)})
    assert browser.post("/people/odile/sessions/", {"end": "all"}).status_code == 403
    with pytest.raises(Refused, match="You can end only your own sessions"):
        end_sessions(person=shop.owner, by=shop.senior, mark="all")
    assert Session.objects.filter(pk=key).exists()


def test_a_session_that_somebody_else_planted_is_not_the_one_that_is_signed_in(shop):
    # CWE-384, session fixation: the key changes at the sign-in.
    planted = Client()
    session = planted.session
    session["x"] = 1
    session.save()
    planted.cookies["benchright"] = session.session_key
    planted.post("/sign-in/", {"username": "mika", "password": PASSWORD})
    assert planted.cookies["benchright"].value != session.session_key
    thief = Client()
    thief.cookies["benchright"] = session.session_key
    assert not is_in(thief)
    made_up = Client()
    made_up.cookies["benchright"] = "a" * 32
    made_up.post("/sign-in/", {"username": "mika", "password": PASSWORD})
    assert made_up.cookies["benchright"].value != "a" * 32


def test_signing_out_ends_the_session_on_the_site_too(shop):
    browser = signed_in()
    key = browser.cookies["benchright"].value
    browser.post("/sign-out/")
    browser.cookies["benchright"] = key
    assert not is_in(browser)


def test_when_a_session_was_used_is_written_once_in_a_quarter_of_an_hour(shop, clock):
    browser = signed_in()
    browser.get("/write-ups/")

    def writes():
        with CaptureQueriesContext(connection) as taken:
            browser.get("/write-ups/")
        return [query["sql"] for query in taken if query["sql"].startswith(("UPDATE", "INSERT"))]

    clock.shift(datetime.timedelta(minutes=14))
    assert writes() == []
    clock.shift(datetime.timedelta(minutes=1))
    assert len(writes()) == 1
    assert writes() == []


def test_a_page_opens_also_where_that_cannot_be_written(shop, clock, monkeypatch):
    browser = signed_in()
    clock.shift(HOUR)

    def full(*args, **more):
        raise DatabaseError("disk full")

    monkeypatch.setattr("training.site.session_seen.Session.objects.filter", full)
    assert browser.get("/write-ups/").status_code == 200


def test_ended_sessions_do_not_pile_up(shop, clock):
    signed_in()
    clock.shift(13 * HOUR)
    signed_in()
    assert Session.objects.count() == 1


@pytest.mark.parametrize(
    ("agent", "told"),
    [(PHONE, "phone"), (DESK, "computer"), ("<script>alert(1)</script>", ""), ("", "")],
)
def test_a_device_is_told_by_its_kind_and_never_by_what_it_says(agent, told):
    assert device_of(RequestFactory().get("/", HTTP_USER_AGENT=agent)) == told


@pytest.mark.parametrize(
    ("address", "told"),
    [("203.0.113.66", "203.0.113.0 …"), ("2001:db8:1:2::3", "2001:db8:1:: …"), ("", "")],
)
def test_an_address_is_told_only_roughly(address, told):
    assert network_of(RequestFactory().get("/", REMOTE_ADDR=address)) == told


OF_ITS_OWN = pytest.mark.any_database  # settings only


def settings_of(home, *names, **environment):
    """What the settings are in a process of its own."""
    ask = (
        "import json; from training.site import settings; print(json.dumps([getattr(settings, "
        f"name, None) for name in {names!r}]))"
    )
    done = Place(home, more=environment).python("-c", ask)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@OF_ITS_OWN
def test_in_production_every_cookie_belongs_to_this_host_alone(tmp_path):
    # RFC 6265bis, 4.1.3.2: a __Host- cookie is Secure, has no Domain and the path /.
    names = ("SESSION_COOKIE_NAME", "CSRF_COOKIE_NAME", "DEVICE_COOKIE_NAME")
    flags = ("SESSION_COOKIE_SECURE", "CSRF_COOKIE_SECURE", "CSRF_COOKIE_HTTPONLY")
    rest = (
        "SESSION_COOKIE_DOMAIN",
        "CSRF_COOKIE_DOMAIN",
        "SESSION_COOKIE_PATH",
        "CSRF_COOKIE_PATH",
    )
    told = settings_of(
        tmp_path,
        *names,
        *flags,
        *rest,
        BENCHRIGHT_PRODUCTION="yes",
        BENCHRIGHT_SECRET="s3" * 30,
        BENCHRIGHT_HOSTS="bench.example",
    )
    assert all(name.startswith("__Host-") for name in told[:3])
    assert told[3:6] == [True, True, True]
    assert told[6:] == [None, None, None, None]  # Django's own: no domain, the path /
    assert len(set(told[:3])) == 3


@OF_ITS_OWN
@pytest.mark.parametrize(
    ("said", "proxies"), [("no", 0), ("yes", 1), ("", 0), ("0", 0), ("1", 1), ("3", 3), ("off", 0)]
)
def test_how_many_proxies_are_trusted_is_said_by_the_environment(tmp_path, said, proxies):
    assert settings_of(tmp_path, "PROXIES", BENCHRIGHT_BEHIND_PROXY=said) == [proxies]


@OF_ITS_OWN
@pytest.mark.parametrize("said", ["perhaps", "-1", "99", "²"])
def test_a_number_of_proxies_that_cannot_be_is_said(tmp_path, said):
    with pytest.raises(AssertionError, match="say no, yes, or how many proxies stand in front"):
        settings_of(tmp_path, "PROXIES", BENCHRIGHT_BEHIND_PROXY=said)


def test_the_pages_of_a_shop_do_not_name_the_session(shop):
    browser = signed_in()
    key = browser.cookies["benchright"].value
    for path in ("/", "/sessions/", "/password/"):
        assert key not in browser.get(path).text
    assert User.objects.get(login="mika").sessions.count() == 1
