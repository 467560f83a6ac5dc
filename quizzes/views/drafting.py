"""What does each page on drafts of questions answer, for those who write them?"""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_POST, require_safe

from procedures.records.refused import Refused
from quizzes.access import doors
from quizzes.actions.drafts import accept_draft, drop_draft
from quizzes.reports.drafts import drafts_page


@require_safe
def drafts(request: HttpRequest, writeup: str) -> HttpResponse:
    row = doors.writeup_to_ask_about(request.user, writeup)
    return render(request, "quizzes/drafts.html", {"page": drafts_page(row)})


@require_POST
def decide(request: HttpRequest, writeup: str) -> HttpResponse:
    """Accepts or drops one draft, and comes back to where it stood."""
    row = doors.writeup_to_ask_about(request.user, writeup)
    name, now = request.POST.get("name", ""), timezone.now()
    try:
        if request.POST.get("do") == "accept":
            accept_draft(writeup=row, name=name, by=request.user, now=now)
            messages.success(
                request,
                gettext("The draft is a question now. It goes live when someone else approves it."),
            )
        else:
            drop_draft(writeup=row, name=name, by=request.user, now=now)
            messages.success(request, gettext("The draft is dropped and will not come again."))
    except Refused as refused:
        messages.error(request, " ".join((refused.message, *refused.details)))
    return redirect("quizzes:drafts", writeup=writeup)
