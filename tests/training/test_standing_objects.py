"""Is a rule one thing: do verdict, reasons, support, days of change and words come together?

The shops are made at random; that their answers are right is held by the judge elsewhere.
"""

import re
from datetime import timedelta

import pytest

from tests.training.folder_shop import folder_shop
from tests.training.grow_shop import BROUGHT_AT, TODAY, grow_shop
from tests.training.standing_shop import named
from training.records.wording.asks import say_rule
from training.records.wording.reasons import say_reason
from training.records.wording.steps import say_step
from training.standing.answer import answers, reasons_against_signing
from training.standing.days import days_of_change
from training.standing.entitlement import Asked, Asking, as_question
from training.standing.rules.ruleset import RULES
from training.standing.told import explain

EVERY = (*RULES.alone, *RULES.before, *RULES.study)
DAYS = (-500, -200, -60, 0, 90)


@pytest.fixture(params=[(3, False), (6, True), (9, False)], ids=["tame", "wild", "third"])
def of(request, tmp_path):
    seed, wild = request.param
    grow_shop(seed, tmp_path, wild)
    return folder_shop(tmp_path, BROUGHT_AT)


def cases(of, days=DAYS):
    asking = Asking(of, BROUGHT_AT)
    for person in of.people:
        for lvl in of.files.versions:
            for number in days:
                day = TODAY + timedelta(days=number)
                yield asking.case_at(Asked(person.login, lvl, day, as_question({})))


def test_a_rule_holds_just_where_it_gives_no_reason_and_rests_on_something_only_then(of):
    seen = set()
    for case in cases(of):
        for rule in EVERY:
            found = rule.look(case)
            assert found.holds == (found.reasons == ())
            assert found.holds or found.rests_on == ()
            assert {reason.code for reason in found.reasons} <= set(rule.steps)
            seen |= {(rule.name, found.holds)}
    assert {holds for _, holds in seen} == {True, False}


def test_a_standing_is_what_its_rules_say_together(of):
    for case in cases(of):
        alone = all(rule.look(case).holds for rule in RULES.alone)
        watched = all(rule.look(case).holds for rule in RULES.watched)
        word = "alone" if alone else "watched" if watched else "no"
        assert case.asking.standing(case.asked) == word


def codes_of(case):
    rules = (*RULES.alone, *RULES.study)
    return [reason.code for rule in rules for reason in rule.look(case).reasons]


def test_no_rule_changes_its_mind_on_a_day_that_no_rule_has_named(of):
    first, changed = TODAY - timedelta(days=300), 0
    for start in cases(of, days=[-300]):
        named = set(days_of_change(start.asking, start.asked, first + timedelta(days=400)))
        before = codes_of(start)
        for number in range(1, 401):
            day = first + timedelta(days=number)
            after = codes_of(start.asking.case_at(start.asked._replace(day=day)))
            if after != before:
                assert day in named
                changed += 1
            before = after
    assert changed > 5


def test_everything_that_is_given_has_words_with_no_place_left_open(of):
    said = []
    for lvl in of.files.versions:
        for told in answers(of, lvl, TODAY, BROUGHT_AT, {}):
            said += [*map(say_reason, told.reasons), *map(say_step, told.next)]
            said += named(told.evidence)
            said += [name for reason in told.reasons for name in named(reason.evidence)]
            said += map(
                say_reason, reasons_against_signing(of, told.person, lvl, TODAY, BROUGHT_AT)
            )
    for case in cases(of, days=[0]):
        for rule in map(say_rule, explain(case.asking, case.asked)):
            said += [rule.asks, *rule.gap, *rule.evidence]
    assert said
    assert [text for text in said if not text or re.search(r"[{}]|\bNone\b", text)] == []


def test_the_orders_of_the_rules_hold_the_same_rules():
    assert set(RULES.reasons) == set(RULES.alone)
    assert {rule.name for rule in RULES.told_in_order} | {"here", "stood-down", "signer"} == {
        rule.name for rule in (*RULES.alone, *RULES.before)
    }
