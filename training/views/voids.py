"""How is an entry declared void by two people, what fell with it, what is recalled, and who signed for whom?"""

from __future__ import annotations

from datetime import date

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from procedures.refused import Refused
from training import access
from training.actions.signing import prove
from training.actions.voids import ask_for_void, decide_void
from training.forms import DecideForm, RecallForm, VoidForm
from training.models import Void, shop_now
from training.reports import recall as recalling
from training.reports import voids as reports
from training.reports.signers import signers_page

METHODS = ["GET", "HEAD", "POST"]


@require_safe
def voids(request: HttpRequest) -> HttpResponse:
    access.must(access.who(request), "training.void")
    return render(request, "training/voids.html", {"page": reports.voids_page()})


@require_safe
def choose(request: HttpRequest, login: str) -> HttpResponse:
    user = access.who(request)
    person = access.person_for(user, login, "training.void")
    return render(request, "training/void_choose.html", {"person": person, "named": reports.nameable(person)})


@require_http_methods(METHODS)
def ask(request: HttpRequest, login: str, kind: str, about: str, day: str) -> HttpResponse:
    user = access.who(request)
    person = access.person_for(user, login, "training.void")
    on = _day(day)
    named = next((one for one in reports.nameable(person) if (one.kind, one.about, one.on) == (kind, about, on)), None)
    if named is None:
        raise Http404
    now = shop_now()
    form = VoidForm(request.POST or None)
    if form.is_valid():
        given = form.cleaned_data
        try:
            proof = prove(request, user, given["password"], f"void {kind} {person.pk} {about} {on}")
            asked = ask_for_void(
                kind=kind, person=person, about=about, on=on, by=user, reason=given["reason"], proof=proof
            )
        except Refused as refused:
            form.add_error(None, [refused.message, *refused.details])
        else:
            messages.success(request, gettext("Asked for. It counts for nothing until a second person has confirmed it."))
            return redirect("training:void", pk=asked.pk)
    effect = reports.effect_of(kind=kind, person=person, about=about, on=on, today=user.workshop.today(), now=now)
    return render(request, "training/void_ask.html", {"person": person, "named": named, "form": form, "effect": effect})


@require_http_methods(METHODS)
def void(request: HttpRequest, pk: int) -> HttpResponse:
    """One void that was asked for: what would fall, and the second person's word; or what fell."""
    user = access.who(request)
    asked = access.void_asked(user, pk)
    decided = getattr(asked, "decided", None)
    now = shop_now()
    today = user.workshop.day_of(now)
    form = DecideForm(request.POST or None)
    if decided is None and form.is_valid():
        given = form.cleaned_data
        try:
            proof = prove(request, user, given["password"], f"decide void {asked.pk}")
            decide_void(
                asked=asked, confirm="confirm" in request.POST, by=user, reason=given["reason"], proof=proof
            )
        except Refused as refused:
            form.add_error(None, [refused.message, *refused.details])
        else:
            messages.success(request, gettext("Decided, signed and in the record book."))
            return redirect("training:void", pk=pk)
    if decided is not None and isinstance(decided.void, Void):
        effect = reports.effect_of_decided(decided.void, now=now)
    elif decided is not None:
        effect = None
    else:
        effect = reports.effect_of(
            kind=asked.kind, person=asked.person, about=asked.about, on=asked.happened_on, today=today, now=now
        )
    context = {
        "asked": asked, "decided": decided, "said": reports.said_of(asked), "form": form, "effect": effect,
        "may_decide": decided is None and user not in (asked.by, asked.person),
    }  # fmt: skip
    return render(request, "training/void.html", context)


@require_safe
def recall(request: HttpRequest) -> HttpResponse:
    access.must(access.who(request), "training.see_everyone")
    form = RecallForm(request.GET or None)
    page = recalling.recall_page(recalling.asked_by(form.cleaned_data)) if form.is_valid() else None
    return render(request, "training/recall.html", {"form": form, "page": page})


@require_safe
def signers(request: HttpRequest) -> HttpResponse:
    access.must(access.who(request), "training.see_everyone")
    return render(request, "training/signers.html", {"page": signers_page(now=shop_now())})


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Http404 from None
