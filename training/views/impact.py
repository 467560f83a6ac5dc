"""What would the release of a revision mean for the people of the shop?"""

from __future__ import annotations

from datetime import date, timedelta

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_safe

from procedures.access.doors import revision_to_write
from quizzes.access.closing import sitting_in_the_way
from training.access import doors
from training.models import shop_now
from training.reports.impact import HORIZON, impact_page


@require_safe
def impact(request: HttpRequest, name: str, number: int) -> HttpResponse:
    user = doors.who(request)
    today = user.workshop.today()
    revision = revision_to_write(user, name, number, today=today)
    if revision.released_on is not None:
        raise Http404
    on, problem = _day(request.GET.get("on", ""), today)
    page = impact_page(revision, on=on, now=shop_now(), seek=request.GET.get("seek") == "yes")
    # The page lists questions of the write-up, which an open sitting may be asking.
    closed = sitting_in_the_way(user.pk, [revision.writeup_id])
    context = {
        "page": page,
        "open_sitting": closed,
        "first": today,
        "last": today + timedelta(days=HORIZON),
        "problem": problem,
    }
    return render(request, "training/impact.html", context)


def _day(asked: str, today: date) -> tuple[date, str]:
    """The day asked for, today without one; and what is wrong with it."""
    if not asked:
        return today, ""
    try:
        on = date.fromisoformat(asked)
    except ValueError:
        return today, gettext(
            "This is not a day. Write it like 2026-11-25. The page shows a release today."
        )
    if not today <= on <= today + timedelta(days=HORIZON):
        return (
            today,
            ngettext(
                "Choose today or tomorrow. The page shows a release today.",
                "Choose a day from today on, at most {days} days ahead. The page shows a release "
                "today.",
                HORIZON,
            ).format(days=HORIZON),
        )
    return on, ""
