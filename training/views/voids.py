"""How is an entry declared void by two people, what fell with it, what is recalled, and who signed
for whom?
"""

from __future__ import annotations

from datetime import date
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from procedures.records.refused import Refused
from procedures.views.forms.search import page_of
from training.access import acts, doors
from training.actions.once import write_once
from training.actions.signing import prove
from training.actions.voids import ask_for_void, decide_void, words_of_asking, words_of_deciding
from training.models import User, Void, VoidAsked, VoidDecided, shop_now
from training.records.void_sheets import VoidSheet, void_sheet
from training.reports import recall as recalling
from training.reports import voids as reports
from training.reports.signers import signers_page
from training.views.forms.jobs import RecallForm
from training.views.forms.lists import EntrySearch
from training.views.forms.signing import DecideForm, VoidForm

ROWS_A_PAGE = 40
METHODS = ["GET", "HEAD", "POST"]


@require_safe
def voids(request: HttpRequest) -> HttpResponse:
    doors.must(doors.who(request), acts.ASK_FOR_VOID)
    page = reports.voids_page()
    context = {"page": page, "decided": page_of(request, page.decided, ROWS_A_PAGE)}
    return render(request, "training/voids.html", context)


@require_safe
def choose(request: HttpRequest, login: str) -> HttpResponse:
    user = doors.who(request)
    person = doors.person_for(user, login, acts.ASK_FOR_VOID)
    search = EntrySearch(request.GET or None)
    kind = search.said().get("kind", "")
    named = [
        one
        for one in reports.entries_to_name(person)
        if kind in {"", one.kind} and search.has_words(one.said)
    ]
    context = {"person": person, "search": search, "named": page_of(request, named, ROWS_A_PAGE)}
    return render(request, "training/void_choose.html", context)


@require_http_methods(METHODS)
def ask(request: HttpRequest, login: str, kind: str, about: str, day: str) -> HttpResponse:
    user = doors.who(request)
    person = doors.person_for(user, login, acts.ASK_FOR_VOID)
    on = _day(day)
    named = _named(person, kind, about, on)
    sheet = void_sheet(kind=kind, person=person, about=about, on=on, signer=user)
    form = VoidForm(request.POST or None, initial={"shown": sheet.digest})
    if form.is_valid():
        shown, reason = form.cleaned_data["shown"], form.cleaned_data["reason"]
        write = partial(ask_for_void, kind=kind, person=person, about=about, on=on, by=user)
        try:
            proof = prove(
                request, user, form.cleaned_data["password"], words_of_asking(shown, reason)
            )
            done = write_once(
                VoidAsked,
                person=user,
                mark=shown,
                write=partial(write, reason=reason, shown=shown, proof=proof),
            )
        except Refused as refused:
            _refuse(form, request, refused, sheet)
        else:
            messages.success(
                request,
                done.told(gettext("Sent. The entry still counts until a second person confirms.")),
            )
            return redirect("training:void", pk=done.row.pk)
    now = shop_now()
    effect = reports.effect_of(
        kind=kind, person=person, about=about, on=on, today=user.workshop.day_of(now), now=now
    )
    context = {
        "person": person,
        "named": named,
        "form": form,
        "effect": effect,
        "meant": sheet.entries,
        "deciders": reports.name_deciders(person, user, user.workshop.day_of(now)),
    }
    return render(request, "training/void_ask.html", context)


def _named(person: User, kind: str, about: str, on: date) -> reports.Named:
    """The entry that is meant. Raises Http404 where this person has none of the kind."""
    for one in reports.entries_to_name(person):
        if (one.kind, one.about, one.on) == (kind, about, on):
            return one
    raise Http404


@require_http_methods(METHODS)
def void(request: HttpRequest, pk: int) -> HttpResponse:
    """One void that was asked for: what would fall, and the second person's word; or what fell."""
    user = doors.who(request)
    asked = doors.void_asked(user, pk)
    meant: dict[str, Any] = {
        "kind": asked.kind,
        "person": asked.person,
        "about": asked.about,
        "on": asked.happened_on,
    }
    sheet = void_sheet(**meant, signer=user, asked=asked)
    form = DecideForm(request.POST or None, initial={"shown": sheet.digest})
    if form.is_valid():
        given, confirm = form.cleaned_data, "confirm" in request.POST
        try:
            proof = prove(
                request,
                user,
                given["password"],
                words_of_deciding(given["shown"], confirm, given["reason"]),
            )
            done = write_once(
                VoidDecided,
                person=user,
                mark=given["shown"],
                write=lambda: decide_void(
                    asked=asked,
                    confirm=confirm,
                    by=user,
                    reason=given["reason"],
                    shown=given["shown"],
                    proof=proof,
                ),
            )
        except Refused as refused:
            _refuse(form, request, refused, sheet)
        else:
            messages.success(
                request, done.told(gettext("Your decision is signed and in the record book."))
            )
            return redirect("training:void", pk=pk)
    return render(request, "training/void.html", _void_context(user, asked, sheet, form, meant))


def _void_context(
    user: User, asked: VoidAsked, sheet: VoidSheet, form: DecideForm, meant: dict[str, Any]
) -> dict[str, Any]:
    decided, now = getattr(asked, "decided", None), shop_now()
    effect, entries = None, sheet.entries
    if decided is None:
        effect = reports.effect_of(**meant, today=user.workshop.day_of(now), now=now)
    else:
        # An entry of the same day that came later was not meant, and stands.
        entries = tuple(one for one in entries if one.recorded_at <= decided.recorded_at)
        if isinstance(decided.void, Void):
            effect = reports.effect_of_decided(decided.void, now=now)
    return {
        "asked": asked,
        "decided": decided,
        "said": reports.describe_asked(asked),
        "form": form,
        "effect": effect,
        "meant": entries,
        "since": {one.key for one in entries} - set(asked.entries)
        if asked.entries and not decided
        else set(),
        "may_decide": decided is None and user not in (asked.by, asked.person),
        "may_take_back": decided is None and user == asked.by,
        "deciders": reports.name_deciders(asked.person, asked.by, user.workshop.today()),
    }


def _refuse(
    form: VoidForm | DecideForm, request: HttpRequest, refused: Refused, sheet: VoidSheet
) -> None:
    form.add_error(None, [refused.message, *refused.details])
    # What was sent cannot be written to; the sheet may have changed since it was shown.
    form.data = request.POST.copy()
    form.data["shown"] = sheet.digest  # what the page shows now


@require_safe
def recall(request: HttpRequest) -> HttpResponse:
    doors.must(doors.who(request), acts.SEE_EVERYONE)
    form = RecallForm(request.GET or None)
    page = (
        recalling.recall_page(recalling.question_of_form(form.cleaned_data))
        if form.is_valid()
        else None
    )
    rows = page_of(request, page.rows[::-1], ROWS_A_PAGE) if page else None
    return render(request, "training/recall.html", {"form": form, "page": page, "rows": rows})


@require_safe
def signers(request: HttpRequest) -> HttpResponse:
    doors.must(doors.who(request), acts.SEE_EVERYONE)
    return render(request, "training/signers.html", {"page": signers_page(now=shop_now())})


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Http404 from None
