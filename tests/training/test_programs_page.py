"""Can an owner let a program ask, and stop it, without a terminal?"""

import re

import pytest

from tests.training.factories import PASSWORD
from training.models import ProgramToken

FORM = {"name": "wall screen", "scopes": ["may:read"], "until": "2026-12-31"}


def test_a_token_is_shown_once_asks_as_it_may_and_is_ended(client, shop, as_):
    owner = as_(shop.owner)
    shown = owner.post("/programs/", FORM | {"password": PASSWORD}).text
    (secret,) = re.findall(r"bench_[\w-]{43}", shown)
    headers = {"Authorization": f"Bearer {secret}"}
    assert client.get(f"/api/may/{shop.level.name}", headers=headers).status_code == 200
    assert client.get("/api/book", headers=headers).status_code == 403  # not what was ticked
    listed = owner.get("/programs/").text
    assert "wall screen" in listed
    assert secret not in listed
    row = ProgramToken.objects.get()
    assert row.made_by == shop.owner
    owner.post(f"/programs/{row.pk}/end/")
    assert client.get(f"/api/may/{shop.level.name}", headers=headers).status_code == 401
    assert "End the token" not in owner.get("/programs/").text


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"password": "wrong"}, "This is not your password"),
        ({"scopes": []}, "required"),
        ({"scopes": ["all:write"]}, "not one of the available choices"),
        ({"until": "2026-11-24"}, "This day is in the past"),
        ({"until": "2031-01-01"}, "two years at most"),
        ({"name": " "}, "required"),
    ],
)
def test_what_cannot_be_is_refused_and_stays_in_the_form(shop, as_, change, said):
    page = as_(shop.owner).post("/programs/", FORM | {"password": PASSWORD} | change).text
    assert said in page
    assert "bench_" not in page
    assert not ProgramToken.objects.exists()


def test_two_programs_of_one_name_are_told_apart(shop, as_):
    owner = as_(shop.owner)
    owner.post("/programs/", FORM | {"password": PASSWORD})
    again = owner.post("/programs/", FORM | {"name": "wall  screen", "password": PASSWORD}).text
    assert "program of this name already" in again
    assert ProgramToken.objects.count() == 1
