"""Are people added, changed and let go as the owner says, and does leaving end the way in?"""

import datetime

import pytest

from tests.training.factories import PASSWORD
from tests.training.shop import TODAY
from training.keeping import faults
from training.models import Appointment, BookEntry, User

NEW = {
    "login": "nia", "name": "Nia New", "trade": "trainee", "started": "2026-11-25", "left": "",
    "is_active": "on", "password": "a fork without air",
}  # fmt: skip


def as_typed(person, **changes):
    kept = {
        "name": person.name, "trade": person.trade, "workshop": person.workshop_id, "started": person.started or "",
        "left": person.left or "", "password": "",
    }  # fmt: skip
    return kept | ({"is_active": "on"} if person.is_active else {}) | changes


def test_the_owner_adds_somebody_who_can_then_sign_in(shop, as_, client):
    answer = as_(shop.owner).post("/people/new/", NEW | {"workshop": shop.workshop.pk})
    assert answer.status_code == 302
    client.logout()
    assert client.post("/sign-in/", {"username": "nia", "password": NEW["password"]}).url == "/"
    assert list(faults()) == []


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"login": "sol"}, "Somebody has this login already."),
        ({"login": "nia new"}, "Use letters, digits"),
        ({"password": "short"}, "too short"),
        ({"password": "password1234"}, "too common"),
        ({"left": "2020-01-01"}, "Nobody leaves before the first day."),
        ({"trade": "boss"}, "not one of the available choices"),
    ],
)
def test_what_cannot_be_is_said_and_nobody_is_added(shop, as_, changes, said):
    page = as_(shop.owner).post("/people/new/", NEW | {"workshop": shop.workshop.pk} | changes)
    assert said in page.text
    assert User.objects.count() == 5


def test_a_session_ends_with_the_last_day_at_work(shop, as_, clock):
    browser = as_(shop.mechanic)
    shop.mechanic.left = TODAY
    shop.mechanic.save()
    assert browser.get("/").status_code == 200
    clock.move_to(datetime.datetime(2026, 11, 26, 9, tzinfo=datetime.UTC))
    assert browser.get("/").url.startswith("/sign-in/")
    assert browser.post("/sign-in/", {"username": "mika", "password": PASSWORD}).status_code == 200


def test_a_closed_account_ends_the_session_at_once(shop, as_, client):
    as_(shop.owner).post("/people/mika/", as_typed(shop.mechanic, is_active=""))
    # WCAG has nothing to say here; OWASP ASVS 5.0 7.4.2 does: a disabled account's sessions end.
    shop.mechanic.refresh_from_db()
    browser = as_(shop.mechanic)
    assert browser.get("/").url.startswith("/sign-in/")


def test_the_shop_is_not_left_without_an_owner(shop, as_):
    page = as_(shop.owner).post("/people/odile/", as_typed(shop.owner, trade="mechanic"))
    assert "The shop would be left without an owner." in page.text
    shop.owner.refresh_from_db()
    assert shop.owner.trade == "owner"


def test_only_a_senior_is_appointed(shop, as_):
    page = as_(shop.owner).post("/people/mika/appoint/", {"level": "air-spring", "first": "2026-11-25", "until": ""})
    assert "Only a senior mechanic can be appointed." in page.text
    assert not Appointment.objects.filter(person=shop.mechanic).exists()


def test_an_appointment_does_not_end_before_it_begins(shop, as_):
    data = {"level": "air-spring", "first": "2026-11-25", "until": "2026-11-24"}
    assert "An appointment ends on or after its first day." in as_(shop.owner).post("/people/wim/appoint/", data).text


def test_the_owner_appoints_on_the_page(shop, as_):
    data = {"level": "air-spring", "first": "2026-11-25", "until": "2026-12-31"}
    assert as_(shop.owner).post("/people/wim/appoint/", data).status_code == 302
    kept = Appointment.objects.get(person=shop.other_senior)
    assert (kept.level, kept.by, kept.happened_on, kept.until) == (shop.level, shop.owner, TODAY, datetime.date(2026, 12, 31))
    assert "31 Dec 2026" in as_(shop.owner).get("/people/wim/").text
    assert list(faults()) == []


@pytest.mark.parametrize("changes", [{"level": "damper"}, {"level": ""}, {"first": ""}, {"first": "soon"}])
def test_an_appointment_that_cannot_be_is_told_on_the_page(shop, as_, changes):
    page = as_(shop.owner).post("/people/wim/appoint/", {"level": "air-spring", "first": "2026-11-25", "until": ""} | changes)
    assert page.status_code == 200
    assert "error" in page.text
    assert not Appointment.objects.filter(person=shop.other_senior).exists()


def test_a_change_of_somebody_is_kept_with_an_entry_and_the_one_before(shop, as_):
    as_(shop.owner).post("/people/mika/", as_typed(shop.mechanic, name="Mika Mechanic-Smith", trade="senior"))
    entries = BookEntry.objects.filter(kind="person", row=shop.mechanic.pk).order_by("number")
    assert ["Mechanic-Smith" in entry.body for entry in entries] == [False, True]
    assert list(faults()) == []


def test_a_change_that_is_refused_changes_nothing_not_even_the_password(shop, as_):
    data = as_typed(shop.owner, trade="mechanic", password="a fork without air")
    as_(shop.owner).post("/people/odile/", data)
    shop.owner.refresh_from_db()
    assert shop.owner.check_password(PASSWORD)


def test_a_password_set_by_the_owner_works_and_an_easy_one_is_refused(shop, as_, client):
    page = as_(shop.owner).post("/people/mika/", as_typed(shop.mechanic, password="mikamechanic"))
    assert "too similar" in page.text
    assert as_(shop.owner).post("/people/mika/", as_typed(shop.mechanic, password="a fork without air")).status_code == 302
    client.logout()
    assert client.post("/sign-in/", {"username": "mika", "password": "a fork without air"}).url == "/"


def test_no_password_and_no_hash_of_one_stands_in_the_record_book(shop, as_):
    as_(shop.owner).post("/people/new/", NEW | {"workshop": shop.workshop.pk})
    nia = User.objects.get(login="nia")
    bodies = "".join(BookEntry.objects.values_list("body", flat=True))
    assert nia.password not in bodies
    assert "password" not in bodies
