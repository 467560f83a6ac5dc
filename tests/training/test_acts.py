"""Does each act say for each trade why not, and is nothing allowed but by an act?"""

import re
from functools import partial
from pathlib import Path

import pytest

from procedures.records.refused import Refused
from quizzes.actions.questions import set_quiz_rules
from tests.training.factories import UserFactory
from tests.training.shop import NOW, TERMS, TODAY
from training.access import acts
from training.access.acts import Act
from training.actions import rota
from training.actions.levels import set_level
from training.actions.plan import accept_plan
from training.models import DAYS, Absence, Rota, User, Want
from training.models.roles import PERMISSIONS, TRADES

ROOT, APPS = Path(__file__).parents[2], ("procedures", "quizzes", "training")

ACTS = {name: act for name, act in vars(acts).items() if isinstance(act, Act)}


@pytest.mark.django_db
@pytest.mark.parametrize("trade", [trade for trade, _ in TRADES])
@pytest.mark.parametrize("name", sorted(ACTS))
def test_an_act_is_open_to_those_with_its_permission_and_told_to_the_others(name, trade):
    act, by, other = ACTS[name], UserFactory(trade=trade), UserFactory()
    may = act.permission in PERMISSIONS[trade]
    assert (act.why_not(by, other) == "") is may
    assert (act.why_not(by) == "") is may
    assert act.is_open_to(by, other) is may
    if not may:
        with pytest.raises(Refused, match=str(act.lacks)):
            act.check(by, other)


@pytest.mark.django_db
@pytest.mark.parametrize("name", sorted(name for name, act in ACTS.items() if act.own))
@pytest.mark.parametrize("trade", [trade for trade, _ in TRADES])
def test_nobody_does_it_to_themselves_whatever_their_trade(name, trade):
    by = UserFactory(trade=trade)
    assert ACTS[name].why_not(by, by) == str(ACTS[name].own)


@pytest.mark.django_db
def test_a_right_that_was_lost_while_a_write_waited_is_gone():
    by = UserFactory(trade="senior")
    User.objects.filter(pk=by.pk).update(trade="mechanic")
    with pytest.raises(Refused, match="Only somebody whom the owner appointed"):
        acts.SIGN.check(by)


def test_each_act_asks_for_a_permission_that_somebody_has():
    given = frozenset().union(*PERMISSIONS.values())
    assert {act.permission for act in ACTS.values()} <= given


def test_a_permission_is_asked_for_by_acts_alone():
    """So that action, page and door cannot disagree: each of them names the act."""
    asked = {
        str(file.relative_to(ROOT))
        for app in APPS
        for file in (ROOT / app).rglob("*.py")
        if ".has_perm(" in file.read_text()
    }
    assert asked == {"procedures/access/acts.py", "training/access/acts.py"}
    pages = [file for app in APPS for file in (ROOT / app).rglob("*.html")]
    assert pages
    assert [file.name for file in pages if re.search(r"\bperms\.", file.read_text())] == []


def test_the_rota_and_the_plan_are_changed_by_an_owner_alone(shop):
    person, level, place = shop.mechanic, shop.level, shop.workshop
    days, back = {"first": TODAY, "until": TODAY}, {"before": [], "after": []}
    for act in (
        partial(rota.set_shift, person=person, workshop=place, weekdays=["mon"], first=TODAY),
        partial(rota.add_absence, person=person, **days),
        partial(rota.drop_absence, person=person, pk=1),
        partial(rota.set_want, workshop=place, level=level, counts={"mon": 1}),
        partial(rota.put_back_shifts, person=person, **back),
        partial(rota.put_back_absence, person=person, **back),
        partial(
            rota.put_back_want, workshop=place, level=level, before={}, after=dict.fromkeys(DAYS, 0)
        ),
        partial(accept_plan, lines=()),
        partial(set_level, name=level.name, terms=TERMS, now=NOW),
        partial(set_quiz_rules, quiz=shop.quiz, size=1),
    ):
        with pytest.raises(Refused, match="Only"):
            act(by=shop.trainee)
    assert [kind for kind in (Rota, Absence, Want) if kind.objects.exists()] == []


def test_whoever_is_refused_a_page_reads_why(shop, as_):
    for path, act in (("/people/", acts.KEEP_PEOPLE), ("/book/", acts.SEE_BOOK)):
        page = as_(shop.trainee).get(path)
        assert page.status_code == 403
        assert str(act.lacks) in page.text
