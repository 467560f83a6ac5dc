"""What does a quiz draw, and when may one sit again? For those who write questions."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from procedures.records.above import shop_now
from procedures.records.refused import Refused
from quizzes.access import doors
from quizzes.actions.questions import set_quiz_rules
from quizzes.reports.quiz import quiz_page
from quizzes.views.forms.quizzes import RULES, QuizForm


@require_http_methods(["GET", "HEAD", "POST"])
def quiz(request: HttpRequest, name: str) -> HttpResponse:
    row = doors.quiz_to_see(request.user, name)
    page = quiz_page(row, today=doors.day_for(request.user, shop_now()))
    # The rules stand in a row of their own; a quiz without one answers with the usual ones.
    initial = {field: getattr(row.rules, field) for field in RULES}
    form = QuizForm(
        request.POST if request.method == "POST" else None, parts=page.parts, initial=initial
    )
    if form.is_valid():
        try:
            set_quiz_rules(
                quiz=row,
                by=request.user,
                parts=form.drawn_from(),
                **{field: form.cleaned_data[field] for field in RULES},
            )
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(
                request,
                gettext(
                    "The rules of this quiz are saved. They count for sittings that start from "
                    "now on."
                ),
            )
            return redirect("quizzes:quiz", name=name)
    return render(request, "quizzes/quiz.html", {"page": page, "form": form})
