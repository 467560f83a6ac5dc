"""How are the questions of a program counted, whichever web process answers them?"""

from __future__ import annotations

from datetime import datetime

from django.db import DatabaseError, transaction
from django.db.models import Case, F, Q, Value, When
from django.utils.crypto import salted_hmac

from training.access.counted import MINUTE, TooMany, find_minute
from training.models import Tries


def count_question(*, asker: str, most: int, now: datetime) -> None:
    """One more question of this asker, at the machine's own time. Raises TooMany.

    One row for each asker, whatever is asked, and one statement for each question: whether there is
    room and the count are looked at in the same breath, so that of two processes one gets the last.
    """
    key = salted_hmac("training.asked", asker, algorithm="sha256").hexdigest()
    try:
        with transaction.atomic():
            counted = _count(key, most, now) or _begin(key, now) or _count(key, most, now)
    except DatabaseError:
        # A full disk must not keep anybody from reading who may; the limit only guards the machine.
        return
    if not counted:
        raise TooMany(60 - int(now.timestamp() % 60))


def _count(key: str, most: int, now: datetime) -> bool:
    minute = find_minute(now)
    # A minute ahead too: the clocks of two machines differ, and each would begin the count again.
    same = Q(last_at__gte=minute, last_at__lte=minute + MINUTE)
    return bool(
        Tries.objects.filter(~same | Q(count__lt=most), key=key).update(
            count=Case(When(same, then=F("count") + 1), default=Value(1)),
            last_at=Case(When(same, then=F("last_at")), default=Value(minute)),
        )
    )


def _begin(key: str, now: datetime) -> bool:
    """Whether this was the first question of all; where another process was quicker, it was not."""
    _row, is_new = Tries.objects.get_or_create(
        key=key, defaults={"count": 1, "last_at": find_minute(now)}
    )
    return is_new
