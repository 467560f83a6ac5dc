"""Where is somebody signed in?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from training.access.sessions import IDLE, mark_of
from training.models import Session, User


@dataclass(frozen=True, slots=True)
class SignedIn:
    """One session as its person sees it. `mark` names it without giving it away."""

    mark: str
    kind: str
    address: str
    began_at: datetime | None
    seen_at: datetime | None
    is_this: bool


def sessions_of(person: User, now: datetime, current: str = "") -> tuple[SignedIn, ...]:
    """The sessions that have not ended, last used first."""
    # Idle ones are over too, though their row stays until it is swept.
    rows = Session.objects.filter(
        person=person, expire_date__gt=now, seen_at__gt=now - IDLE
    ).order_by("-seen_at")
    return tuple(
        SignedIn(
            mark_of(row.pk), row.kind, row.address, row.began_at, row.seen_at, row.pk == current
        )
        for row in rows
    )
