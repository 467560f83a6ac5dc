"""Are a level's rules kept version by version, and refused where they cannot hold?"""

import datetime
from dataclasses import replace

import pytest

from procedures.records.refused import Refused
from quizzes.reports.odds import quiz_odds
from tests.training.shop import LONG_AGO, NOW, TERMS, TODAY
from training.actions.levels import set_level
from training.models import Level, LevelRules
from training.records.gathering import gather
from training.records.keeping import faults
from training.records.levels import title_of
from training.reports.at_bench import rules_in_force
from training.reports.levels import level_table
from training.reports.observing import observing_page
from training.reports.who_may import LevelAsked, who_may
from training.standing.terms import Terms

TYPED = {
    "title": "Air-spring service",
    "from_day": "2026-11-25",
    "writeups": ["air-spring-service"],
    "valid_months": 1,
    "practice_jobs": 0,
    "practice_months": 0,
    "watched_jobs": 1,
    "observations": 1,
    "observers": 0,
    "pass_percent": 75,
    "grace_days": 14,
    "yardstick": "14 CFR 65.81(a)",
}


def test_new_rules_hold_from_their_first_day_and_the_old_ones_for_the_days_before(shop, as_):
    assert as_(shop.owner).post("/levels/air-spring/rules/", TYPED).status_code == 302
    assert LevelRules.objects.count() == 2
    told = who_may(
        [LevelAsked("air-spring", day, NOW, {}) for day in (TODAY, TODAY.replace(day=24))],
        person="sol",
    )
    assert [answer["people"][0]["standing"] for answer in told] == ["no", "alone"]
    assert (
        "Example for these rules: 14 CFR 65.81(a)"
        in as_(shop.owner).get("/levels/air-spring/rules/").text
    )
    assert list(faults()) == []


def test_the_chances_of_a_quiz_stand_on_the_pass_mark_that_its_level_asks_on_the_day(shop, as_):
    """Also before anybody has sat it by the new mark: an owner raises it because of the chances."""
    typed = TYPED | {"from_day": TODAY + datetime.timedelta(days=1), "pass_percent": 90}
    assert as_(shop.owner).post("/levels/air-spring/rules/", typed).status_code == 302
    marks = [
        quiz_odds(shop.quiz, today=TODAY + datetime.timedelta(days=later)).percent
        for later in (0, 1)
    ]
    assert marks == [75, 90]


def test_a_new_level_comes_with_its_quiz(shop, as_):
    answer = as_(shop.owner).post(
        "/levels/new/",
        TYPED | {"level": "travel-change", "title": "Travel change", "earlier": ["air-spring"]},
    )
    assert answer.status_code == 302
    level = Level.objects.get(name="travel-change")
    assert list(level.quiz.writeups.values_list("name", flat=True)) == ["air-spring-service"]


def test_the_page_begins_with_what_holds_today_and_not_with_rules_of_a_later_day(shop, as_):
    """Saved as it opens, it would else bring the rules of next year into force today."""
    later = replace(TERMS, title="Next year", watched_jobs=0, valid_months=60)
    set_level(name="air-spring", terms=later, now=NOW, from_day=TODAY.replace(year=2027))
    page = as_(shop.owner).get("/levels/air-spring/rules/")
    form = page.context["form"]
    told = [form[name].value() for name in ("title", "watched_jobs", "valid_months", "writeups")]
    assert told == ["Air-spring service", 1, 24, ["air-spring-service"]]
    assert "From 25 Nov 2027 on other rules hold" in page.text


def test_add_a_level_never_replaces_one_that_is_there(shop, as_):
    page = as_(shop.owner).post("/levels/new/", TYPED | {"level": "air-spring", "title": "New"})
    assert page.status_code == 200
    assert "There is a level named air-spring already." in page.text
    assert LevelRules.objects.get().title == "Air-spring service"
    with pytest.raises(Refused, match="already"):
        set_level(name="air-spring", terms=TERMS, now=NOW, must_be_new=True)


def test_a_new_level_asks_for_something_unless_the_owner_takes_it_out(shop, as_):
    form = as_(shop.owner).get("/levels/new/").context["form"]
    asked = ("valid_months", "practice_jobs", "watched_jobs", "observations", "pass_percent")
    assert all(form[name].initial for name in asked)
    assert form["writeups"].initial is None


@pytest.mark.parametrize(
    ("terms", "said"),
    [
        (Terms(title="T", valid_months=24, earlier=("damper",)), "There is no level named damper."),
        (
            Terms(title="T", valid_months=24, writeups=("damper",)),
            "There is no write-up named damper.",
        ),
        (
            Terms(title="T", valid_months=24, earlier=("air-spring",)),
            "would then need itself first",
        ),
        (Terms(title="T", valid_months=0), "Say for how many months a sign-off is valid"),
        (Terms(title="T", valid_months=24, pass_percent=101), "A pass mark is a percentage"),
    ],
)
def test_rules_that_cannot_hold_are_refused(shop, terms, said):
    with pytest.raises(Refused, match=said):
        set_level(name="air-spring", terms=terms, now=NOW, from_day=TODAY)
    assert LevelRules.objects.count() == 1


def test_levels_do_not_wait_for_each_other(shop):
    set_level(
        name="damper",
        terms=Terms(title="Damper", valid_months=24, earlier=("air-spring",)),
        now=NOW,
    )
    with pytest.raises(Refused, match="would then need itself first"):
        set_level(
            name="air-spring",
            terms=Terms(title=TERMS.title, valid_months=24, earlier=("damper",)),
            now=NOW,
        )


@pytest.mark.parametrize(
    ("path", "changes", "said"),
    [
        ("/levels/new/", {"level": "air spring"}, "letters"),
        ("/levels/new/", {"level": ""}, "required"),
        ("/levels/air-spring/rules/", {"valid_months": 0}, "greater than or equal to 1"),
        ("/levels/air-spring/rules/", {"pass_percent": 101}, "less than or equal to 100"),
        ("/levels/air-spring/rules/", {"earlier": ["air-spring"]}, "would then need itself first"),
        ("/levels/air-spring/rules/", {"writeups": ["damper"]}, "not one of the available choices"),
        ("/levels/air-spring/rules/", {"from_day": "soon"}, "valid date"),
        ("/levels/air-spring/rules/", {"title": ""}, "required"),
        # one of the two alone asks nothing, and nobody would be told
        ("/levels/air-spring/rules/", {"practice_jobs": 4, "practice_months": 0}, "0 in both"),
        ("/levels/air-spring/rules/", {"practice_jobs": 0, "practice_months": 9}, "0 in both"),
        ("/levels/air-spring/rules/", {"observations": 0, "observers": 1}, "at most 0 here"),
    ],
)
def test_a_page_of_rules_that_cannot_hold_says_so_and_keeps_nothing(shop, as_, path, changes, said):
    page = as_(shop.owner).post(path, TYPED | changes)
    assert page.status_code == 200
    assert said in page.text
    assert LevelRules.objects.count() == 1
    assert Level.objects.count() == 1
    assert list(faults()) == []


def test_of_two_versions_from_one_day_the_later_written_holds_on_every_page(shop):
    for percent in (80, 90):
        set_level(
            name="air-spring", terms=replace(TERMS, pass_percent=percent), now=NOW, from_day=TODAY
        )
    assert rules_in_force(gather(), "air-spring", TODAY).pass_percent == 90
    table = {label: dict(said) for label, said in level_table(TODAY).rows}
    assert table["Pass mark of the quiz in %"] == {"Air-spring service": "90"}


def test_rules_written_earlier_for_a_later_day_hold_from_that_day_on(shop):
    later, empty = TODAY + datetime.timedelta(days=5), ()
    set_level(
        name="air-spring",
        terms=replace(TERMS, title="Later", writeups=empty),
        now=NOW,
        from_day=later,
    )
    set_level(name="air-spring", terms=replace(TERMS, title="Sooner"), now=NOW, from_day=TODAY)
    titles = [title_of(gather(), "air-spring", day) for day in (LONG_AGO, TODAY, later)]
    assert titles == ["Air-spring service", "Sooner", "Later"]
    seen = [
        len(observing_page(shop.senior, shop.trainee, shop.level, {}, today=day, now=NOW).writeups)
        for day in (TODAY, later)
    ]
    assert seen == [1, 0]
