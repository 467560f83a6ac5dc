"""How does somebody refresh what is about to be forgotten, and what does a senior see of it?"""

from __future__ import annotations

from datetime import date

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from procedures.records.above import shop_now
from procedures.records.refused import Refused
from quizzes.access import acts, doors
from quizzes.actions.refreshers import answer_refresher, start_round
from quizzes.actions.sittings import NoUnit
from quizzes.reports import refreshers as reports
from quizzes.reports.recall import recall_page
from quizzes.views.forms.questions import ArrangedForm, answer_form
from quizzes.views.sittings import rows_to_arrange, with_pictures


def _today(request: HttpRequest) -> date:
    return doors.day_for(request.user, shop_now())


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def start(request: HttpRequest) -> HttpResponse:
    acts.SIT.must_be_open_to(request.user)
    if request.method == "POST":
        try:
            kept = start_round(person=request.user, now=timezone.now(), today=_today(request))
        except Refused as refused:
            messages.error(request, refused.message)
            return redirect("quizzes:refresher")
        return redirect(
            "quizzes:refresher-question", pk=kept.pk, place=reports.next_place(kept) or 1
        )
    return render(
        request,
        "quizzes/refresher.html",
        {"page": reports.start_page(request.user.pk, _today(request))},
    )


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def question(request: HttpRequest, pk: int, place: int) -> HttpResponse:
    """One question; once it is answered, what it was worth and why."""
    kept = doors.round_of(request.user, pk)
    answer, page = reports.question_of(kept, place)
    # Once answered it is only told: the browser's way back must not ask it again.
    if answer.given is not None:
        context = {
            "page": page,
            "answer": reports.tell_result(answer),
            "next": reports.next_place(kept),
            "is_own": True,
        }
        return render(request, "quizzes/refresher_told.html", context)
    form = answer_form(
        page,
        with_pictures(page),
        given=None,
        data=request.POST if request.method == "POST" else None,
    )
    if form.is_valid():
        if isinstance(form, ArrangedForm) and "move" in request.POST:
            here = reverse(
                "quizzes:refresher-question",
                args=[pk, place],
                query={"to": form.moved(request.POST["move"])},
            )
            return redirect(f"{here}#order")
        try:
            answer_refresher(
                kept=kept, place=place, given=form.given, now=timezone.now(), today=_today(request)
            )
        except NoUnit as bare:
            form.add_error("answer", bare.message)
        except Refused as refused:
            messages.error(request, refused.message)
        if form.is_valid():
            return redirect("quizzes:refresher-question", pk=pk, place=place)
    rows = rows_to_arrange(request, page)
    return render(
        request, "quizzes/refresher_question.html", {"page": page, "form": form, "rows": rows}
    )


@never_cache
@require_safe
def done(request: HttpRequest, pk: int) -> HttpResponse:
    page = reports.done_page(doors.round_of(request.user, pk), _today(request))
    return render(request, "quizzes/refresher_done.html", {"page": page})


@require_safe
def recall(request: HttpRequest, quiz: str) -> HttpResponse:
    row = doors.quiz_to_see(request.user, quiz)
    return render(request, "quizzes/recall.html", {"page": recall_page(row, _today(request))})
