"""Which sign-ins were refused? The owner's page."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from procedures.views.forms.search import page_of
from training.access import acts, doors
from training.actions.refusals import KEPT
from training.reports.refusals import refusals_page

A_PAGE = 40


@never_cache
@require_safe
def refusals(request: HttpRequest) -> HttpResponse:
    doors.must(doors.who(request), acts.SEE_REFUSALS)
    context = {"refusals": page_of(request, list(refusals_page()), A_PAGE), "days": KEPT.days}
    return render(request, "training/refusals.html", context)
