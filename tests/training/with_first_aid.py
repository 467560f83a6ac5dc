"""With the worked example of the standing's README built in: is its term seen everywhere?

Run by tests/architecture/test_new_term.py in a copy of the house that has the change; by itself it
has nothing to look at.
"""

import csv
import datetime
import io
import json
import re

import pytest
from django.core.management import call_command

from tests.training.shop import NOW, TODAY, found
from training.actions.entries import write_down
from training.actions.levels import set_level
from training.exchange.folder.files import FILES
from training.models import BookEntry, LevelRules, PaperPass
from training.records.keeping import faults
from training.reports.who_may import LevelAsked, who_may
from training.standing.terms import Terms

TYPED = {
    "title": "Air-spring service",
    "valid_months": 36,
    "practice_jobs": 0,
    "practice_months": 0,
    "watched_jobs": 0,
    "observations": 0,
    "observers": 0,
    "pass_percent": 0,
    "grace_days": 0,
    "first_aid_months": 24,
}
COURSE_DAY = datetime.date(2026, 2, 10)
# counted by hand: 24 months from 10 Feb 2026, that day included
FALLS = "2028-02-11"

pytestmark = pytest.mark.django_db


@pytest.fixture
def asked(shop, as_):
    """A level that asks for the course, set by the owner's form; somebody signed off for it."""
    set_level(name="first-aid", terms=Terms(title="First aid", valid_months=24), now=NOW)
    page = as_(shop.owner).post("/levels/air-spring/rules/", TYPED)
    assert page.status_code == 302
    found(shop.mechanic, shop.level, shop.owner)
    return shop


def do_course(shop):
    course = LevelRules.objects.get(level__name="first-aid").level
    done = {"happened_on": COURSE_DAY, "recorded_at": NOW, "person": shop.mechanic}
    write_down(PaperPass(level=course, percent=100, critical_right=True, **done))


def answer(shop):
    (told,) = who_may([LevelAsked("air-spring", TODAY, NOW, {})], person=shop.mechanic.login)
    return told["people"][0]


def test_the_form_asks_for_it_and_the_page_of_levels_tells_it(asked, as_):
    page = as_(asked.owner).get("/levels/air-spring/rules/").text
    assert "First aid course within how many months" in page
    levels = as_(asked.owner).get("/levels/").text
    assert re.search(r"First aid course within how many months</th><td[^>]*>24</td>", levels)


def test_the_book_holds_it_in_a_layout_of_its_own(asked):
    entry = BookEntry.objects.filter(kind__startswith="level rules").order_by("number").last()
    assert (entry.kind, json.loads(entry.body)["first_aid_months"]) == ("level rules@3", 24)
    assert list(faults()) == []


def test_the_answer_says_why_and_what_to_do_and_when_it_lapses(asked):
    without = answer(asked)
    assert without["standing"] != "alone"
    assert {
        "code": "no-first-aid",
        "evidence": [],
        "text": "No first aid course in the last 24 months.",
    } in without["reasons"]
    assert {"code": "do-course", "text": "Do the first aid course."} in without["next"]
    do_course(asked)
    told = answer(asked)
    assert (told["standing"], told["lapses_on"], told["lapses_because"]) == (
        "alone",
        FALLS,
        "no-first-aid",
    )
    assert told["next"][0]["text"] == "By 10 Feb 2028: do the first aid course."


def test_it_is_explained_with_its_gap_and_its_evidence(asked, as_):
    address = f"/who-may/air-spring/{asked.mechanic.login}/"
    assert "No first aid course in the last 24 months." in as_(asked.owner).get(address).text
    do_course(asked)
    assert "valid until 10 Feb 2028" in as_(asked.owner).get(address).text


def test_a_folder_has_it_and_one_from_before_needs_it_not(asked, tmp_path):
    call_command("take", str(tmp_path), stdout=io.StringIO())
    text = (tmp_path / "levels.csv").read_text(encoding="utf-8")
    rows = [(row["level"], row["first_aid_months"]) for row in csv.DictReader(io.StringIO(text))]
    assert rows == [("air-spring", "24"), ("first-aid", "0")]
    column = next(one for one in FILES["levels.csv"] if one.name == "first_aid_months")
    assert column.optional
    assert (column.read("24"), column.read("")) == (24, 0)


def test_the_table_has_it_and_its_migration_leaves_nothing_out():
    call_command("makemigrations", "--check", "--dry-run", stdout=io.StringIO())
