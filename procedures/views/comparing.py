"""How does somebody see what changed between two revisions, and decide what a change asks?"""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_POST, require_safe

from procedures.access import doors
from procedures.actions.comparing import ask_of_change
from procedures.models import Asks, Revision
from procedures.records.above import shop_now
from procedures.records.refused import Refused
from procedures.reports import comparing as reports
from procedures.writeup.letters import strip_hidden

LAYOUTS = ("beside", "run")


@require_safe
def compare(request: HttpRequest, name: str, number: int) -> HttpResponse:
    today = timezone.localdate(shop_now())
    new = doors.revision_for(request.user, name, number, today=today)
    others = reports.list_others(request.user, new, today=today)
    asked = request.GET.get("with", "")
    # isdigit() alone also takes “²”, which int() refuses.
    if asked.isascii() and asked.isdigit() and len(asked) < 9:
        old: Revision | None = doors.revision_for(request.user, name, int(asked), today=today)
    else:
        old = next(
            (row for row in others if row.number < new.number and row.released_on is not None), None
        )
    if old is not None and old.number > new.number:
        old, new = new, old
        others = reports.list_others(request.user, new, today=today)
    page = reports.compare_page(request.user, new, old, others)
    layout = request.GET.get("as", "")
    context = {"page": page, "layout": layout if layout in LAYOUTS else "", "choices": Asks.values}
    return render(request, "procedures/compare.html", context)


@require_POST
def ask(request: HttpRequest, name: str, number: int) -> HttpResponse:
    row = doors.revision_to_write(request.user, name, number, today=timezone.localdate(shop_now()))
    step, asks, reason, seen = (
        request.POST.get(key, "") for key in ("step", "asks", "reason", "change")
    )
    try:
        kept = ask_of_change(
            revision=row,
            step=step,
            asks=asks,
            reason=strip_hidden(reason),
            by=request.user,
            now=timezone.now(),
            seen=seen,
        )
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(
            request,
            gettext("Saved. The revision as a whole now asks: {asks}.").format(asks=kept.asks),
        )
    return redirect(
        f"{reverse('procedures:compare', args=[name, number])}#change{f'-{step}' if step else ''}"
    )
