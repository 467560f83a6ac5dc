"""Where am I signed in, and how do I end it? The owner asks it of everybody."""

from __future__ import annotations

from datetime import datetime

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from training.access import acts, doors
from training.access.sessions import SIGNED_IN_BEFORE
from training.actions.sessions import end_sessions
from training.models import User
from training.reports.refusals import tell_own_refusals
from training.reports.sessions import sessions_of

METHODS = ["GET", "HEAD", "POST"]


@never_cache
@require_http_methods(METHODS)
def own(request: HttpRequest) -> HttpResponse:
    user = doors.who(request)
    return _page(request, user, user)


@never_cache
@require_http_methods(METHODS)
def of_person(request: HttpRequest, login: str) -> HttpResponse:
    user = doors.who(request)
    return _page(request, user, doors.person_for(user, login, acts.KEEP_PEOPLE))


def _page(request: HttpRequest, user: User, person: User) -> HttpResponse:
    # By its mark and not its key: the key in a page would be a way in.
    current = request.session.session_key or ""
    if request.method == "POST":
        ended = end_sessions(
            person=person, by=user, mark=request.POST.get("end", ""), current=current
        )
        messages.success(
            request,
            ngettext("{n} session is ended.", "{n} sessions are ended.", ended).format(n=ended),
        )
        return redirect(request.path)
    context = {
        "person": person,
        "sessions": sessions_of(person, timezone.now(), current),
        "is_own": person == user,
        "refused": _refused_of(request, user) if person == user else "",
    }
    return render(request, "training/sessions.html", context)


def _refused_of(request: HttpRequest, user: User) -> str:
    # A session from before this was kept says nothing of it, and all refusals are told.
    before = request.session.get(SIGNED_IN_BEFORE)
    return tell_own_refusals(user, datetime.fromisoformat(before) if before else None)
