"""Who may be named as watching somebody's job?"""

from __future__ import annotations

from datetime import date

from django.db.models import Exists, OuterRef, Q, QuerySet

from training.models import SignOff, User, roles
from training.models.people import is_staying


def watchers_of(person: User, on: date) -> QuerySet[User]:
    """Everybody else who works at the bench on a day, and an owner without a role there who was
    signed off for something. Whether they were entitled on the day of the job is asked when it is
    written down.
    """
    # Without one a pure owner cannot have been alone at any level, and so cannot watch.
    signed = Exists(SignOff.objects.filter(person=OuterRef("pk")))
    at_bench = Q(trade__in=roles.AT_BENCH) | signed
    return User.objects.filter(is_staying(on) & at_bench).exclude(pk=person.pk).order_by("name")
