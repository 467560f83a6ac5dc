"""What does somebody see when the site cannot do what was asked, and what becomes of what was
typed?

None of these pages asks the database. What was typed goes out again in hidden fields, so that it
can be sent once more without going back; passwords never do.
"""

from __future__ import annotations

import sys
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.core.exceptions import (
    DisallowedHost,
    RequestDataTooBig,
    TooManyFieldsSent,
    TooManyFilesSent,
)
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils.translation import gettext_lazy as _

from training.models import User
from training.records.troubles import AWAY, BUSY, DAMAGED, EMPTY, FULL, MOVED, READ_ONLY, trouble_of

if TYPE_CHECKING:
    from django_stubs_ext import StrPromise

    Words = str | StrPromise

SAFE = ("GET", "HEAD", "OPTIONS", "TRACE")
# parts of the names of fields that are never shown again
SECRET = ("password", "csrfmiddlewaretoken", "otp", "token")
UNAVAILABLE, NO_ROOM = 503, 507
MOST_READ_OUT = 64 * 1024 * 1024  # a photo of any camera; who sends more is no browser's form


@dataclass(frozen=True, slots=True)
class Told:
    """A trouble in plain words: the heading, what it is, and what the owner does about it."""

    title: Words
    what: Words
    owner: Words
    status: int = UNAVAILABLE


TROUBLES = {
    BUSY: Told(
        _("The records are busy"),
        _("Another program on this machine is using the records. Wait a minute, then try again."),
        _(
            "If this goes on, find the other program that has the database open: a copy, "
            "a virus scan or a command that is still running."
        ),
    ),
    FULL: Told(
        _("The disk is full"),
        _("The site cannot save anything until there is room again. Tell the owner now."),
        _(
            "Make room on the disk where the site keeps its records. The site then goes "
            "on by itself."
        ),
        NO_ROOM,
    ),
    READ_ONLY: Told(
        _("The site cannot write its records"),
        _("The records cannot be saved in their place at the moment. Tell the owner now."),
        _(
            "Check that the disk is connected, and that the account of the site may "
            "write to the folder of the records and to the files in it."
        ),
    ),
    MOVED: Told(
        _("The records are not in their place"),
        _(
            "The file of the records was deleted or replaced while the site was running. "
            "The site saves nothing until it is started again, so that nothing is lost. "
            "Tell the owner now."
        ),
        _(
            "Stop the site. Put the right file back, or restore the last backup into a new "
            "place (README, Backup). Then start the site."
        ),
    ),
    EMPTY: Told(
        _("There are no records here"),
        _("The database is empty, or belongs to another version of this site. Tell the owner now."),
        _(
            "After an update, run manage.py migrate. If the records are gone, stop the site "
            "and restore the last backup into a new place (README, Backup)."
        ),
    ),
    DAMAGED: Told(
        _("The records cannot be read"),
        _("The file of the records is damaged. Tell the owner now."),
        _(
            "Stop the site and keep the files as they are. Restore the last backup into a new "
            "place (README, Backup)."
        ),
    ),
    AWAY: Told(
        _("The database does not answer"),
        _("The site cannot reach its records at the moment. Wait a minute, then try again."),
        _("Check that the database server is running and that DATABASE_URL is right."),
    ),
}


def broken(request: HttpRequest) -> HttpResponse:
    """The answer to an error: what happened to database or disk in plain words, else that something
    broke.
    """
    told = TROUBLES.get(trouble_of(sys.exc_info()[1]))
    if told is None:
        # Without the request: context processors ask the database, which may be what broke.
        return HttpResponse(render_to_string("500.html"), status=500)
    context = {"told": told, "again": again_of(request)}
    answer = HttpResponse(render_to_string("trouble.html", context), status=told.status)
    answer["Retry-After"] = "60"
    return answer


def unreadable(request: HttpRequest, exception: Exception) -> HttpResponse:
    """The answer to what cannot be taken: too much at once, or a name of the site that it does not
    know.
    """
    if isinstance(exception, DisallowedHost):
        return HttpResponse(render_to_string("wrong_host.html"), status=400)
    is_large = isinstance(exception, (RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent))
    if is_large:
        _read_out(request)
    return HttpResponse(
        render_to_string("400.html", {"is_large": is_large}), status=413 if is_large else 400
    )


def _read_out(request: HttpRequest) -> None:
    """Takes in what is still being sent and drops it. A server that closes while a browser sends
    resets the connection, and the answer that says what to do is never shown (RFC 9112, 9.6).
    """
    left = MOST_READ_OUT
    with suppress(OSError):
        while left > 0 and (piece := request.read(min(left, 64 * 1024))):
            left -= len(piece)


def old_tab(request: HttpRequest, reason: str = "") -> HttpResponse:
    """The answer to a form whose mark against forgery is not the browser's: most often a page from
    before the last sign-in.

    What was typed may be sent again with a fresh mark, after a press on a page of ours that shows
    it and says in whose name. That is no way round the protection: a page of somebody else can make
    a browser send a form here, but not with a header that says that it came from here (Origin and
    Sec-Fetch-Site are out of a page's reach). A form without such a header is refused and nothing
    of it is shown; where it is shown, a person reads it and presses, and no frame can hold the page
    (X-Frame-Options). What is signed still asks for the password.
    """
    again = again_of(request) if _is_from_here(request) else None
    return render(
        request,
        "old_tab.html",
        {"again": again, "is_signed_in": isinstance(request.user, User)},
        status=403,
    )


def _is_from_here(request: HttpRequest) -> bool:
    # Browsers of today send it and no page can set it; older ones are told by Origin.
    said = request.headers.get("Sec-Fetch-Site")
    if said is not None:
        return said == "same-origin"
    return request.headers.get("Origin") == f"{request.scheme}://{request.get_host()}"


@dataclass(frozen=True, slots=True)
class Again:
    """What was sent, to be sent again: where to, which fields, the mark; and whether files or a
    password are missing.
    """

    path: str
    fields: tuple[tuple[str, str], ...]
    token: str
    lacks_files: bool
    lacks_password: bool


def again_of(request: HttpRequest) -> Again | None:
    """What was sent, to be sent once more; None where nothing was that can be kept."""
    if request.method in SAFE:
        return None
    try:
        sent, files = request.POST, request.FILES
    # Whatever broke may have broken the reading of the form too; an error here would hide it.
    except Exception:
        return None
    fields = tuple(
        (name, value) for name, values in sent.lists() for value in values if not _is_secret(name)
    )
    if not fields:
        return None
    lacks_password = any("password" in name.lower() for name in sent)
    return Again(request.get_full_path(), fields, get_token(request), bool(files), lacks_password)


def _is_secret(name: str) -> bool:
    return any(part in name.lower() for part in SECRET)
