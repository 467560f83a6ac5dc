"""Where does somebody take a sign-off along, and where does anybody check one?"""

from __future__ import annotations

import json

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from procedures.records.refused import Refused
from training.access import doors
from training.exchange.credential.checking import check, say_verdict, status_list
from training.exchange.credential.document import REVOCATION, SUSPENSION
from training.exchange.credential.issuing import issue, own_key
from training.exchange.credential.verdict import Verdict
from training.models import shop_now
from training.records.gathering import time_zone_of_shop
from training.views.forms.credentials import CheckForm


@never_cache
@require_safe
def take_along(request: HttpRequest, pk: int) -> HttpResponse:
    """The sign-off as a file, for the person it is about and for those who see everyone."""
    row = doors.sign_off_seen_by(doors.who(request), pk)
    try:
        made = issue(row, now=shop_now(), address=request.build_absolute_uri("/"))
    except Refused as refused:
        messages.error(request, refused.message)
        return redirect("training:certificate", pk=pk)
    name = f"sign-off-{row.level.name}-{row.happened_on:%Y-%m-%d}.json"
    return HttpResponse(
        json.dumps(made, ensure_ascii=False, indent=1),
        content_type="application/json",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


@login_not_required
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def check_one(request: HttpRequest) -> HttpResponse:
    """For anybody: what a file proves today."""
    form = CheckForm(request.POST or None, request.FILES or None)
    found = None
    if request.method == "POST" and form.is_valid():
        found = check(
            form.cleaned_data["file"].read(), now=timezone.now(), name=form.cleaned_data["name"]
        )
    context = {
        "form": form,
        "found": found,
        "said": _said(found) if found else "",
        "asked_name": form.cleaned_data.get("name", "") if found else "",
        "key": own_key(),
    }
    return render(request, "training/credential_check.html", context)


def _said(found: Verdict) -> str:
    # Nobody need be signed in here: until a day of the shop means until its midnight.
    with timezone.override(time_zone_of_shop()):
        return say_verdict(found)


@login_not_required
@require_safe
def fallen(request: HttpRequest, purpose: str) -> HttpResponse:
    """The signed list of sign-offs that were cancelled, or whose holder is stood down."""
    if purpose not in {REVOCATION, SUSPENSION}:
        raise Http404
    made = status_list(purpose, now=shop_now(), address=request.build_absolute_uri("/"))
    # Public: it names nobody, and a verifier that keeps it tells no server whom it looks up.
    return JsonResponse(made, headers={"Cache-Control": "public, max-age=300"})
