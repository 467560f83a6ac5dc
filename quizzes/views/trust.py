"""How far can a quiz be trusted: the chances to pass it, and what its sittings say about its
questions?
"""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from procedures.records.above import shop_now
from quizzes.access import doors
from quizzes.marking.drawn import TooManyWays
from quizzes.records.wording.say import say
from quizzes.reports.odds import guess_chances, quiz_odds
from quizzes.reports.statistics import quiz_figures
from quizzes.reports.statistics_page import statistics_context
from quizzes.reports.trust_pages import length_context, odds_context
from quizzes.views.forms.trust import LengthForm, PassMarkForm


@require_safe
def odds(request: HttpRequest, quiz: str) -> HttpResponse:
    row = doors.quiz_to_see(request.user, quiz)
    form = PassMarkForm(request.GET if "percent" in request.GET else None)
    percent = form.cleaned_data["percent"] if form.is_bound and form.is_valid() else None
    try:
        found = quiz_odds(row, today=doors.day_for(request.user, shop_now()), percent=percent)
    # Told instead of worked out: an estimate would not be the exact chance that the page promises.
    except TooManyWays as many:
        return render(
            request, "quizzes/odds.html", {"quiz": row, "odds": None, "why": say(many.remark)}
        )
    if found is not None and not form.is_bound:
        form = PassMarkForm(initial={"percent": found.percent})
    length = LengthForm(request.GET if "weak" in request.GET else None)
    context = (
        {"quiz": row, "form": form, "length_form": length}
        | length_context(length.asked())
        | (odds_context(found) if found else {"odds": None, "why": ""})
    )
    return render(request, "quizzes/odds.html", context)


@require_safe
def statistics(request: HttpRequest, quiz: str) -> HttpResponse:
    row = doors.figures_to_see(request.user, quiz)
    guesses = guess_chances(row, doors.day_for(request.user, shop_now()))
    context = statistics_context(quiz_figures(row), guesses)
    return render(request, "quizzes/statistics.html", context)
