"""How does an owner set up a new shop, step by step?"""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from procedures.records.refused import Refused
from training.access import acts, doors
from training.actions.start import leave_for_later, take_up
from training.exchange.folder.bring import Faulty
from training.exchange.folder.examples import bring_examples, find_examples, names_in_shop
from training.models import User
from training.reports.start import start_page
from training.views.forms.start import ExamplesForm


@require_safe
def start(request: HttpRequest) -> HttpResponse:
    """The five steps, with what is done and what is next."""
    user = doors.who(request)
    doors.must(user, acts.KEEP_PEOPLE)
    return render(request, "training/start.html", {"page": start_page(user.workshop.today())})


@require_POST
def later(request: HttpRequest) -> HttpResponse:
    """Leaves a step for later, or all that are open, or takes one up again."""
    user = doors.who(request)
    doors.must(user, acts.KEEP_PEOPLE)
    step = request.POST.get("step", "")
    try:
        if "take_up" in request.POST:
            take_up(step=step, by=user)
        else:
            page = start_page(user.workshop.today())
            is_open = [one.step for one in page.steps if one.state in ("next", "open")]
            steps = is_open if "rest" in request.POST else [step]
            leave_for_later(steps=steps, by=user, now=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
    return redirect("training:home" if "rest" in request.POST else "training:start")


@require_http_methods(["GET", "HEAD", "POST"])
def examples(request: HttpRequest) -> HttpResponse:
    """The examples to tick, all that the shop does not have yet."""
    user = doors.who(request)
    doors.must(user, acts.KEEP_LEVELS)
    known, there = find_examples(), names_in_shop()
    form = ExamplesForm(request.POST or None, known, there)
    if form.is_valid() and _are_in(request, form, user):
        return redirect("training:start")
    context = {"form": form, "has_examples": bool(known.levels)}
    return render(request, "training/examples.html", context)


def _are_in(request: HttpRequest, form: ExamplesForm, user: User) -> bool:
    try:
        found = bring_examples(form.chosen(), by=user)
    except Refused as refused:
        form.add_error(None, refused.message)
        return False
    except Faulty as faulty:
        form.add_error(None, [str(fault) for fault in faulty.faults])
        return False
    if found.is_new:
        said = gettext("From the examples came in: {what}. Make them your own.")
        messages.success(request, said.format(what=found.brought))
    for title, writeups in found.asking:
        said = gettext("{title} asks for these now too: {writeups}")
        messages.info(request, said.format(title=title, writeups="; ".join(writeups)))
    if found.there:
        said = gettext("Left as they are, because your shop has them already: {names}.")
        messages.info(request, said.format(names=", ".join(found.there)))
    return True
