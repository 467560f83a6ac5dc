"""Does an owner bring in the shop's own list by a page, and see what it means first?"""

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from tests.training.factories import PASSWORD, UserFactory, WorkshopFactory
from training.models import Level, SignOff, User

BRING = {"bring": "yes", "password": PASSWORD}
LIST = "Name,Damper,Air\nMika Weld,5/12/25,x\nTilda Reed,green,\n"


@pytest.fixture
def owner(client, db, time_machine):
    time_machine.move_to("2026-11-29T12:00:00+01:00", tick=False)
    workshop = WorkshopFactory(name="Bench House", time_zone="Europe/Vienna")
    person = UserFactory(login="odile", name="Odile Owner", trade="owner", workshop=workshop)
    client.force_login(person)
    return person


def read(client, text, name="list.csv"):
    file = SimpleUploadedFile(name, text.encode())
    return client.post(reverse("training:matrix"), {"file": file})


def fields_of(page):
    form = page.context["form"]
    given = {name: form[name].value() for name in form.fields}
    return {name: value for name, value in given.items() if value} | {"list": page.context["list"]}


def test_what_is_open_is_asked_answered_and_brought_in(client, owner):
    page = read(client, LIST)
    assert "day_order" in page.context["form"].fields
    assert SignOff.objects.count() == 0
    given = fields_of(page) | {
        "day_order": "month first",
        "undated": "2026-01-02",
        "word-0": "nothing",
    }
    page = client.post(reverse("training:matrix"), given)
    assert page.context["ready"]
    assert SignOff.objects.count() == 0
    page = client.post(reverse("training:matrix"), given | BRING, follow=True)
    assert {(row.level.name, row.happened_on.isoformat()) for row in SignOff.objects.all()} == {
        ("damper", "2025-05-12"),
        ("air", "2026-01-02"),
    }
    assert "2 first sign-offs come in." in page.content.decode()


@pytest.mark.parametrize(("asked", "end"), [("?from=start", "/start/"), ("", "/who-may/")])
def test_whoever_came_from_start_ends_there(client, owner, asked, end):
    there = reverse("training:matrix")
    assert client.get("/start/").text.count(f'href="{there}?from=start"') == 2
    file = SimpleUploadedFile("list.csv", b"Name,Damper\nMika Weld,2026-05-12\n")
    page = client.post(there + asked, {"file": file})
    assert f'href="{there}{asked}"' in page.text  # the way to another file keeps it
    answer = client.post(there + asked, fields_of(page) | BRING)
    assert answer.url == end


def test_the_owner_signs_the_list_with_the_password_and_in_no_other_name(client, owner):
    UserFactory(login="otto", trade="owner", workshop=owner.workshop)
    page = read(client, "Name,Damper\nMika Weld,2026-05-12\n")
    given = fields_of(page) | {"bring": "yes"}
    for password in ("", "not it"):
        page = client.post(reverse("training:matrix"), given | {"password": password})
        assert "This is not your password. Nothing was signed." in page.text
        assert "You, Odile Owner, sign these first sign-offs." in page.text
        assert "1 first sign-off comes in." in page.text
        assert re.search(r"Your password, again\s*</label>", page.text)  # and is not optional
    client.post(reverse("training:matrix"), given | BRING | {"signed_by": "otto"})
    assert not SignOff.objects.exists()
    client.post(reverse("training:matrix"), given | BRING)
    assert SignOff.objects.get().signer == owner


def test_it_comes_in_where_no_test_holds_a_transaction_open(client, transactional_db, owner):
    page = read(client, "Name,Damper\nMika Weld,2026-05-12\n")
    client.post(reverse("training:matrix"), fields_of(page) | BRING)
    assert SignOff.objects.count() == 1


def test_bringing_in_before_all_is_answered_writes_nothing(client, owner):
    page = read(client, LIST)
    page = client.post(reverse("training:matrix"), fields_of(page) | BRING)
    assert page.status_code == 200
    assert page.context["questions"]
    assert not SignOff.objects.exists()
    assert User.objects.count() == 1


def test_the_same_page_sent_twice_writes_once(client, owner):
    page = read(client, "Name,Damper\nMika Weld,2026-05-12\n")
    given = fields_of(page) | BRING
    client.post(reverse("training:matrix"), given)
    client.post(reverse("training:matrix"), given)
    assert SignOff.objects.count() == 1
    assert Level.objects.count() == 1
    assert User.objects.filter(name="Mika Weld").count() == 1


def test_a_list_that_this_site_did_not_read_is_not_brought_in(client, owner):
    page = read(client, "Name,Damper\nMika Weld,2026-05-12\n")
    given = fields_of(page) | BRING
    given["list"] = given["list"][:-3] + "abc"
    page = client.post(reverse("training:matrix"), given, follow=True)
    assert "This page is out of date." in page.content.decode()
    assert not SignOff.objects.exists()


def test_what_was_left_out_and_could_count_is_shown_before_the_button(client, owner):
    folded = '<details class="part">'
    text = read(client, "Our list,,\nName,Damper,Air\nMika Weld,2026-05-12,\n").text
    assert folded in text  # a title alone is nobody's sign-off
    text = read(client, "Name,Damper\nMika Weld,2026-05-12\nTeam 2,2026-05-13\n").text
    assert folded not in text
    assert 0 < text.index("“Team 2” is not the name of a person.") < text.index('name="list"')


def test_a_column_can_go_to_a_level_of_the_shop_or_be_left_out(client, owner):
    page = read(client, "Name,Damper,Air\nMika Weld,2026-05-12,2026-05-13\n")
    given = fields_of(page) | {"level-1": "-"} | BRING
    client.post(reverse("training:matrix"), given)
    assert [row.level.name for row in SignOff.objects.all()] == ["damper"]
    page = read(client, "Name,Fork damping\nMika Weld,2026-06-12\n")
    given = fields_of(page) | {"level-0": "damper"} | BRING
    client.post(reverse("training:matrix"), given)
    assert Level.objects.count() == 1
    assert SignOff.objects.count() == 2


@pytest.mark.parametrize(
    ("text", "name", "said"),
    [
        ("", "list.csv", "The submitted file is empty."),
        ("PK", "list.xlsx", "The file cannot be read"),
        ("Name,Damper\n", "list.pdf", "This is another kind of file."),
        ("Name,Damper\nMika Weld,\n", "list.csv", "No cell has a day or a mark"),
        ("Name,Damper\nMika Weld,31.02.2026\n", "list.csv", "there is no day"),
    ],
)
def test_a_file_that_cannot_come_in_is_told_what_is_wrong(client, owner, text, name, said):
    assert said in read(client, text, name).content.decode()


def test_where_the_names_are_is_asked_where_nobody_can_tell(client, owner):
    page = read(client, ",Alpha,Beta\nGamma,2026-05-12,x\nDelta,x,\n")
    assert "names" in page.context["form"].fields
    given = fields_of(page) | {"names": "across", "undated": "2026-01-02"}
    page = client.post(reverse("training:matrix"), given)
    assert [person.name for person, _ in page.context["people"]] == ["Alpha", "Beta"]
    given |= fields_of(page)
    client.post(reverse("training:matrix"), given | BRING)
    assert SignOff.objects.filter(person__name="Alpha").count() == 2
