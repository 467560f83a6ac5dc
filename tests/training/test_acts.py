"""Does each act say for each trade why not, so that action, page and door say the same?"""

import pytest

from procedures.records.refused import Refused
from tests.training.factories import UserFactory
from training.access import acts
from training.access.acts import Act
from training.models import User
from training.models.roles import PERMISSIONS, TRADES

ACTS = {name: act for name, act in vars(acts).items() if isinstance(act, Act)}


@pytest.mark.django_db
@pytest.mark.parametrize("trade", [trade for trade, _ in TRADES])
@pytest.mark.parametrize("name", sorted(ACTS))
def test_an_act_is_open_to_those_with_its_permission_and_told_to_the_others(name, trade):
    act, by, other = ACTS[name], UserFactory(trade=trade), UserFactory()
    may = act.permission in PERMISSIONS[trade]
    assert (act.why_not(by, other) == "") is may
    assert (act.why_not(by) == "") is may
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
