"""Are what somebody does at the bench and whether they own the shop two things, everywhere?

What is expected follows from the design: an owner can be appointed, observe and sign like a senior,
a first sign-off for oneself says that it is one, and one owner can always sign in.
"""

import datetime
import io
import json
import re

import pytest
from django.core.management import call_command
from django.db import connection
from django.utils.html import strip_tags

from procedures.models.booking import kind_and_version
from procedures.records.refused import Refused
from procedures.records.sealing import put_on
from tests.training.factories import PASSWORD, UserFactory
from tests.training.shop import (
    LONG_AGO,
    NOW,
    TODAY,
    found,
    lifted,
    make_ready,
    observe,
    proof,
    stood_down,
    void_asked,
    void_decided,
    waiting_job,
)
from tests.training.test_book_out import rewrite
from training.access import acts
from training.actions import signing
from training.actions.confirming import confirm_job
from training.actions.levels import Terms, set_level
from training.actions.people import add_person, change_person
from training.models import BookEntry, Level, SignOff, User, VoidDecided
from training.models.roles import PERMISSIONS, say_role
from training.records import keeping
from training.records.keeping import faults, head
from training.records.levels import standing_of
from training.records.sheets import signing_sheet
from training.reports.watchers import watchers_of

FOR_SELF = "the owner, Odile Owner, for themselves"


def words(page):
    return " ".join(strip_tags(page.text).split())


def changed(shop, person, **changes):
    given = {
        "name": person.name,
        "trade": person.trade,
        "owner": person.owner,
        "workshop": person.workshop,
        "started": person.started,
        "left": person.left,
        "is_active": person.is_active,
    }
    return change_person(person=person, by=shop.owner, **given | changes)


def told(person):
    """The answer that programs get for somebody."""
    out = io.StringIO()
    call_command("may", "air-spring", person=person.login, format="json", stdout=out)
    return json.loads(out.getvalue())["people"][0]


# ---- role and owner


@pytest.mark.parametrize("trade", ["trainee", "mechanic", "senior"])
def test_an_owner_at_the_bench_may_what_either_may(db, trade):
    both = UserFactory(trade=trade, owner=True)
    for perm in PERMISSIONS[trade] | PERMISSIONS["owner"]:
        assert both.has_perm(perm)
    assert both.role == say_role(trade, owner=True)
    assert both.role.endswith(", owner")


def test_a_closed_owner_may_nothing(db):
    closed = UserFactory(trade="senior", owner=True, is_active=False)
    assert not any(closed.has_perm(perm) for perm in PERMISSIONS["owner"])


def test_the_owner_says_on_the_page_who_owns_and_what_they_do(shop, as_):
    typed = {
        "name": "Sol Senior",
        "trade": "senior",
        "owner": "on",
        "workshop": shop.workshop.pk,
        "started": "2020-01-01",
        "left": "",
        "is_active": "on",
    }
    as_(shop.owner).post("/people/sol/", typed)
    kept = User.objects.get(login="sol")
    assert (kept.trade, kept.owner) == ("senior", True)
    assert "senior mechanic, owner" in as_(shop.owner).get("/people/").text
    entry = BookEntry.objects.filter(row=kept.pk, kind__startswith="person").last()
    assert json.loads(entry.body)["owner"] is True
    assert list(faults()) == []


def test_without_bench_work_somebody_is_an_owner(shop, as_):
    with pytest.raises(Refused, match="Only an owner does no bench work"):
        changed(shop, shop.mechanic, trade="owner", owner=False)


def test_the_last_owner_takes_a_role_at_the_bench_and_stays_the_owner(shop):
    assert changed(shop, shop.owner, trade="mechanic").has_perm("training.keep_people")
    for change in ({"owner": False}, {"is_active": False}, {"left": TODAY}):
        with pytest.raises(Refused, match="needs an owner"):
            changed(shop, User.objects.get(pk=shop.owner.pk), **change)


def test_owners_from_before_the_column_get_an_entry_with_its_migration(shop):
    """As if the entries of the owner were still of the version before."""

    def older(entries):
        for entry in entries:
            if kind_and_version(entry.kind) == ("person", 3):
                body = json.loads(entry.body)
                del body["owner"]
                entry.kind, entry.body = "person@2", json.dumps(body)

    rewrite(older)
    put_on(connection)
    assert {fault.kind for fault in faults()} == {"person@2"}  # the owner is told by no entry
    keeping.catch_up({("training", "owners")})
    assert list(faults()) == []
    number = head()[0]
    keeping.catch_up({("training", "another")})
    assert head()[0] == number


# ---- a first sign-off for oneself


def test_the_owner_gives_a_first_sign_off_to_themselves_and_it_says_so_wherever_it_is_shown(
    shop, as_
):
    browser = as_(shop.owner)
    page = browser.get("/who-may/air-spring/odile/founding/")
    assert "give this first sign-off to myself" in page.text
    row = found(shop.owner, shop.level, shop.owner)
    assert told(shop.owner)["standing"] == "alone"
    assert "First sign-off by the owner, Odile Owner, for themselves" in words(
        browser.get(f"/sign-offs/{row.pk}/")
    )
    for address in ("/record/", "/who-may/air-spring/odile/"):
        assert "First sign-off by the owner, Odile Owner, for themselves" in words(
            browser.get(address)
        ), address
    assert "first sign-off by the owner, for themselves" in words(browser.get("/book/"))
    assert FOR_SELF in page_of_evidence(shop)
    assert list(faults()) == []


def page_of_evidence(shop):
    """What the JSON names as evidence once the sign-off has ended."""
    out = io.StringIO()
    call_command("may", "air-spring", person="odile", format="json", on="2029-01-01", stdout=out)
    person = json.loads(out.getvalue())["people"][0]
    return " ".join(text for reason in person["reasons"] for text in reason["evidence"])


def test_no_owner_signs_for_themselves_otherwise(shop):
    found(shop.owner, shop.level, shop.owner)
    signing.appoint(
        person=shop.owner, level=shop.level, by=shop.owner, first=LONG_AGO, until=None, now=NOW
    )
    make_ready(shop, shop.owner)
    sheet = signing_sheet(
        person=shop.owner, level=shop.level, signer=shop.owner, limits={}, on=TODAY, now=NOW
    )
    with pytest.raises(Refused, match="You cannot sign for yourself"):
        signing.sign_off(
            person=shop.owner,
            level=shop.level,
            signer=shop.owner,
            limits={},
            shown=sheet.digest,
            proof=proof(shop.owner, sheet.digest),
            now=NOW,
        )


@pytest.mark.parametrize("trade", ["trainee", "mechanic", "senior"])
def test_nobody_but_an_owner_gives_a_first_sign_off(shop, as_, trade):
    person = getattr(shop, trade)
    with pytest.raises(Refused, match="The owner can give a first sign-off"):
        found(person, shop.level, person)
    assert as_(person).get(f"/who-may/air-spring/{person.login}/founding/").status_code == 403


def test_a_stood_down_owner_is_not_freed_by_a_sign_off_of_their_own(shop, as_):
    row = stood_down(person=shop.owner, level=None, by=shop.senior)
    page = as_(shop.owner).get("/who-may/air-spring/odile/founding/")
    assert "You can sign, but it does not count yet" in page.text
    found(shop.owner, shop.level, shop.owner)
    assert told(shop.owner)["standing"] == "no"
    with pytest.raises(Refused, match="You cannot end your own stand-down"):
        lifted(standdown=row, by=shop.owner)
    assert "This can be done by: Sol Senior or Wim Writer." in words(
        as_(shop.owner).get(f"/lift/{row.pk}/")
    )
    assert 'name="password"' not in as_(shop.owner).get(f"/lift/{row.pk}/").text


def test_a_clock_set_back_gives_no_earlier_sign_off(shop, as_, clock):
    clock.move_to(NOW - datetime.timedelta(days=400))
    browser, address = as_(shop.owner), "/who-may/air-spring/odile/founding/"
    shown = re.search(r'name="shown" value="([0-9a-f]{64})"', browser.get(address).text)[1]
    page = browser.post(address, {"password": PASSWORD, "shown": shown, "note": "Seen."})
    assert "The clock of this machine shows" in page.text
    assert not SignOff.objects.filter(person=shop.owner).exists()


def test_a_first_sign_off_without_the_earlier_level_says_at_once_that_it_does_not_count_yet(
    shop, as_
):
    set_level(
        name="damper",
        terms=Terms(title="Damper service", valid_months=24, earlier=("air-spring",)),
        now=NOW,
        from_day=None,
    )
    browser, address = as_(shop.owner), "/who-may/damper/mika/founding/"
    page = browser.get(address)
    assert "You can sign, but it does not count yet" in page.text
    assert "Air-spring service" in page.text
    sheet = signing_sheet(
        person=shop.mechanic,
        level=Level.objects.get(name="damper"),
        signer=shop.owner,
        limits={},
        on=TODAY,
        now=NOW,
        founding=True,
    )
    said = browser.post(
        address, {"password": PASSWORD, "shown": sheet.digest, "note": "Seen."}, follow=True
    )
    assert "Signed, but it does not count yet" in said.text
    assert SignOff.objects.filter(person=shop.mechanic).count() == 1


# ---- an owner watches, observes and signs


def test_an_owner_is_named_as_watcher_once_signed_off(shop, as_):
    assert shop.owner not in watchers_of(shop.trainee, TODAY)
    assert "Odile Owner" not in as_(shop.trainee).get("/levels/air-spring/job/").text
    found(shop.owner, shop.level, shop.owner)
    assert shop.owner in watchers_of(shop.trainee, TODAY)
    job = waiting_job(shop, shop.trainee, watched_by=shop.owner)
    assert confirm_job(job=job, by=shop.owner, now=NOW).confirmed


def test_an_owner_who_is_not_alone_cannot_be_the_watcher(shop):
    with pytest.raises(Refused, match="could not work alone at this level"):
        waiting_job(shop, shop.trainee, watched_by=shop.owner)


def test_an_owner_observes_and_signs_like_a_senior_where_entitled(shop):
    with pytest.raises(Refused, match="work alone at this level"):
        observe(shop, shop.trainee, observer=shop.owner)
    found(shop.owner, shop.level, shop.owner)
    make_ready(shop, shop.trainee)
    assert observe(shop, shop.trainee, observer=shop.owner).observer == shop.owner

    def sign():
        sheet = signing_sheet(
            person=shop.trainee, level=shop.level, signer=shop.owner, limits={}, on=TODAY, now=NOW
        )
        return signing.sign_off(
            person=shop.trainee,
            level=shop.level,
            signer=shop.owner,
            limits={},
            shown=sheet.digest,
            proof=proof(shop.owner, sheet.digest),
            on=TODAY,
            now=NOW,
        )

    with pytest.raises(Refused, match="cannot be signed"):
        sign()
    signing.appoint(
        person=shop.owner, level=shop.level, by=shop.owner, first=LONG_AGO, until=None, now=NOW
    )
    sign()
    assert standing_of(shop.trainee, shop.level, TODAY, NOW, {}) == "alone"


def test_an_appointment_shows_once(shop, as_):
    for until in (datetime.date(2026, 12, 31), None):
        signing.appoint(
            person=shop.senior, level=shop.level, by=shop.owner, first=TODAY, until=until, now=NOW
        )
    assert words(as_(shop.owner).get("/people/sol/")).count("appointed by Odile Owner") == 1


# ---- the second person


@pytest.fixture
def small(shop):
    """An owner, one senior, and the others below."""
    changed(shop, shop.other_senior, trade="mechanic")
    return shop


def asked_about(shop, person, by):
    on = SignOff.objects.filter(person=person).first().happened_on
    return void_asked(kind="signoff", person=person, about="air-spring", on=on, by=by)


def test_a_void_about_the_only_senior_waits_says_that_nobody_can_and_is_taken_back(small, as_):
    asked = asked_about(small, small.senior, small.owner)
    browser = as_(small.owner)
    page = words(browser.get(f"/voids/{asked.pk}/"))
    assert "Nobody in the shop can decide this yet." in page
    assert "neither Sol Senior nor Odile Owner" in page
    assert "nobody in the shop can decide this yet" in words(browser.get("/"))
    with pytest.raises(Refused, match="somebody else must decide"):
        void_decided(asked, small.owner)
    with pytest.raises(Refused, match="Say why"):
        void_decided(asked, small.owner, confirm=False)
    void_decided(asked, small.owner, confirm=False, reason="It was another day.")
    assert standing_of(small.senior, small.level, TODAY, NOW, {}) == "alone"
    assert "taken back" in words(browser.get(f"/voids/{asked.pk}/"))
    assert "Taken back: It was another day." in words(browser.get("/voids/"))
    assert "What you asked to cancel" not in words(browser.get("/"))
    with pytest.raises(Refused, match="has decided this already"):
        void_decided(asked, small.owner, confirm=False, reason="Once more.")
    assert VoidDecided.objects.get().void is None
    assert list(faults()) == []


def test_the_owner_who_did_not_ask_decides_and_finds_it_on_the_first_page(small, as_):
    other = add_person(
        login="ona",
        name="Ona Owner",
        trade="mechanic",
        owner=True,
        workshop=small.workshop,
        started=None,
        password=PASSWORD,
    )
    asked = asked_about(small, small.senior, small.owner)
    assert "A second person decides: Ona Owner." in words(
        as_(small.owner).get(f"/voids/{asked.pk}/")
    )
    assert "waits for Ona Owner" in words(as_(small.owner).get("/"))
    assert f'href="/voids/{asked.pk}/"' in as_(other).get("/").text
    assert "asked by Odile Owner" in words(as_(other).get("/"))
    assert void_decided(asked, other).void is not None


def test_somebody_who_left_or_is_closed_is_not_named_as_the_second_person(small):
    for change in ({"is_active": False}, {"left": TODAY - datetime.timedelta(days=1)}):
        UserFactory(trade="senior", workshop=small.workshop, **change)
    able = User.objects.able_to(acts.DECIDE_VOID.permission, TODAY)
    assert set(able) == {small.owner, small.senior}


def test_a_void_of_others_is_taken_back_by_nobody_else(shop, as_):
    asked = asked_about(shop, shop.senior, shop.owner)
    assert as_(shop.mechanic).get(f"/voids/{asked.pk}/").status_code == 403
    assert "Take it back" not in as_(shop.other_senior).get(f"/voids/{asked.pk}/").text
    with pytest.raises(Refused, match="your own"):
        void_decided(asked, shop.senior, confirm=False, reason="Mine.")
    with pytest.raises(Refused, match="senior mechanic or the owner"):
        void_decided(asked, shop.mechanic, confirm=False, reason="Mine.")
