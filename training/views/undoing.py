"""What did somebody save last, so that it can be undone?

It is kept in the session: what was there before and after. Nobody else's work is undone, since the
action looks whether it is still as it was after the change.
"""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

KEPT = "undo"


def remember(request: HttpRequest, *, what: str, said: str, **kept: Any) -> None:
    """Keep what was saved just now, in place of what was kept before."""
    request.session[KEPT] = {"what": what, "said": said, **kept}


def offered(request: HttpRequest) -> dict[str, Any] | None:
    """What can be undone, for the page to offer it."""
    found: dict[str, Any] | None = request.session.get(KEPT)
    return found


def taken(request: HttpRequest) -> dict[str, Any] | None:
    """What is to be undone now; it is offered no more."""
    # Taken out before it is done: two presses must not undo twice.
    found: dict[str, Any] | None = request.session.pop(KEPT, None)
    return found
