"""What becomes of what somebody typed whose session ran out before it was sent?

It goes out with the sign-in page, sealed, and comes back with the password; then it is shown, and
sent again by a press in the name of whoever signed in. So the site keeps nothing of somebody who is
not signed in. Passwords and files are never kept.
"""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import get_token
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from training.access import doors
from training.views.forms.sign_in import SignInForm
from training.views.trouble import Again, again_of

KEPT = "typed"  # in the session, and the name of the field
LONGEST = 500_000  # letters; more is no form of ours
LASTS = 24 * 60 * 60  # seconds
SALT = "training.typed"


def sealed(request: HttpRequest) -> str:
    """What was typed, so that only this site can have written it; empty where there is nothing."""
    again = again_of(request)
    if again is None:
        return ""
    said = asdict(again)
    said.pop("token")  # the mark is made anew
    # Sealed, or any site could put words into a form that comes back here filled in.
    text = signing.dumps(said, salt=SALT, compress=True)
    return text if len(text) <= LONGEST else ""


def opened(text: str) -> dict[str, Any] | None:
    """What was sealed; None for anything else, and for what is too old."""
    if not text:
        return None
    try:
        said: dict[str, Any] = signing.loads(text, salt=SALT, max_age=LASTS)
    except signing.BadSignature:
        return None
    return said


def ask_to_sign_in(request: HttpRequest) -> HttpResponse | None:
    """The sign-in page that carries what was typed; None where nothing was, and for programs."""
    is_page = "text/html" in request.headers.get("Accept", "text/html")
    text = sealed(request) if is_page and "HX-Request" not in request.headers else ""
    if not text:
        return None
    # To the first page after all: the address of a form that was sent may answer to POST alone.
    context = {"form": SignInForm(request), "next": "/", KEPT: text}
    return render(request, "registration/login.html", context, status=401)


@never_cache
@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """What was typed before the sign-in, to be sent again."""
    doors.who(request)
    said = request.session.get(KEPT)
    if not said:
        return redirect("training:home")
    again = Again(
        path=said["path"],
        fields=tuple((name, value) for name, value in said["fields"]),
        token=get_token(request),
        lacks_files=said["lacks_files"],
        lacks_password=said["lacks_password"],
    )
    return render(request, "training/typed.html", {"again": again})
