"""How is a refused sign-in noted, within bounds however many come?

One row stands for all that is refused for one reason to one person or program from one network
within an hour. A flood is counted roughly, by a counter that needs ever fewer writes: Morris,
"Counting large numbers of events in small registers", CACM 21 (1978) 840 (from memory). Nothing
that was typed is kept.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from django.core.cache import cache
from django.db import DatabaseError, transaction
from django.db.models import F, QuerySet
from django.http import HttpRequest
from django.utils.crypto import salted_hmac

from training.access.where import device_of, network_of
from training.models import ProgramToken, RefusedSignIn, User
from training.models.refusals import EXACT, MANY

# Of one person or program and one reason. They bound the table by the number of the shop's people,
# and a flood at one login drops nothing of the others.
MOST_KEPT = 100  # rows
MOST_APART = 10  # networks of one hour; what comes from further ones is one row
KEPT = timedelta(days=90)  # a quarter: who asks about a login that was tried asks within it
HOUR = 60 * 60


@dataclass(frozen=True, slots=True)
class _Burst:
    """What is counted together."""

    why: str
    person: User | None
    program: ProgramToken | None
    kind: str
    address: str
    hour: datetime

    @property
    def key(self) -> str:
        # With the sign-in before it: what the person got wrong since then is counted by itself.
        before = self.person and self.person.last_login
        who = (self.person and self.person.pk, self.program and self.program.pk, before)
        said = f"{self.why} {who} {self.kind} {self.address} {self.hour.isoformat()}"
        return salted_hmac("training.refused", said, algorithm="sha256").hexdigest()

    def alike(self) -> QuerySet[RefusedSignIn]:
        """All that is kept of this person or program for this reason."""
        return RefusedSignIn.objects.filter(why=self.why, person=self.person, program=self.program)


def note_refusal(
    *,
    request: HttpRequest,
    why: str,
    now: datetime,
    person: User | None = None,
    program: ProgramToken | None = None,
) -> None:
    """One more sign-in of this person (None: nobody has the login), or question of this program,
    was refused. Call it outside a transaction that the refusal would undo.
    """
    hour = now.replace(minute=0, second=0, microsecond=0)
    burst = _Burst(why, person, program, device_of(request), network_of(request), hour)
    # Kept beside the table, so that a flood costs no query; each process counts its own part.
    known = cache.get(f"refused-{burst.key}", 0)
    step = max(1, known // EXACT)
    if secrets.randbelow(step):
        return
    try:
        # The first alone, and in no transaction: mostly it is the only statement.
        if not _is_counted(burst, step, now):
            _begin(burst, step, now)
    except DatabaseError:  # a full disk or a lock: whoever tried is refused all the same
        return
    cache.set(f"refused-{burst.key}", known + step, HOUR)


@transaction.atomic
def _begin(burst: _Burst, step: int, now: datetime) -> None:
    """A row of this burst, or of many networks, with the first that is counted in it."""
    if burst.alike().filter(first_at__gte=burst.hour).count() >= MOST_APART:
        burst = replace(burst, kind=MANY, address="")
        # In a flood from ever new networks this row is there from the eleventh on.
        if _is_counted(burst, step, now):
            return
    # Where somebody else was quicker the row is there, and counted in all the same.
    made = _row(burst, now)
    RefusedSignIn.objects.bulk_create([made], ignore_conflicts=True)
    _is_counted(burst, step, now)
    _sweep(burst, now)


def _is_counted(burst: _Burst, step: int, now: datetime) -> bool:
    """Whether there is a row of it, in which it is counted now."""
    rows = RefusedSignIn.objects.filter(key=burst.key)
    return bool(rows.update(count=F("count") + step, last_at=now))


def _row(burst: _Burst, now: datetime) -> RefusedSignIn:
    return RefusedSignIn(
        key=burst.key,
        why=burst.why,
        person=burst.person,
        program=burst.program,
        kind=burst.kind,
        address=burst.address,
        first_at=now,
        last_at=now,
    )


def _sweep(burst: _Burst, now: datetime) -> None:
    """Drop what is too old, and the oldest of what is too much; with a new row only."""
    RefusedSignIn.objects.filter(last_at__lt=now - KEPT).delete()
    over = burst.alike().order_by("-last_at", "key")[MOST_KEPT:]
    RefusedSignIn.objects.filter(key__in=list(over.values_list("key", flat=True))).delete()
