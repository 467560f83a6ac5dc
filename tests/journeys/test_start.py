"""Does an owner get from an empty site to a shop that is set up, by the pages alone?"""

import re
from types import SimpleNamespace

import pytest
from django.db import transaction

from tests.training.factories import PASSWORD
from tests.training.shop import NOW
from training.actions.people import add_person, open_workshop
from training.models import Level, SignOff, User

# As shops keep it: a title, an empty row and column, days that may be read two ways, a mark
# without a day.
LIST = (
    "Who may do what,,,\n,,,\nName,,Lower-leg service,Air-spring service\n"
    "Mika Weld,,12/5/26,x\nTilda Reed,,1/6/26,\n"
)


@pytest.fixture
def shop(transactional_db, time_machine):
    """A workshop with its owner and nothing else, on 25 Nov 2026."""
    time_machine.move_to(NOW, tick=True)
    with transaction.atomic():
        workshop = open_workshop(name="Bench House", time_zone="Europe/Vienna")
        owner = add_person(
            login="odile",
            name="Odile Owner",
            trade="owner",
            workshop=workshop,
            started=workshop.day_of(NOW),
            password=PASSWORD,
        )
    return SimpleNamespace(owner=owner)


def test_from_an_empty_site_to_a_shop_that_is_set_up(shop, walk, tmp_path):
    owner = walk(shop.owner, wide=True).sees("0 of 5 are done", "Nobody works at the bench yet.")
    page = owner.page

    owner.click("Choose from the examples", exact=True)
    page.get_by_label("Rear air-can service", exact=True).uncheck()
    owner.press("Begin with these")
    owner.sees("drafts from the examples", "2 of 5 are done", "not yet read for this shop")
    assert not Level.objects.filter(name="rear-air-can").exists()

    (tmp_path / "list.csv").write_text(LIST, encoding="utf-8")
    owner.click("Bring in your list", exact=True)
    page.set_input_files("[name=file]", tmp_path / "list.csv")
    owner.press("Read the list")
    page.select_option("[name=day_order]", "day first")
    page.fill("[name=undated]", "2026-05-12")
    owner.press("Check the answers").sees("What follows")
    page.fill("[name=password]", PASSWORD)
    owner.press("Bring in the list").sees("3 first sign-offs come in.")
    days = SignOff.objects.order_by("happened_on").values_list("happened_on", flat=True)
    assert [day.isoformat() for day in days] == ["2026-05-12", "2026-05-12", "2026-06-01"]

    owner.go("/").sees("4 of 5 are done", "2 people work at the bench.")
    owner.click("Set the rota").click(re.compile("Mika Weld"))
    page.get_by_label("Wednesday").check()
    owner.press("Save the weekdays")
    owner.go("/start/").sees("5 of 5 are done").click("Go to my bench")
    assert owner.path == "/"
    owner.sees("Who may work alone today", "Mika Weld")
    assert {person.name for person in User.objects.all()} == {
        "Odile Owner",
        "Mika Weld",
        "Tilda Reed",
    }
