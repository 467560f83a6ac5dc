"""What is there to print: the sheet for the wall, a certificate, a write-up to fill in at the
bench?
"""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from procedures.models import Revision
from training.access import acts, doors
from training.models import shop_now
from training.records.keeping import head
from training.reports import certificate as certificates
from training.reports.bench import bench_page
from training.reports.cards import code_of
from training.reports.codes import bench_codes, reaches_only_here
from training.reports.wall import wall_sheet
from training.views.forms.wall import WallForm


@require_safe
def wall(request: HttpRequest) -> HttpResponse:
    """Who may do what today or in the next seven days, for one workshop or for all of them."""
    user = doors.who(request)
    doors.must(user, acts.SEE_EVERYONE)
    form = WallForm(request.GET, own=user.workshop.name)
    asked, now = form.asked(), shop_now()
    sheet = wall_sheet(
        on=user.workshop.day_of(now),
        known_at=now,
        workshop=asked["workshop"],
        is_week=asked["days"] == "7",
        paper=asked["paper"],
    )
    number, digest = head()
    context = {
        "sheet": sheet,
        "form": form,
        "place": asked["workshop"] or gettext("all workshops"),
        "now": now,
        "number": str(number),
        "digest": digest,
        "columns": str(len(sheet.grid.levels) + 1),
        "body": "wall" if asked["paper"] == "A3" else "wall-a4",
    }
    return render(request, "training/wall.html", context)


@require_safe
def certificate(request: HttpRequest, pk: int) -> HttpResponse:
    user = doors.who(request)
    row, today = doors.sign_off_seen_by(user, pk), user.workshop.today()
    page = certificates.certificate(row, today, shop_now())
    context = {"page": page, "today": today, "head": head()[1], "body": "own-sheet"}
    return render(request, "training/certificate.html", context)


@require_safe
def for_bench(request: HttpRequest, name: str) -> HttpResponse:
    """The released revision for the fork that was chosen last, with room for ticks, values and
    names.
    """
    user = doors.who(request)
    rows = Revision.objects.released(user.workshop.today()).select_related("writeup")
    revision = rows.filter(writeup__name=name).order_by("number").last()
    if revision is None:
        raise Http404
    page = bench_page(user, revision)
    if page.study.is_asking:
        messages.info(
            request, gettext("First choose which fork or shock it is, then print its steps.")
        )
        return redirect("training:study", name=name)
    address = request.build_absolute_uri(reverse("training:study", args=[name]))
    code = code_of(address, gettext("The current revision"))
    context = {
        "page": page,
        "revision": revision,
        "code": code,
        "address": address,
        "today": user.workshop.today(),
    }
    return render(request, "training/bench_print.html", context)


@require_safe
def codes(request: HttpRequest) -> HttpResponse:
    """Labels for the bench, a code for each write-up."""
    user = doors.who(request)
    today = user.workshop.today()
    context = {
        "codes": bench_codes(today, request.build_absolute_uri),
        "only_here": reaches_only_here(request.get_host()),
        "today": today,
        "body": "own-sheet cut-out",
    }
    return render(request, "training/codes.html", context)
