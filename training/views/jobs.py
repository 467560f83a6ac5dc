"""How does a mechanic write down a job, and how does a senior enter one for somebody?"""

from __future__ import annotations

from functools import partial

from django.contrib import messages
from django.db.models import Q
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from procedures.records.refused import Refused
from training.access import acts, doors
from training.actions.entries import record_job
from training.actions.once import once
from training.models import Job, Level, User, days_back
from training.reports.levels import level_title
from training.views.forms.forks import options_of_shop
from training.views.forms.jobs import JobForm, tool_marks

METHODS = ["GET", "HEAD", "POST"]


@require_http_methods(METHODS)
def job(request: HttpRequest, level: str) -> HttpResponse:
    user = doors.who(request)
    return _job_page(request, user, user, doors.level_named(level))


@require_http_methods(METHODS)
def job_of(request: HttpRequest, level: str, login: str) -> HttpResponse:
    """A job that a senior enters for somebody: also one that is too old for them to enter."""
    user = doors.who(request)
    person = doors.person_for(user, login, acts.ENTER_FOR_OTHERS)
    if person == user:
        raise Http404
    return _job_page(request, user, person, doors.level_named(level))


def _job_page(request: HttpRequest, user: User, person: User, level: Level) -> HttpResponse:
    today = user.workshop.today()
    here = Q(left__isnull=True) | Q(left__gte=today)
    watchers = (
        User.objects.filter(here).exclude(pk=person.pk).exclude(trade="owner").order_by("name")
    )
    form = JobForm(
        request.POST or None,
        watchers=watchers,
        variants=options_of_shop(level.name),
        initial={"on": today},
    )
    if form.is_valid():
        given = form.cleaned_data
        write = partial(
            record_job,
            person=person,
            level=level,
            revision=None,
            on=given["on"],
            watched_by=given["watched_by"],
            variant=form.variant(),
            by=user,
            note=given["note"],
            tools=tool_marks(given["tools"]),
        )
        try:
            done = once(Job, person=user, mark=given["mark"], write=write)
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, done.told(said_of_job(done.row, user)))
            return redirect("training:one", level=level.name, login=person.login)
    context = {
        "form": form,
        "level": level,
        "title": level_title(level.name, today),
        "person": person,
        "days_back": days_back(),
    }
    return render(request, "training/job.html", context)


def said_of_job(row: Job, by: User) -> str:
    """What somebody is told who has just written down a job."""
    if row.watched_by is None or row.watched_by == by:
        return gettext("The job is logged.")
    return gettext("The job is logged. It counts when {name} has confirmed it.").format(
        name=row.watched_by.name
    )
