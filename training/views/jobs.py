"""How does a mechanic write down a job?"""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from procedures.refused import Refused
from training import access
from training.actions.entries import record_job
from training.actions.once import once
from training.forms import JobForm, options_of_shop, tool_marks
from training.models import SentJob, User
from training.reports.levels import level_title


@require_http_methods(["GET", "HEAD", "POST"])
def job(request: HttpRequest, level: str) -> HttpResponse:
    user = access.who(request)
    row = access.level_named(level)
    today = user.workshop.today()
    here = Q(left__isnull=True) | Q(left__gte=today)
    watchers = User.objects.filter(here).exclude(pk=user.pk).exclude(trade="owner").order_by("name")
    form = JobForm(
        request.POST or None, watchers=watchers, variants=options_of_shop(level), initial={"on": today, "mark": uuid.uuid4().hex}
    )
    if form.is_valid():
        given = form.cleaned_data
        try:
            once(SentJob, person=user, mark=given["mark"] or uuid.uuid4().hex, write=lambda: record_job(
                person=user, level=row, revision=None, on=given["on"], watched_by=given["watched_by"],
                variant=form.variant(), by=user, note=given["note"], tools=tool_marks(given["tools"]),
            ))
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, gettext("The job is written down."))
            return redirect("training:one", level=level, login=user.login)
    return render(request, "training/job.html", {"form": form, "level": row, "title": level_title(level, today)})
