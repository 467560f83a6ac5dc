"""How has a standing gone over the days, and what has changed since one of them?"""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from training.access import acts, doors
from training.models import shop_now
from training.reports.front import has_photo
from training.reports.line import line_page
from training.reports.standing_changed import changed_page
from training.standing.calendar import add_months
from training.views.forms.asked import ChangedForm, DaysForm


@require_safe
def line(request: HttpRequest, login: str) -> HttpResponse:
    user = doors.who(request)
    person = doors.person_seen_by(user, login)
    form = DaysForm(request.GET or None)
    page = line_page(
        person=person,
        today=user.workshop.today(),
        known_at=shop_now(),
        first=form.day("first"),
        until=form.day("until"),
    )
    context = {"page": page, "form": form, "has_photo": has_photo(person)}
    return render(request, "training/line.html", context)


@require_safe
def changed(request: HttpRequest) -> HttpResponse:
    user = doors.who(request)
    doors.must(user, acts.SEE_EVERYONE)
    today = user.workshop.today()
    usual = {"since": add_months(today, -1), "on": today}
    # What is left out of the address is filled in, so that a link may name one day only.
    form = ChangedForm(usual | request.GET.dict() if request.GET else None, initial=usual)
    page = changed_page(
        since=form.day("since") or add_months(today, -1),
        on=form.day("on") or today,
        known_at=shop_now(),
    )
    return render(request, "training/changed.html", {"page": page, "form": form})
