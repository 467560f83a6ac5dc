"""Does each reader see days in their own order, and what is signed the same for all?"""

import datetime
import re

import pytest

from procedures.records.days.reader import write_days_for
from tests.training.shop import NOW, TODAY, found, stood_down
from tests.training.test_api import token_for
from training.actions.cards import make_card
from training.records.sheets import signing_sheet
from training.reports.cards import address_of


def test_two_readers_one_after_the_other_get_each_their_own(ready, shop, as_):
    browser = as_(shop.owner)
    address = f"/who-may/{shop.level.name}/{ready.login}/"
    # Months in words and order: CLDR 47, main/en/ and main/en-GB/ca-gregorian.json
    for language, today, entry in [
        ("en-US,en;q=0.9", "Wednesday, Nov 25, 2026", "job of Nov "),
        ("en-GB", "Wednesday, 25 Nov 2026", " Nov 2026"),
        ("de", "Wednesday, 25 Nov 2026", " Nov 2026"),
        ("en-US", "Wednesday, Nov 25, 2026", "job of Nov "),
    ]:
        page = browser.get(address, headers={"accept-language": language})
        assert today in page.text
        assert entry in page.text
        assert "Accept-Language" in page["Vary"]


def test_what_the_big_table_keeps_for_one_reader_is_not_shown_to_another(shop, as_):
    stood_down(person=shop.mechanic, level=shop.level, by=shop.owner)
    browser = as_(shop.owner)
    for language, day in [("en-US", "Nov 25, 2026"), ("en-GB", "25 Nov 2026")] * 2:
        page = browser.get("/who-may/", headers={"accept-language": language})
        assert f"since {day}, by" in page.text


@pytest.mark.parametrize("header", ["", "*", "en;q=0", "x" * 9000, "\xff\x00,;q=,", "en-US;q=zwei"])
def test_a_browser_that_says_nonsense_gets_the_days_of_the_house(shop, as_, header):
    page = as_(shop.owner).get("/who-may/", headers={"accept-language": header})
    assert page.status_code == 200
    assert "Wednesday, 25 Nov 2026" in page.text


def test_what_is_signed_is_the_same_for_every_reader(ready, shop):
    sheet = {"person": ready, "level": shop.level, "signer": shop.senior, "limits": {}}
    sheets = []
    for region in ("US", "GB", "DE"):
        with write_days_for(region):
            sheets.append(signing_sheet(**sheet, on=TODAY, now=NOW))
    assert len({made.digest for made in sheets}) == 1
    assert any(re.search(r"\d Nov 2026", text) for text in sheets[0].evidence)


def test_a_program_gets_iso_days_and_one_tag_whatever_its_language(shop, client):
    stood_down(person=shop.mechanic, level=shop.level, by=shop.owner)
    _row, token = token_for("may:read")
    told = [
        client.get(f"/api/may/{shop.level.name}", headers={**token, "accept-language": language})
        for language in ("en-US", "de")
    ]
    assert told[0].content == told[1].content
    assert told[0]["ETag"] == told[1]["ETag"]
    assert re.search(r"[Ss]tood down[^\"]* 2026-11-25", told[0].text)
    assert not re.search(r"\d Nov 2026|Nov \d", told[0].text)


def test_a_card_and_a_certificate_tell_the_day_of_their_workshop(shop, as_, client, clock):
    """IANA zone Pacific/Kiritimati is UTC+14: at 10:30 UTC on 25 Nov it is 00:30 on 26 Nov."""
    shop.workshop.time_zone = "Pacific/Kiritimati"
    shop.workshop.save(update_fields=["time_zone"])
    now = datetime.datetime(2026, 11, 25, 10, 30, tzinfo=datetime.UTC)
    clock.move_to(now)
    card = make_card(person=shop.trainee, by=shop.owner, now=now)
    page = client.get(address_of(card)).text
    assert "Thursday, 26 Nov 2026, 00:30" in page
    row = found(shop.mechanic, shop.level, shop.owner, now=now)
    page = as_(shop.owner).get(f"/sign-offs/{row.pk}/").text
    assert "26 Nov 2026, 00:30" in page
    assert "Checked on 26 Nov 2026" in page
