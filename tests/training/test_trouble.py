"""What does somebody see, and what becomes of what was typed, when the disk is full, the records
are locked or gone, or a page is out of date?
"""

import contextlib
import re

import pytest
from django.db import OperationalError, connection
from django.test import Client
from django.utils.html import escape

from tests.training.factories import PASSWORD
from tests.training.places import ON_POSTGRESQL, Browser, served
from training.models import User
from training.records import probe
from training.records.troubles import AWAY, BUSY, FULL, READ_ONLY, trouble_of

on_sqlite = pytest.mark.skipif(connection.vendor != "sqlite", reason="SQLite's own refusals")
NEW = {
    "login": "nina",
    "name": "Nina <New>",
    "trade": "mechanic",
    "started": "2026-01-05",
    "is_active": "on",
}
HIDDEN = re.compile(r'<input type="hidden" name="([^"]*)" value="([^"]*)">')


@pytest.fixture
def desk(shop):
    """The browser of the owner, which shows errors as a person sees them."""
    made = Client(raise_request_exception=False)
    made.force_login(shop.owner, backend="training.access.sign_in.ShopBackend")
    return made


@pytest.fixture
def new_person(shop):
    return NEW | {"workshop": str(shop.workshop.pk), "password": "never shown again 1"}


def sent_again(page):
    """The fields of the form on such a page."""
    return {
        name: value.replace("&lt;", "<").replace("&gt;", ">")
        for name, value in HIDDEN.findall(page)
    }


@contextlib.contextmanager
def refusing(error):
    """Every write is refused with this error."""

    def refuse(execute, sql, params, many, context):
        if sql.startswith(("INSERT", "UPDATE")):
            raise error
        return execute(sql, params, many, context)

    with connection.execute_wrapper(refuse):
        yield


TOLD = {
    "database is locked": (503, "The records are busy"),
    "database or disk is full": (507, "The disk is full"),
    "attempt to write a readonly database": (503, "The site cannot write its records"),
    "disk I/O error": (503, "The site cannot write its records"),
    "no such table: training_user": (503, "There are no records here"),
    "database disk image is malformed": (503, "The records cannot be read"),
}


@pytest.mark.parametrize("said", TOLD)
def test_a_page_says_what_happened_and_keeps_what_was_typed(desk, new_person, said):
    status, heading = TOLD[said]
    with refusing(OperationalError(said)):
        answer = desk.post("/people/new/", new_person)
    assert answer.status_code == status
    assert f"<h1>{heading}</h1>" in answer.text
    assert "Traceback" not in answer.text
    kept = sent_again(answer.text)
    assert {name: kept[name] for name in NEW} == NEW
    assert "never shown again" not in answer.text
    assert not User.objects.filter(login="nina").exists()
    kept["password"] = new_person["password"]  # asked for again
    assert desk.post("/people/new/", kept).status_code == 302
    assert User.objects.get(login="nina").name == "Nina <New>"


@on_sqlite
@pytest.mark.django_db(transaction=True)
def test_a_database_that_cannot_grow_is_told_and_takes_the_same_form_when_it_can(desk, new_person):
    """SQLite's own words for a full disk: no page more than there are now."""
    old = {
        "start": "yes",
        "title": "An old procedure",
        "text": "1. Turn the fork over, and let it stand so until the oil has run down.\r\n" * 1300,
    }
    with connection.cursor() as cursor:
        cursor.execute(
            "CREATE TABLE filler AS SELECT zeroblob((freelist_count + 8) * 4096) AS taken "
            "FROM pragma_freelist_count"
        )
        cursor.execute("PRAGMA page_count")  # pages that earlier rows left free are taken now
        cursor.execute(f"PRAGMA max_page_count = {cursor.fetchone()[0]}")
        try:
            answer = desk.post("/write-ups/old-text/", old)
        finally:
            cursor.execute("PRAGMA max_page_count = 1000000")
            cursor.execute("DROP TABLE filler")
    assert answer.status_code == 507, answer.text
    kept = sent_again(answer.text)
    assert kept["text"] == old["text"]
    assert desk.post("/write-ups/old-text/", kept).status_code == 302


@on_sqlite
@pytest.mark.django_db(transaction=True)
def test_records_that_may_not_be_written_are_told(desk, new_person):
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA query_only = ON")
        try:
            answer = desk.post("/people/new/", new_person)
            assert desk.get("/people/").status_code == 200  # what is there can still be read
            assert desk.get("/").status_code == 200
        finally:
            cursor.execute("PRAGMA query_only = OFF")
    assert answer.status_code == 503
    assert "The site cannot write its records" in answer.text


@pytest.mark.skipif(connection.vendor == "sqlite", reason="SQLite's restore has no half-way")
def test_a_database_that_is_half_restored_takes_nothing(desk, new_person, settings, tmp_path):
    settings.HOME = tmp_path
    (tmp_path / "restoring").write_text("begun")
    for answer in (desk.post("/people/new/", new_person), desk.get("/"), desk.get("/healthz/")):
        assert answer.status_code == 503
    (tmp_path / "restoring").unlink()
    assert desk.get("/").status_code == 200


def test_an_error_that_has_nothing_to_do_with_the_database_stays_one(desk, new_person):
    with refusing(ZeroDivisionError("a fault of the program")):
        answer = desk.post("/people/new/", new_person)
    assert answer.status_code == 500
    assert "Something went wrong on the site" in answer.text


def test_postgresql_says_it_by_code():
    """Codes and names: the manual of PostgreSQL, appendix A; the classes of psycopg carry the code
    of that name.
    """
    from psycopg import errors

    words = {
        "DiskFull": FULL,
        "LockNotAvailable": BUSY,
        "ReadOnlySqlTransaction": READ_ONLY,
        "AdminShutdown": AWAY,
        "ConnectionFailure": AWAY,
        "TooManyConnections": AWAY,
    }
    for name, word in words.items():
        error = OperationalError("x")
        error.__cause__ = getattr(errors, name)()
        assert trouble_of(error) == word, name
    assert trouble_of(errors.UniqueViolation()) == ""


# --- a page from before the last sign-in


@pytest.fixture
def old_tab(shop):
    """A browser with a page open from before its last sign-in, so that the page's mark is not the
    browser's any more.
    """
    made = Client(enforce_csrf_checks=True)
    made.post(
        "/sign-in/",
        {"username": shop.owner.login, "password": PASSWORD, "csrfmiddlewaretoken": "x"},
    )
    made.force_login(shop.owner, backend="training.access.sign_in.ShopBackend")
    made.get("/people/new/")
    return made


def from_here(**more):
    return {"HTTP_ORIGIN": "http://testserver", "HTTP_SEC_FETCH_SITE": "same-origin"} | more


def test_an_old_tab_keeps_what_was_typed_and_sends_it_after_a_press(old_tab, new_person, shop):
    answer = old_tab.post(
        "/people/new/", new_person | {"csrfmiddlewaretoken": "a" * 64}, **from_here()
    )
    assert answer.status_code == 403
    assert "This page is out of date" in answer.text
    assert f"sent as {shop.owner.name}" in answer.text
    assert "never shown again" not in answer.text
    assert escape(NEW["name"]) in answer.text
    assert not User.objects.filter(login="nina").exists()
    assert old_tab.post("/people/new/", sent_again(answer.text), **from_here()).status_code == 302
    assert User.objects.filter(login="nina").exists()


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"HTTP_ORIGIN": "http://evil.example"},
        {"HTTP_ORIGIN": "null"},
        {"HTTP_ORIGIN": "https://testserver"},
        {"HTTP_SEC_FETCH_SITE": "cross-site"},
        {"HTTP_SEC_FETCH_SITE": "same-site"},
        {"HTTP_SEC_FETCH_SITE": "none"},
        {"HTTP_ORIGIN": "http://testserver", "HTTP_SEC_FETCH_SITE": "cross-site"},
        {"HTTP_ORIGIN": "http://testserver.evil.example"},
        {"HTTP_REFERER": "http://testserver/people/new/"},
    ],
)
def test_a_form_from_elsewhere_is_refused_and_nothing_of_it_comes_back(
    old_tab, new_person, headers
):
    """The protection against forged forms is not undone: no fresh mark under somebody else's
    fields.
    """
    answer = old_tab.post("/people/new/", new_person, **headers)
    assert answer.status_code == 403
    assert "This page is out of date" in answer.text
    assert "Nina" not in answer.text
    assert 'name="login"' not in answer.text
    assert not User.objects.filter(login="nina").exists()


def test_who_is_signed_out_is_told_to_sign_in_beside_it(shop, new_person):
    answer = Client(enforce_csrf_checks=True).post("/people/new/", new_person, **from_here())
    assert answer.status_code == 403
    assert "Sign in in another tab" in answer.text
    assert sent_again(answer.text)["login"] == "nina"


def test_an_old_sign_in_page_gives_no_password_back(shop):
    answer = Client(enforce_csrf_checks=True).post(
        "/sign-in/", {"username": "odile", "password": "hush hush hush"}, **from_here()
    )
    assert answer.status_code == 403
    assert "hush" not in answer.text


# --- other refusals


def test_a_wrong_name_of_the_site_is_told_in_plain_words_and_no_names_are_listed(
    client, settings, db
):
    settings.ALLOWED_HOSTS = ["bench.shop.example"]
    answer = client.get("/", HTTP_HOST="other.example")
    assert answer.status_code == 400
    assert "BENCHRIGHT_HOSTS" in answer.text
    assert "bench.shop.example" not in answer.text
    assert "other.example" not in answer.text


def test_too_much_at_once_is_told(desk, settings):
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 1000
    answer = desk.post("/write-ups/new/", {"text": "x" * 2000})
    assert answer.status_code == 413
    assert "That is too much text" in answer.text


def test_an_address_that_is_only_for_a_button_says_so(desk):
    answer = desk.get("/sign-out/")
    assert answer.status_code == 405
    assert "works only from a button" in answer.text
    assert "POST" in answer["Allow"]


def test_what_is_not_there_is_told(desk):
    answer = desk.get("/nowhere/")
    assert answer.status_code == 404
    assert "There is no page at this address" in answer.text


def test_a_form_that_is_far_too_large_is_answered_and_not_cut_off(place):
    """Seen on a real server: it closed the connection in the middle of seven megabytes, and the
    browser told of a broken connection instead of what to do.
    """
    with served(place) as address:
        browser = Browser(place, address)
        for megabytes in (7, 30):
            status, page = browser.post("/people/new/", {"name": "x" * megabytes * 1_000_000})
            assert (status, "too much text" in page) == (413, True)
        assert browser.add_person("after")


@pytest.mark.django_db
@pytest.mark.skipif(not ON_POSTGRESQL, reason="about a database server")
@pytest.mark.parametrize(
    ("refuses", "code"),
    [
        # PostgreSQL's manual, appendix A: 53100 disk_full, 25006 read_only_sql_transaction
        ("CREATE TEMPORARY TABLE", "full"),
        ("SELECT number", "read-only"),
    ],
)
def test_the_probe_takes_room_on_the_disk_of_the_server(monkeypatch, refuses, code):
    """Seen with a table space of 400 kB that was filled: the probe said nothing before it took
    room.
    """
    import psycopg

    connect = psycopg.connect
    faults = {"full": psycopg.errors.DiskFull, "read-only": psycopg.errors.ReadOnlySqlTransaction}

    class Server:
        def __init__(self, **named):
            self.beside = connect(**named)

        def execute(self, query, *given):
            if query.startswith(refuses):
                raise faults[code]("as the server says it")
            return self.beside.execute(query, *given)

        def rollback(self):
            self.beside.rollback()

        def close(self):
            self.beside.close()

    named = connection.get_connection_params()
    assert probe._try("postgresql", {}, named) == ""
    monkeypatch.setattr(psycopg, "connect", Server)
    assert probe._try("postgresql", {}, named) == code
