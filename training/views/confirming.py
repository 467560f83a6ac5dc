"""How does a watcher confirm a job, or say that it was not watched?"""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from procedures.records.refused import Refused
from training.access import doors
from training.actions.confirming import confirm_job, refuse_job
from training.reports.confirming import describe_to_confirm
from training.views.forms.evidence import RefuseJobForm


@require_http_methods(["GET", "HEAD", "POST"])
def watched_job(request: HttpRequest, pk: int) -> HttpResponse:
    """One job that names the reader as watching: confirmed in a press, or refused with a reason."""
    user = doors.who(request)
    job = doors.job_to_confirm(user, pk)
    # The reason is asked of a refusal alone; to confirm is one press.
    form = RefuseJobForm(request.POST if request.POST.get("say") == "refuse" else None)
    if request.method == "POST":
        try:
            if request.POST.get("say") == "confirm":
                confirm_job(job=job, by=user)
                messages.success(
                    request,
                    gettext("Job confirmed. It now counts for {name}.").format(
                        name=job.person.name
                    ),
                )
                return redirect("training:home")
            if form.is_valid():
                refuse_job(job=job, by=user, reason=form.cleaned_data["reason"])
                messages.success(
                    request,
                    gettext("Not confirmed. {name} sees your reason.").format(name=job.person.name),
                )
                return redirect("training:home")
        except Refused as refused:
            messages.error(request, refused.message)
            return redirect("training:watched-job", pk=pk)
    said = getattr(job, "confirmation", None)
    return render(
        request,
        "training/watched_job.html",
        {"job": describe_to_confirm(job), "said": said, "form": form},
    )
