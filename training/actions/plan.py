"""How does a training plan become what people see as next?"""

from __future__ import annotations

from collections.abc import Sequence

from django.db import transaction

from training.access import acts
from training.cover.plan import PlannedLine
from training.models import Level, Planned, User


@transaction.atomic
def accept_plan(*, lines: Sequence[PlannedLine], by: User) -> None:
    """This plan, in the place of any before it; with no lines there is none any more. Raises
    Refused without the right.
    """
    acts.KEEP_ROTA.check(by)
    # Whole plans only: lines of two would promise hours that neither had.
    Planned.objects.all().delete()
    people = {
        person.login: person
        for person in User.objects.filter(login__in=[line.login for line in lines])
    }
    levels = {
        level.name: level for level in Level.objects.filter(name__in=[line.level for line in lines])
    }
    Planned.objects.bulk_create(
        Planned(
            person=people[line.login], level=levels[line.level], first=line.first, until=line.until
        )
        for line in lines
    )
