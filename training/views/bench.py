"""How is a write-up worked through at the bench, with or without network, and its job written
down?
"""

from __future__ import annotations

import json
import uuid
from pathlib import Path

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from procedures.models import Revision
from procedures.records import texts
from procedures.records.refused import Refused
from training.access import doors
from training.actions.benchwork import keep_place, record_bench_job
from training.models import User
from training.records.benchwork import must_be_looked_at
from training.reports.bench import BenchPage, bench_page
from training.reports.watchers import watchers_of
from training.views.forms.bench import BenchJobForm, given_in, known_fork
from training.views.forms.jobs import tool_marks
from training.views.jobs import said_of_job

WORKER = Path(__file__).parents[1] / "site" / "static" / "benchright" / "bench-worker.js"


def _released(user: User, name: str, number: int | None = None) -> Revision:
    rows = (
        Revision.objects.released(user.workshop.today())
        .filter(writeup__name=name)
        .select_related("writeup")
    )
    found = (rows if number is None else rows.filter(number=number)).order_by("number").last()
    if found is None:
        raise Http404
    return found


def _form(user: User, data: object = None, **initial: object) -> BenchJobForm:
    watchers = watchers_of(user, user.workshop.today())
    return BenchJobForm(data, watchers=watchers, variants=(), initial=initial)


def _show(
    request: HttpRequest, revision: Revision, page: BenchPage, form: BenchJobForm
) -> HttpResponse:
    stop = page.stopped_by if "stopped" in request.GET else None
    context = {
        "page": page,
        "study": page.study,
        "revision": revision,
        "form": form,
        "given": json.dumps(page.given),
    }
    context |= {
        "fork": json.dumps(page.fork),
        "at": str(page.at),
        "stop_says": stop.says if stop else "",
        "count": str(page.count),
        "last": page.count + 1,
        "hold_says": must_be_looked_at(),
    }
    return render(request, "training/bench.html", context)


@never_cache
@require_safe
def bench(request: HttpRequest, name: str) -> HttpResponse:
    user = doors.who(request)
    revision = _released(user, name)
    page = bench_page(user, revision, step=request.GET.get("step", ""))
    form = _form(
        user,
        on=user.workshop.today(),
        mark=str(uuid.uuid4()),
        revision=revision.number,
        fork=page.fork,
        given=page.given,
    )
    return _show(request, revision, page, form)


@require_POST
def keep(request: HttpRequest, name: str) -> HttpResponse:
    """Keep the place and what was typed; a plain form is led on to the next screen."""
    user = doors.who(request)
    number = request.POST.get("revision", "")
    revision = _released(
        user, name, int(number) if number.isascii() and number.isdigit() and len(number) < 6 else 0
    )
    given, fork = (
        given_in(request.POST, revision),
        known_fork(request.POST.get("fork", ""), revision),
    )
    step = request.POST.get("step", "")
    at = int(step) if step.isascii() and step.isdigit() and len(step) < 6 else 1
    # How far it may go is decided where the page is made: an open hold point stops it there.
    wanted = max(1, at + {"back": -1, "next": 1}.get(request.POST.get("go", ""), 0))
    keep_place(
        person=user, revision=revision, fork=fork, step=wanted, given=given, now=timezone.now()
    )
    if request.headers.get("Accept") == "application/json":
        return JsonResponse({"kept": True})
    page = bench_page(user, revision)
    stop = page.stopped_by if page.at < wanted else None
    address = reverse("training:bench", args=[name], query={"stopped": "yes"} if stop else None)
    return redirect(f"{address}#{stop.field if stop else 'bench-steps'}")


@require_POST
def job(request: HttpRequest, name: str) -> HttpResponse:
    """Write the job down; sent again with the same mark it is the same job."""
    user, as_json = doors.who(request), request.headers.get("Accept") == "application/json"
    form = _form(user, request.POST)
    problem = ""
    # A job kept without network is sent later, perhaps when another has signed in on the tablet.
    if as_json and request.POST.get("login") != user.login:
        problem = _(
            "Somebody else logged this job on this device. It is sent when that person signs in."
        )
    elif form.is_valid():
        given = form.cleaned_data
        revision = _released(user, name, given["revision"])
        writeup = texts.parse_once(revision.text)
        try:
            done = record_bench_job(
                mark=given["mark"],
                person=user,
                level=doors.level_named(writeup.level),
                revision=revision,
                on=given["on"],
                watched_by=given["watched_by"],
                variant=known_fork(given["fork"], revision),
                given=given_in(given["given"] or {}, revision),
                note=given["note"],
                tools=tool_marks(given["tools"]),
            )
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            if as_json:
                return JsonResponse({"done": done.told(said_of_job(done.row, user))})
            messages.success(request, done.told(said_of_job(done.row, user)))
            return redirect("training:one", level=writeup.level, login=user.login)
    if as_json:
        told = problem or " ".join(
            str(error) for errors in form.errors.values() for error in errors
        )
        return JsonResponse({"refused": told, "not_mine": bool(problem)})
    # The newest one: what was typed stays in the form, whichever revision it was worked by.
    current = _released(user, name)
    return _show(request, current, bench_page(user, current, step="99999"), form)


@never_cache
@require_safe
def current(request: HttpRequest, name: str) -> JsonResponse:
    """Which revision is current, for a page that may be a kept copy; with a fresh token to send
    with.
    """
    user = doors.who(request)
    revision = _released(user, name)
    told = {"revision": revision.number, "token": get_token(request), "login": user.login}
    return JsonResponse(told | {"page": reverse("training:bench", args=[name])})


@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The script that keeps bench pages for hours without network; it may serve the whole site,
    since signing out and static files lie outside its folder.
    """
    answer = HttpResponse(WORKER.read_bytes(), content_type="text/javascript")
    answer["Service-Worker-Allowed"] = "/"
    # An old worker would go on keeping old pages for as long as it is kept itself.
    answer["Cache-Control"] = "no-cache"
    return answer
