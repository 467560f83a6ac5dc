"""How does a senior sign off, and stand somebody down?"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from procedures.records.refused import Refused
from procedures.records.wording.pieces import join_or
from training.access import acts, doors
from training.actions import signing as actions
from training.actions.once import FormDone, write_once
from training.models import Level, Lift, SignOff, StandDown, User, shop_now
from training.records.sheets import SigningSheet, may_be_signed_for_some, signing_sheet
from training.records.wording.reasons import say_reason
from training.views.forms.fields import Bare
from training.views.forms.forks import options_of_shop
from training.views.forms.signing import LiftForm, LimitsForm, SignForm, StandDownForm

METHODS = ["GET", "HEAD", "POST"]


@require_http_methods(METHODS)
def sign_off(request: HttpRequest, level: str, login: str) -> HttpResponse:
    user = doors.who(request)
    person = doors.person_for(user, login, acts.SIGN)
    return _signed(request, user, person, doors.level_named(level), founding=False)


@require_http_methods(METHODS)
def founding(request: HttpRequest, level: str, login: str) -> HttpResponse:
    user = doors.who(request)
    person = doors.person_for(user, login, acts.FOUND)
    return _signed(request, user, person, doors.level_named(level), founding=True)


def _signed(
    request: HttpRequest, user: User, person: User, level: Level, *, founding: bool
) -> HttpResponse:
    """The sheet, and under it the box to sign. What is signed is what was shown: the digest goes
    out and comes back.
    """
    now = shop_now()
    today = user.workshop.day_of(now)
    # Bound even without a choice: an unbound form says nothing, and “no limit” is an answer.
    limits_form = LimitsForm(request.GET or {"_": ""}, variants=options_of_shop(level.name))
    limits = limits_form.limits()
    sheet = signing_sheet(
        person=person, level=level, signer=user, limits=limits, on=today, now=now, founding=founding
    )
    form = SignForm(request.POST or None, initial={"shown": sheet.digest})
    if founding:  # it rests on proof from elsewhere, and the note is where that stands
        form.fields["note"].required = True
        form.fields["note"].error_messages["required"] = actions.NO_PROOF
    # Forks that cannot be read are told, and not taken for every fork.
    if limits_form.is_valid() and form.is_valid():
        given = form.cleaned_data

        def act() -> FormDone[SignOff]:
            proof = actions.prove(request, user, given["password"], given["shown"])
            return write_once(
                SignOff,
                person=user,
                mark=given["shown"],
                write=lambda: actions.sign_off(
                    person=person,
                    level=level,
                    signer=user,
                    limits=limits,
                    shown=given["shown"],
                    proof=proof,
                    note=given["note"],
                    founding=founding,
                ),
            )

        if _done(request, form, act, say_signing(sheet)):
            return redirect("training:one", level=level.name, login=person.login)
        # What was sent cannot be written to; the sheet may have changed since it was shown.
        form.data = request.POST.copy()
        form.data["shown"] = sheet.digest  # what the page shows now
    return _sign_page(request, person, level, sheet, form, limits_form, now)


def say_signing(sheet: SigningSheet) -> str:
    """What somebody is told who has just signed."""
    if sheet.waits:
        return gettext("Signed, but it does not count yet: {reasons}").format(
            reasons=" ".join(say_reason(reason) for reason in sheet.waits)
        )
    return gettext("Signed: {meaning}").format(meaning=sheet.meaning)


def _sign_page(
    request: HttpRequest,
    person: User,
    level: Level,
    sheet: SigningSheet,
    form: SignForm,
    limits_form: LimitsForm,
    now: datetime,
) -> HttpResponse:
    context = {
        "person": person,
        "level": level,
        "sheet": sheet,
        "form": form,
        "limits_form": limits_form,
        "for_some_forks": may_be_signed_for_some(sheet, now),
    }
    return render(request, "training/sign_off.html", context)


@require_http_methods(METHODS)
def stand_down(request: HttpRequest, login: str) -> HttpResponse:
    user = doors.who(request)
    person = doors.person_for(user, login, acts.STAND_DOWN)
    form = StandDownForm(
        request.POST or None,
        initial={"first": user.workshop.today(), "level": request.GET.get("level")},
    )
    if form.is_valid():
        given = form.cleaned_data

        def act() -> FormDone[StandDown]:
            words = actions.words_of_stand_down(
                person, given["level"], given["first"], given["reason"]
            )
            # Even in the hour after a new password: unsafe work must be stopped now.
            proof = actions.prove(request, user, given["password"], words, at_once=True)
            return write_once(
                StandDown,
                person=user,
                mark=given["mark"],
                write=lambda: actions.stand_down(
                    person=person,
                    level=given["level"],
                    first=given["first"],
                    by=user,
                    reason=given["reason"],
                    proof=proof,
                ),
            )

        if _done(request, form, act, gettext("{name} is stood down.").format(name=person.name)):
            return redirect("training:who-may")
    return render(request, "training/stand_down.html", {"form": form, "person": person})


@require_http_methods(METHODS)
def lift(request: HttpRequest, pk: int) -> HttpResponse:
    user = doors.who(request)
    standdown = doors.standdown_to_lift(user, pk)
    form = LiftForm(request.POST or None, initial={"on": user.workshop.today()})
    if form.is_valid():
        given = form.cleaned_data

        def act() -> FormDone[Lift]:
            words = actions.words_of_lift(standdown, given["on"], given["reason"])
            proof = actions.prove(request, user, given["password"], words)
            return write_once(
                Lift,
                person=user,
                mark=given["mark"],
                write=lambda: actions.lift(
                    standdown=standdown,
                    on=given["on"],
                    by=user,
                    reason=given["reason"],
                    proof=proof,
                ),
            )

        if _done(
            request,
            form,
            act,
            gettext("{name} is allowed again.").format(name=standdown.person.name),
        ):
            return redirect("training:who-may")
    able = User.objects.able_to(acts.LIFT.permission, user.workshop.today())
    others = join_or([row.name for row in able.exclude(pk=standdown.person_id)])
    context = {"form": form, "standdown": standdown, "others": others}
    return render(request, "training/lift.html", context)


def _done(request: HttpRequest, form: Bare, act: Callable[[], FormDone[Any]], said: str) -> bool:
    """Does it and says so, or puts the refusal at the top of the form."""
    try:
        done = act()
    except Refused as refused:
        form.add_error(None, [refused.message, *refused.details])
        return False
    messages.success(request, done.told(said))
    return True
