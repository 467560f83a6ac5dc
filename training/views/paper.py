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
from training.access import doors
from training.models import shop_now
from training.records.keeping import head
from training.reports import certificate as certificates
from training.reports.bench import bench_page
from training.reports.cards import code_of
from training.reports.who_may import grid
from training.reports.who_may_table import wall_rows

PAPERS = ("A3", "A4")
MOST_PEOPLE = 5_000


@require_safe
def wall(request: HttpRequest) -> HttpResponse:
    """Who may do what on this day, for everybody of one workshop, or of all of them."""
    user = doors.who(request)
    doors.must(user, "training.see_everyone")
    paper = request.GET.get("paper", "")
    paper = paper if paper in PAPERS else PAPERS[0]
    now = shop_now()
    today = user.workshop.day_of(now)
    # A wall has one page for everybody, so nothing is left for a second one.
    found = grid(
        on=today, known_at=now, variant={}, workshop=user.workshop.name, people_a_page=MOST_PEOPLE
    )
    number, digest = head()
    context = {
        "grid": found,
        "rows": wall_rows(found),
        "workshop": user.workshop,
        "now": now,
        "today": today,
        "number": str(number),
        "digest": digest,
        "columns": str(len(found.levels) + 1),
        "papers": PAPERS,
        "paper": paper,
        "body": "wall" if paper == "A3" else "wall-a4",
    }
    return render(request, "training/wall.html", context)


@require_safe
def certificate(request: HttpRequest, pk: int) -> HttpResponse:
    user = doors.who(request)
    row, today = doors.sign_off_seen_by(user, pk), user.workshop.today()
    page = certificates.certificate(row, today, shop_now())
    return render(
        request, "training/certificate.html", {"page": page, "today": today, "head": head()[1]}
    )


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
