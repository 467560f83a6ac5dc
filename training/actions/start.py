"""How is a step of the start left for later, and taken up again?"""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext

from procedures.records.refused import Refused
from training.access import acts
from training.models import LeftForLater, StartStep, User


@transaction.atomic
def leave_for_later(*, steps: Collection[str], by: User, now: datetime) -> None:
    """These steps are not asked about until somebody takes them up. Raises Refused for somebody
    who does not own the shop, and for a step that there is not.
    """
    acts.KEEP_PEOPLE.check(by)
    _check_known(steps)
    for step in steps:
        LeftForLater.objects.get_or_create(step=step, defaults={"by": by, "at": now})


@transaction.atomic
def take_up(*, step: str, by: User) -> None:
    """This step is asked about again. Raises Refused as `leave_for_later` does."""
    acts.KEEP_PEOPLE.check(by)
    _check_known([step])
    LeftForLater.objects.filter(step=step).delete()


def _check_known(steps: Collection[str]) -> None:
    if not set(steps) <= set(StartStep.values):
        raise Refused(gettext("This page is out of date. Open it again."))
