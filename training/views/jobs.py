"""How does a mechanic write down a job, and how does a senior enter one for somebody?"""

from __future__ import annotations

from functools import partial
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST

from procedures.records.refused import Refused
from training.access import acts, doors
from training.actions.entries import record_job
from training.actions.once import write_once
from training.actions.taking_back import change_job, take_back_job
from training.models import Job, Level, User, days_back
from training.reports.levels import level_title
from training.reports.watchers import watchers_of
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
    # For oneself the other page is there, with its limit on late entries.
    if person == user:
        raise Http404
    return _job_page(request, user, person, doors.level_named(level))


@require_http_methods(METHODS)
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """One's own job of the last minutes, to be written down anew. It keeps the revision that it was
    worked by, with its fork and its values.
    """
    user = doors.who(request)
    row = doors.own_job(user, pk)
    return _job_page(request, user, user, row.level, row)


@require_POST
def take_back(request: HttpRequest, pk: int) -> HttpResponse:
    user = doors.who(request)
    row = doors.own_job(user, pk)
    try:
        take_back_job(job=row, by=user)
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, gettext("The job is taken back. It never counted."))
    return redirect("training:home")


def _job_page(
    request: HttpRequest, user: User, person: User, level: Level, changed: Job | None = None
) -> HttpResponse:
    today = user.workshop.today()
    form = JobForm(
        request.POST or None,
        watchers=watchers_of(person, today),
        variants=() if changed and changed.revision else options_of_shop(level.name),
        initial=_as_form(changed) if changed else {"on": today},
    )
    if form.is_valid():
        given = form.cleaned_data
        write = partial(
            record_job,
            person=person,
            level=level,
            revision=changed.revision if changed else None,
            on=given["on"],
            watched_by=given["watched_by"],
            variant=changed.variant if changed and changed.revision else form.variant(),
            values=changed.values if changed else (),
            by=user,
            note=given["note"],
            tools=tool_marks(given["tools"]),
        )
        if changed:
            write = partial(change_job, job=changed, by=user, write=write)
        try:
            done = write_once(Job, person=user, mark=given["mark"], write=write)
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
        "changed": changed,
    }
    return render(request, "training/job.html", context)


def _as_form(row: Job) -> dict[str, Any]:
    return {
        "on": row.happened_on,
        "watched_by": row.watched_by.login if row.watched_by else None,
        "tools": ", ".join(row.tools),
        "note": row.note,
        **{f"v-{name}": option for name, option in row.variant.items()},
    }


def said_of_job(row: Job, by: User) -> str:
    """What somebody is told who has just written down a job."""
    if row.watched_by is None or row.watched_by == by:
        return gettext("The job is logged.")
    return gettext("The job is logged. It counts when {name} has confirmed it.").format(
        name=row.watched_by.name
    )
