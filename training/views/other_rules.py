"""What would other numbers for a level have meant? The owner's page."""

from __future__ import annotations

from dataclasses import asdict

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from training.access import acts, doors
from training.models import shop_now
from training.reports.other_rules import other_rules_page, own_numbers
from training.standing.calendar import add_months
from training.standing.other_rules import OtherRules
from training.views.forms.asked import OtherRulesForm

BACK_MONTHS = 24


@require_safe
def other_rules(request: HttpRequest, level: str) -> HttpResponse:
    user = doors.who(request)
    doors.must(user, acts.KEEP_LEVELS)
    row = doors.level_named(level)
    today = user.workshop.today()
    own = own_numbers(row.name, today)
    if own is None:
        raise Http404
    first = add_months(today, -BACK_MONTHS)
    usual = asdict(own) | {"first": first, "until": today}
    form = OtherRulesForm(usual | request.GET.dict() if request.GET else None, initial=usual)
    # Until something else is asked, both sides show the same, and no difference is made up.
    other = own
    if form.is_valid():
        other = OtherRules(**{name: form.cleaned_data[name] for name in asdict(own)})
    page = other_rules_page(
        level=row.name,
        own=own,
        other=other,
        first=form.day("first") or first,
        until=form.day("until") or today,
        known_at=shop_now(),
    )
    return render(request, "training/other_rules.html", {"page": page, "form": form, "level": row})
