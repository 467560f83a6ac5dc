"""Who may do which service, and why not the others?"""

from __future__ import annotations

from datetime import timedelta

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from quizzes.records.retry import hindrance
from training.access import acts, doors
from training.models import shop_now
from training.reports import who_may as report
from training.reports.certificate import certificates_of
from training.reports.levels import level_titles
from training.reports.observations import observations_in_short
from training.reports.person import one_page
from training.reports.who_may_table import table_rows
from training.views.forms.asked import QuestionForm, WhoMayForm
from training.views.forms.forks import options_of_shop


@require_safe
def who_may(request: HttpRequest) -> HttpResponse:
    user = doors.who(request)
    doors.must(user, acts.SEE_EVERYONE)
    form = WhoMayForm(
        request.GET or None,
        today=user.workshop.today(),
        variants=options_of_shop(),
        levels=level_titles(),
    )
    asked = form.question()
    grid = report.grid(
        on=asked.on,
        known_at=asked.known_at,
        variant=asked.variant,
        workshop=asked.workshop,
        level=asked.level,
        page=request.GET.get("page", "1"),
    )
    said = request.GET.copy()
    # The links keep the question but not the page: another question has other pages.
    said.pop("page", None)
    page = {
        "form": form,
        "grid": grid,
        "asked": asked,
        "query": said.urlencode(),
        "body": "wall-a4",  # printed lying on its side
        "day_before": asked.on - timedelta(days=1),
        "day_after": asked.on + timedelta(days=1),
        "rows": table_rows(grid, asked.query()),
    }
    return render(request, "training/who_may.html", page)


@require_safe
def one(request: HttpRequest, level: str, login: str) -> HttpResponse:
    user = doors.who(request)
    person = doors.person_seen_by(user, login)
    row = doors.level_named(level)
    form = QuestionForm(
        request.GET or None, today=user.workshop.today(), variants=options_of_shop(level)
    )
    asked = form.question()
    page = one_page(
        user=user,
        person=person,
        level=row,
        on=asked.on,
        known_at=asked.known_at,
        variant=asked.variant,
        today=user.workshop.today(),
        now=shop_now(),
    )
    # A level without rules asks nothing yet, so there is no answer to show.
    if page is None:
        raise Http404
    before = hindrance(row.quiz, person, user.workshop.today()) if row.quiz else None
    may_clear = acts.CLEAR.is_open_to(user) and user != person
    context = {
        "form": form,
        "page": page,
        "asked": asked,
        "hindrance": before,
        "may_clear": may_clear,
        "seen": observations_in_short(person, row, asked.known_at),
        "signed": certificates_of(person, row),
    }
    return render(request, "training/one.html", context)
