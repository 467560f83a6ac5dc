"""Where are the sessions kept, so that a person can see and end them? The site's session engine.

A session ends after twelve hours without use, so that whoever is at the bench every day signs in
once in the morning at most, and a tablet left lying overnight is signed out; thirty days after the
sign-in at the latest; with the account, and with the password. Signing asks the password anyway.
Beside what Django keeps, a row says whose it is, in which browser, and when it was last used.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any, cast

from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends.base import UpdateError
from django.contrib.sessions.backends.db import SessionStore as DatabaseStore
from django.db.models import Q, QuerySet
from django.http import HttpRequest
from django.utils import timezone
from django.utils.crypto import salted_hmac

from procedures.records.statements import as_object, columns_of, prepare_once
from training.access.where import device_of, network_of
from training.models import KnownDevice, Session

# in the session: the known device, and when, in what and from where it was begun
DEVICE, BEGUN = ("device", "begun")
SET_UP = "set up a second factor"  # in the session of somebody who must do that first
# in the session: when the person had signed in last before; empty for the first time
SIGNED_IN_BEFORE = "signed in before"
SEEN_EVERY = timedelta(minutes=15)  # finer would write at each page
IDLE = timedelta(hours=12)

__all__ = ["SessionStore", "UpdateError", "begin", "mark_of"]


class SessionStore(DatabaseStore):
    """Django's sessions in the database, with the columns of `Session`."""

    row: Session | None = None

    @classmethod
    def get_model_class(cls) -> type[Session]:
        return Session

    def load(self) -> dict[str, Any]:
        rows = _ask_session(self.session_key, timezone.now())
        self.row = next((as_object(Session, row) for row in rows), None)
        # Looked at when it is loaded and not by a cleaner:
        # an idle session must not open one more page.
        if self.row is None or is_idle(self.row, timezone.now()):
            self.row = self._session_key = None
        return self.decode(self.row.session_data) if self.row else {}

    def create_model_instance(self, data: dict[str, Any]) -> Session:
        row = cast("Session", super().create_model_instance(data))
        begun = data.get(BEGUN, {})
        row.person_id = int(data[SESSION_KEY]) if SESSION_KEY in data else None
        row.device_id, row.kind, row.address = (
            data.get(DEVICE),
            begun.get("in", ""),
            begun.get("from", ""),
        )
        row.began_at = datetime.fromisoformat(begun["at"]) if begun else None
        row.seen_at = timezone.now()
        return row


@prepare_once
def _ask_session(key: str, now: datetime) -> QuerySet[Any]:
    rows = Session.objects.filter(session_key=key, expire_date__gt=now)
    return rows.values_list(*columns_of(Session))


def is_idle(row: Session, now: datetime) -> bool:
    """Whether nobody has used it for so long that it is over."""
    # None in rows from before the column: those end by their expiry.
    return row.seen_at is not None and now - row.seen_at >= IDLE


def begin(request: HttpRequest, device: KnownDevice, now: datetime) -> None:
    """Writes into a session that has just been signed in to where it was begun, and when it ends at
    the latest.
    """
    request.session[DEVICE] = device.pk
    request.session[BEGUN] = {
        "at": now.isoformat(),
        "in": device_of(request),
        "from": network_of(request),
    }
    # A fixed instant: counted from the last use, a tablet in daily use would never end.
    request.session.set_expiry(now + timedelta(seconds=settings.SESSION_COOKIE_AGE))
    # Swept at each sign-in, so that no timer is needed for it.
    Session.objects.filter(Q(expire_date__lt=now) | Q(seen_at__lte=now - IDLE)).delete()


def mark_of(session_key: str) -> str:
    """What a page calls a session; the key itself would let in whoever reads it."""
    # 80 bits are more than enough to tell a person's own few sessions apart.
    return salted_hmac("training.sessions", session_key, algorithm="sha256").hexdigest()[:20]
