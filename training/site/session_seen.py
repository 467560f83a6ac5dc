"""When was each session last used, to a quarter of an hour?"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress

from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from training.access.sessions import SEEN_EVERY
from training.models import Session


class SeenLately:
    """Notes it before the page is made, at most once in a quarter of an hour; where it cannot be
    noted, nothing is lost.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        row, now = getattr(request.session, "row", None), timezone.now()
        # Not at each request: a session saved every time makes a write of each read.
        if row and row.person_id and (row.seen_at is None or now - row.seen_at >= SEEN_EVERY):
            # A full disk or a lock: the page itself says so where it matters.
            with suppress(DatabaseError):
                Session.objects.filter(pk=row.pk).update(seen_at=now)
                row.seen_at = now  # what the page says of the session's end counts from here
        return self.get_response(request)
