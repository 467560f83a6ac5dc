"""How does somebody study a write-up, say so, and begin its quiz?"""

from __future__ import annotations

from datetime import date

from django.contrib import messages
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_POST, require_safe

from procedures.models import Revision
from procedures.records.refused import Refused
from procedures.records.statements import prepare_objects
from procedures.reports.finding import find_neighbours
from procedures.reports.writeups import study_steps
from quizzes.actions.sittings import start_sitting
from training.access import doors
from training.actions.entries import record_reading
from training.actions.levels import keep_quiz_in_step
from training.actions.once import new_mark, write_once
from training.models import Reading, User, shop_now
from training.records.gathering import gather
from training.reports.at_bench import rules_in_force
from training.reports.writeup_changed import changes_since_read


def _current(user: User, name: str) -> Revision:
    rows = _ask_current(user.workshop.today(), name)
    if not rows:
        raise Http404
    return rows[0]


@prepare_objects
def _ask_current(on: date, writeup_name: str) -> QuerySet[Revision]:
    rows = Revision.objects.released(on).select_related("writeup")
    return rows.filter(writeup__name=writeup_name).order_by("-number")[:1]


@prepare_objects
def _ask_read(person: int, writeup: int, number: int) -> QuerySet[Reading]:
    read = Reading.objects.filter(person=person, revision__writeup=writeup)
    return read.filter(revision__number__gte=number).order_by("pk")[:1]


@require_safe
def study(request: HttpRequest, name: str) -> HttpResponse:
    user = doors.who(request)
    revision = _current(user, name)
    chosen = request.GET.dict()
    page = study_steps(user, revision, chosen, show_all=chosen.get("_all") == "yes")
    read = _ask_read(user.pk, revision.writeup_id, revision.number)
    since = changes_since_read(user, revision)
    context = {
        "study": page,
        "since": since,
        "changed": since.steps if since else frozenset(),
        "revision": revision,
        "reading": read[0] if read else None,
        "mark": new_mark(),
        "around": find_neighbours(name, page.follows, today=user.workshop.today()),
    }
    return render(request, "training/study.html", context)


@require_POST
def read(request: HttpRequest, name: str) -> HttpResponse:
    user = doors.who(request)
    revision = _current(user, name)
    # By what was on the screen: a release in between must not count as read.
    if request.POST.get("revision") != str(revision.number):
        messages.error(
            request,
            gettext(
                "A newer revision was released while you were reading. Study this one, then "
                "press the button below."
            ),
        )
        return redirect("training:study", name=name)
    try:
        mark = request.POST.get("mark", "")
        done = write_once(
            Reading,
            person=user,
            mark=mark,
            write=lambda: record_reading(person=user, revision=revision),
        )
    except Refused as refused:
        messages.error(request, refused.message)
        return redirect("training:study", name=name)
    messages.success(
        request,
        done.told(
            gettext("Saved: you have studied {writeup_title}, revision {revision_number}.").format(
                writeup_title=revision.writeup.title, revision_number=revision.number
            )
        ),
    )
    return redirect("training:home")


@require_POST
def quiz(request: HttpRequest, level: str) -> HttpResponse:
    user = doors.who(request)
    row = doors.level_named(level)
    rules = rules_in_force(gather(), level, user.workshop.today())
    if row.quiz is None or rules is None or not rules.pass_percent:
        messages.error(request, gettext("This level has no quiz."))
        return redirect("training:home")
    try:
        keep_quiz_in_step(level=row, on=user.workshop.today())
        sitting = start_sitting(
            quiz=row.quiz, person=user, pass_percent=rules.pass_percent, now=shop_now()
        )
    except Refused as refused:
        messages.error(request, refused.message)
        return redirect("training:home")
    return redirect("quizzes:sitting", pk=sitting.pk)
