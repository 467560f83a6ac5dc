"""Is a further rule of a level one object, and seen wherever standings are told?

The worked example of the room's README: a first aid course within so many months. The course is a
sitting of a quiz named first-aid, as such a course may well end; nothing of the product knows it.
Here the rule alone is handed to the standing; tests/architecture/test_new_term.py builds it in.
"""

from dataclasses import dataclass, replace
from datetime import date

import pytest
from django.db import models

from tests.training.standing_shop import day, days, level, named, noon, person, sat, shop, sign
from training.exchange.folder.files import FILES
from training.models import LevelRules as Kept
from training.records.wording import asks as asks_wording
from training.records.wording import reasons as reasons_wording
from training.records.wording import steps as steps_wording
from training.records.wording.asks import say_asks, say_rule
from training.reports.who_may import _told
from training.standing.answer import answers
from training.standing.calendar import add_days, add_months
from training.standing.days import spans
from training.standing.entitlement import Asked, Asking, as_question
from training.standing.evidence import LevelRules
from training.standing.naming import name_entry
from training.standing.results import OWN_DOING, Asks, Reason, Step, Support
from training.standing.rules.rule import HOLDS, Rule, fails, holds
from training.standing.rules.ruleset import RULES
from training.standing.terms import TERMS
from training.standing.told import explain

COURSE = "first-aid"


@dataclass(frozen=True, slots=True, kw_only=True)
class WithCourse(LevelRules):
    """The terms of a level with one more."""

    first_aid_months: int = 0


class FirstAid(Rule):
    """`no-first-aid`: the person has done the course within so many months."""

    name = "first-aid"
    steps = {"no-first-aid": Step("do-course", "person", OWN_DOING, of_level=False)}

    def look(self, case):
        asked = case.rules.first_aid_months
        if not asked:
            return HOLDS
        rows = [row for row in case.known.passings(case.person, COURSE) if row.on <= case.day]
        latest = max(rows, key=lambda row: row.on, default=None)
        if latest is None or case.day > add_months(latest.on, asked):
            return fails(lambda: Reason("no-first-aid", (("months", asked),)))
        last = add_months(latest.on, asked)
        name = name_entry(case.known, latest)
        return holds(lambda: (Support(name, latest.on, "valid-until", last),))

    def asks(self, case):
        asked = case.rules.first_aid_months
        return Asks("first-aid", (("months", asked),)) if asked else None

    def tell_terms(self, rules, shop):
        return (Asks("first-aid", (("months", rules.first_aid_months),)),)

    def days(self, case, until):
        for row in case.known.passings(case.person, COURSE):
            yield row.on
            yield add_days(add_months(row.on, case.rules.first_aid_months), 1)


ASKED = FirstAid()
WITH_COURSE = replace(
    RULES,
    alone=(*RULES.alone, ASKED),
    reasons=(*RULES.reasons, ASKED),
    told_in_order=(*RULES.told_in_order, ASKED),
)


@pytest.fixture(autouse=True)
def words(monkeypatch):
    said = "No first aid course in the last {months} months.".format
    monkeypatch.setitem(reasons_wording.REASONS, "no-first-aid", said)
    asked = "A first aid course in the last {months} months.".format
    monkeypatch.setitem(asks_wording.ASKS, "first-aid", asked)
    course = ("Do the first aid course.", "By {day}: do the first aid course.")
    monkeypatch.setitem(steps_wording.STEPS, "do-course", course)


def of(*courses):
    plain = level(valid_months=36)
    terms = {name: getattr(plain, name) for name in LevelRules.__dataclass_fields__}
    asked = WithCourse(**terms, first_aid_months=24)
    made = shop(person("ana"), plain, level(COURSE), sign("ana", "2026-01-05"), courses)
    return replace(made, levels=(asked, level(COURSE)))


def told(made, on, known_on="2028-12-01"):
    asking = Asking(made, noon(known_on), rules=WITH_COURSE)
    return answers(made, "air", day(on), noon(known_on), {}, ["ana"], asking)[0], asking


DONE = sat("ana", "2026-02-10", lvl=COURSE)
# counted by hand: 24 months from 10 Feb 2026, that day included
LAST, FALLS = date(2028, 2, 10), date(2028, 2, 11)


def test_the_answer_follows_it_and_says_why_and_what_to_do():
    without, _ = told(of(), "2026-03-01")
    assert without.standing != "alone"
    json = _told(person("ana"), without, None)
    assert {
        "code": "no-first-aid",
        "evidence": [],
        "text": "No first aid course in the last 24 months.",
    } in json["reasons"]
    assert {"code": "do-course", "text": "Do the first aid course."} in json["next"]
    assert told(of(DONE), "2026-03-01")[0].standing == "alone"


def test_the_day_on_which_it_lapses_is_the_day_after_its_last():
    answered, _ = told(of(DONE), "2026-03-01")
    assert (answered.lapses_on, answered.lapses_because) == (FALLS, "no-first-aid")
    json = _told(person("ana"), answered, None)
    assert json["lapses_on"] == "2028-02-11"
    assert [step["text"] for step in json["next"]] == ["By 10 Feb 2028: do the first aid course."]
    assert "sitting of 10 Feb 2026: 100 %" in named(answered.evidence)
    assert told(of(DONE), LAST)[0].standing == "alone"
    assert told(of(DONE), FALLS)[0].standing != "alone"


def test_it_is_explained_with_its_evidence_and_its_gap():
    for courses, evidence, gap in (
        ((DONE,), ("sitting of 10 Feb 2026: 100 %, valid until 10 Feb 2028",), ()),
        ((), (), ("No first aid course in the last 24 months.",)),
    ):
        _, asking = told(of(*courses), "2026-03-01")
        asked = Asked("ana", "air", day("2026-03-01"), as_question({}))
        [rule] = [r for r in map(say_rule, explain(asking, asked)) if r.name == "first-aid"]
        assert (rule.asks, rule.evidence, rule.gap) == (
            "A first aid course in the last 24 months.",
            evidence,
            gap,
        )


def test_the_time_line_and_the_levels_page_follow_it():
    made = of(DONE)
    _, asking = told(made, "2026-01-05")
    cut = spans(asking, Asked("ana", "air", day("2026-01-05"), as_question({})), days(FALLS, 9))
    assert [(one.first, one.standing) for one in cut] == [
        (day("2026-01-05"), "watched"),
        (day("2026-02-10"), "alone"),
        (FALLS, "watched"),
    ]
    terms = [
        say_asks(asks)
        for rule in WITH_COURSE.told_in_order
        for asks in rule.tell_terms(made.levels[0], made)
    ]
    assert "A first aid course in the last 24 months." in terms


def test_whoever_signed_without_it_was_not_entitled():
    """It holds for signers too, since they are asked by the same rules."""
    made = of(DONE)
    asking = Asking(made, noon("2028-12-01"), rules=WITH_COURSE)
    assert asking.alone(Asked("ana", "air", day("2026-03-01"), as_question({}), as_signer=True))
    assert not asking.alone(Asked("ana", "air", FALLS, as_question({}), as_signer=True))


# ---- what is not made from the one list is held to it


def test_the_table_has_a_column_for_each_term_and_it_takes_what_the_form_takes():
    kinds = {
        "words": models.CharField,
        "levels": models.JSONField,
        "write-ups": models.JSONField,
        "number": models.PositiveIntegerField,
        "yes or no": models.BooleanField,
        "day": models.DateField,
    }
    for name, term in TERMS.items():
        column = Kept._meta.get_field(name)
        assert type(column) is kinds[term.kind], name
        if term.kind == "words":
            assert (column.max_length, column.blank) == (term.most, not term.is_required)


def test_every_term_is_told_on_the_levels_page_or_is_the_heading_of_it():
    """Each term in turn is asked, beside what gives it a meaning; what the page tells is then
    another thing.
    """
    values = {
        "words": "Other",
        "levels": ("other",),
        "write-ups": ("other",),
        "number": 7,
        "yes or no": True,
        "day": date(2026, 1, 5),
    }
    base = level(practice_jobs=3, practice_months=6, watched_jobs=2, observations=2, observers=2)
    told = {
        name
        for name, term in TERMS.items()
        if page_of(replace(base, **{name: values[term.kind]})) != page_of(base)
    }
    assert set(TERMS) - told == {"title", "yardstick"}


def page_of(rules):
    made = shop(rules)
    return [say_asks(asks) for rule in RULES.told_in_order for asks in rule.tell_terms(rules, made)]


def test_the_layouts_of_the_book_are_those_that_were_written_already():
    """Copied from the program of the time; a list that was ever written never changes."""
    first = (
        "level from_day title earlier writeups valid_months practice_jobs practice_months "
        "watched_jobs watched_per_option observations observers pass_percent grace_days yardstick "
        "by recorded_at"
    )
    assert set(Kept.BOOK[1]) == set(first.split())
    assert set(Kept.BOOK[2]) == {*first.split(), "practice_from"}


def test_the_columns_of_a_folder_are_those_that_folders_have_already():
    """As the design of the exchange lists them, in that order."""
    must = (
        "level title earlier writeups valid_months practice_jobs practice_months watched_jobs "
        "observations pass_percent grace_days"
    )
    may = "watched_per_option observers practice_from from"
    columns = FILES["levels.csv"]
    assert [one.name for one in columns if not one.optional] == must.split()
    assert [one.name for one in columns if one.optional] == may.split()
    assert [one.name for one in columns] == [*must.split(), *may.split()]
