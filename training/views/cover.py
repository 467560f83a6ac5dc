"""Where are too few people who may work alone in the next weeks, and which training changes
that?
"""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from training.access import acts, doors
from training.actions.plan import accept_plan
from training.cover.columns import NoAnswerError
from training.models import shop_now
from training.reports.cover_page import cover_page
from training.reports.plan_page import plan_page
from training.views.forms.cover import CoverForm, PlanForm


@require_safe
def cover(request: HttpRequest) -> HttpResponse:
    user = doors.who(request)
    doors.must(user, acts.SEE_EVERYONE)
    form = CoverForm(request.GET or None, today=user.workshop.today())
    page = cover_page(form.asked(), on=user.workshop.today(), now=shop_now())
    context = {
        "page": page,
        "form": form,
        "plan_query": form.plan_query(),
        "body": "wall-a4",  # printed lying on its side
    }
    return render(request, "training/cover.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def plan(request: HttpRequest) -> HttpResponse:
    """The training plan; the owner accepts it as it was shown, or takes back the one in force."""
    user = doors.who(request)
    doors.must(user, acts.SEE_EVERYONE)
    if request.method == "POST":
        doors.must(user, acts.KEEP_ROTA)
    if request.POST.get("what") == "none":
        accept_plan(lines=(), by=user)
        messages.success(request, gettext("The plan is taken back."))
        return redirect("training:plan")
    data = request.POST if request.method == "POST" else request.GET
    form = PlanForm(data or None, today=user.workshop.today())
    try:
        page = plan_page(form.asked(), on=user.workshop.today(), now=shop_now())
    # The solver has a bound of time, so that a question too large holds up nobody else.
    except NoAnswerError:
        return render(
            request, "training/plan.html", {"page": None, "form": form, "took_too_long": True}
        )
    if request.method == "POST" and page is not None:
        # Worked out anew and compared: what is accepted is what was read, or nothing.
        if form.is_valid() and request.POST.get("digest") == page.digest:
            accept_plan(lines=page.planned, by=user)
            messages.success(
                request,
                gettext("The plan is accepted. Each person sees their part of it on My bench."),
            )
            return redirect("training:plan")
        messages.error(
            request,
            gettext("The plan has changed since you opened it. Read it again, then accept it."),
        )
    context = {
        "page": page,
        "form": form,
        "asked": form.asked(),
        "may_accept": acts.KEEP_ROTA.is_open_to(user),
    }
    return render(request, "training/plan.html", context)
