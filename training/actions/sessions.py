"""How is a session ended from elsewhere?"""

from __future__ import annotations

from django.db import transaction
from django.utils.crypto import constant_time_compare

from training.access import acts
from training.access.sessions import mark_of
from training.models import KnownDevice, Session, User

ALL = "all"


@transaction.atomic
def end_sessions(*, person: User, by: User, mark: str, current: str = "") -> int:
    """How many sessions of the person were ended: that of this mark, or all but the current one.
    Their devices are known no more.

    Raises Refused for somebody else's, but for the owner.
    """
    if by != person:
        acts.END_SESSIONS_OF_OTHERS.check(by, person)
    rows = (
        # One order for all, so that two who end each other's do not wait crosswise.
        Session.objects.select_for_update().filter(person=person).exclude(pk=current).order_by("pk")
    )
    ended = [row for row in rows if mark == ALL or constant_time_compare(mark, mark_of(row.pk))]
    # Whoever ends a session does not know its browser any more: it must start as a stranger.
    KnownDevice.objects.filter(
        pk__in=[row.device_id for row in ended if row.device_id], person=person
    ).delete()
    Session.objects.filter(pk__in=[row.pk for row in ended]).delete()
    return len(ended)
