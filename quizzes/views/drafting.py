"""What does each page on drafts of questions answer, for those who write them?"""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_POST, require_safe

from procedures.records.refused import Refused
from procedures.views.forms.search import page_of
from quizzes.access import doors
from quizzes.actions.drafts import accept_draft, accept_drafts, drop_draft
from quizzes.reports.drafts import drafts_page
from quizzes.views.forms.lists import DraftSearch

DRAFTS_A_PAGE = 8


@require_safe
def drafts(request: HttpRequest, writeup: str) -> HttpResponse:
    row = doors.writeup_to_ask_about(request.user, writeup)
    page, search = drafts_page(row), DraftSearch(request.GET or None)
    kind = search.said().get("kind", "")
    rows = [
        one
        for one in page.drafts
        if kind in {"", one.kind} and search.has_words(one.stem, one.step, *one.right)
    ]
    context = {"page": page, "search": search, "drafts": page_of(request, rows, DRAFTS_A_PAGE)}
    return render(request, "quizzes/drafts.html", context)


@require_POST
def decide(request: HttpRequest, writeup: str) -> HttpResponse:
    """Accepts or drops one draft, or accepts several, and comes back to where it stood."""
    row = doors.writeup_to_ask_about(request.user, writeup)
    name, now = request.POST.get("name", ""), timezone.now()
    try:
        if request.POST.get("do") == "several":
            names = request.POST.getlist("ticked")
            taken = accept_drafts(writeup=row, names=names, by=request.user, now=now)
            messages.success(request, _say_taken(len(taken)))
        elif request.POST.get("do") == "accept":
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
    back = request.POST.get("back", "")
    # It becomes part of a header: no line may end in it.
    query = f"?{back}" if back.isascii() and "\n" not in back and back else ""
    return redirect(reverse("quizzes:drafts", args=[writeup]) + query)


def _say_taken(number: int) -> str:
    return ngettext(
        "{number} draft is a question now. It goes live when someone else approves it.",
        "{number} drafts are questions now. Each goes live when someone else approves it.",
        number,
    ).format(number=number)
