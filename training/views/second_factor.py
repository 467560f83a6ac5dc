"""How does somebody set up a second factor, give a code of it, and get it reset?"""

from __future__ import annotations

from base64 import b32encode
from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from procedures.records.refused import Refused
from training.access import acts, doors
from training.access.sessions import SET_UP
from training.access.throttle import inside_code_paths
from training.actions import second_factor as actions
from training.actions.signing import prove
from training.actions.tries import Wait
from training.models import User
from training.reports.cards import code_of
from training.reports.second_factor import people_with_factor
from training.views.forms.fields import Bare
from training.views.forms.sign_in import CodeForm, FactorRuleForm, PasswordAndCodeForm

METHODS = ["GET", "HEAD", "POST"]
DONE = ("confirm", "codes", "off")


def give_code(request: HttpRequest, user: User, code: str) -> None:
    """Raises Refused where the user has a second factor and this is no code of it."""
    if not actions.has_factor(user):
        return
    try:
        actions.check_code(
            person=user, code=code, paths=inside_code_paths(request, user), now=timezone.now()
        )
    except Wait as wait:
        raise Refused(actions.told_wait(wait)) from wait


def code_asked(request: HttpRequest, user: User, title: str, back: str) -> HttpResponse | None:
    """The page that asks for a code before something is handed out; None where it was given, or the
    user has no second factor.
    """
    if not actions.has_factor(user):
        return None
    form = CodeForm(request.POST or None)
    if form.is_valid():
        try:
            give_code(request, user, form.cleaned_data["code"])
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            return None
    return render(request, "training/code_asked.html", {"form": form, "title": title, "back": back})


@never_cache
@require_http_methods(METHODS)
def own(request: HttpRequest) -> HttpResponse:
    """Sets it up, makes new recovery codes, takes it off: by what `do` says."""
    user = doors.who(request)
    is_on = actions.has_factor(user)
    done = request.POST.get("do", "")
    if done == "begin":
        return _begun(request, user)
    form = PasswordAndCodeForm(request.POST if done in DONE else None, with_code=True)
    if form.is_valid():
        try:
            return _done(request, user, form, done)
        except Refused as refused:
            form.add_error(None, refused.message)
    return render(request, "training/second_factor.html", _told(user, form, is_on=is_on))


def _begun(request: HttpRequest, user: User) -> HttpResponse:
    try:
        actions.begin_factor(person=user)
    except Refused as refused:
        messages.error(request, refused.message)
    return redirect("training:second-factor")


def _done(request: HttpRequest, user: User, form: Bare, done: str) -> HttpResponse:
    given = form.cleaned_data
    # Without the hour of waiting after a new password: the gate sends people here before anything.
    prove(request, user, given["password"], f"second factor: {done}", at_once=True)
    if done == "confirm":
        codes = actions.confirm_factor(person=user, code=given["code"])
        # From here on the gate lets this session through.
        request.session.pop(SET_UP, None)
        return _codes(request, codes)
    give_code(request, user, given["code"])
    if done == "codes":
        return _codes(request, actions.new_recovery_codes(person=user))
    actions.take_off_factor(person=user)
    messages.success(request, gettext("The second factor is off."))
    return redirect("training:second-factor")


def _codes(request: HttpRequest, codes: Sequence[str]) -> HttpResponse:
    return render(request, "training/recovery_codes.html", {"codes": codes})


def _told(user: User, form: Bare, *, is_on: bool) -> dict[str, Any]:
    begun = None if is_on else actions.begun_factor(user)
    told = {
        "form": form,
        "is_on": is_on,
        "begun": begun,
        "must": actions.must_have_factor(user),
        "left": actions.recovery_codes_left(user),
    }
    if begun:
        key = b32encode(begun.bin_key).decode()
        told["key"] = " ".join(key[place : place + 4] for place in range(0, len(key), 4))
        told["picture"] = code_of(begun.config_url, gettext("Code for the app"))
    return told


@never_cache
@require_http_methods(METHODS)
def reset(request: HttpRequest, login: str) -> HttpResponse:
    """The owner takes the second factor off somebody who lost it."""
    user = doors.who(request)
    person = doors.person_for(user, login, acts.KEEP_PEOPLE)
    form = PasswordAndCodeForm(request.POST or None, with_code=actions.has_factor(user))
    if form.is_valid():
        try:
            _prove_both(request, user, form, f"reset second factor of {person.pk}")
            actions.reset_factor(person=person, by=user)
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(
                request,
                gettext("{name} now signs in with the password only.").format(name=person.name),
            )
            return redirect("training:person", login=login)
    context = {
        "form": form,
        "person": person,
        "has_it": actions.has_factor(person),
        "must": actions.must_have_factor(person),
    }
    return render(request, "training/second_factor_reset.html", context)


@require_http_methods(METHODS)
def required(request: HttpRequest) -> HttpResponse:
    """The owner says which roles need one."""
    user = doors.who(request)
    doors.must(user, acts.KEEP_PEOPLE)
    page = people_with_factor()
    form = FactorRuleForm(
        request.POST or None,
        with_code=actions.has_factor(user),
        initial={"seniors": page.seniors, "owners": page.owners},
    )
    if form.is_valid():
        given = form.cleaned_data
        try:
            _prove_both(request, user, form, "second factor rule")
            actions.set_factor_rule(seniors=given["seniors"], owners=given["owners"], by=user)
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, gettext("Saved. Each person is asked at the next sign-in."))
            return redirect("training:second-factor-required")
    return render(request, "training/second_factor_required.html", {"form": form, "page": page})


def _prove_both(request: HttpRequest, user: User, form: Bare, about: str) -> None:
    prove(request, user, form.cleaned_data["password"], about)
    give_code(request, user, form.cleaned_data.get("code", ""))
