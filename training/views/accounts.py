"""How does the owner give somebody a way in, and how does that person choose a password?"""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from procedures.records.refused import Refused
from training.access import acts, doors
from training.actions import accounts as actions
from training.actions.signing import prove
from training.reports.cards import code_of
from training.views.forms.fields import PasswordAgain
from training.views.forms.sign_in import FirstPasswordForm

METHODS = ["GET", "HEAD", "POST"]


@never_cache
@require_http_methods(METHODS)
def link(request: HttpRequest, login: str) -> HttpResponse:
    """Gives the link and shows it this once, as a slip to print."""
    user = doors.who(request)
    person = doors.person_for(user, login, acts.KEEP_PEOPLE)
    form = PasswordAgain(request.POST or None)
    if form.is_valid():
        try:
            # A link is a way in as somebody else, so an unlocked tablet is not enough for one.
            prove(request, user, form.cleaned_data["password"], f"link for {person.pk}")
            code = actions.give_link(person=person, by=user)
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            address = request.build_absolute_uri(
                reverse("training:first-password-code", args=[code])
            )
            context = {
                "person": person,
                "code": code,
                "address": address,
                "ends_at": timezone.now() + actions.LINK_LASTS,
                "picture": code_of(address, gettext("Code that leads to the page")),
                "short_address": request.build_absolute_uri(reverse("training:first-password")),
            }
            return render(request, "training/link_slip.html", context)
    return render(request, "training/link.html", {"form": form, "person": person})


@login_not_required
@never_cache
@sensitive_post_parameters()
@require_http_methods(METHODS)
def first_password(request: HttpRequest, code: str = "") -> HttpResponse:
    """Chooses a password by a link. Opening the page uses nothing up, so that a preview of the link
    does no harm.
    """
    # A guess of another shape is answered without asking the database.
    if code and not actions.looks_like_code(code):
        raise Http404
    form = FirstPasswordForm(request.POST or None, initial={"code": code})
    if form.is_valid():
        try:
            person = actions.use_link(
                code=form.cleaned_data["code"], password=form.cleaned_data["new_password1"]
            )
        except Refused as refused:
            form.add_error(None, [refused.message, *refused.details])
        else:
            logout(request)  # perhaps the owner's own session, on the tablet that was handed over
            messages.success(
                request,
                gettext("Your password is set. Sign in as {login}.").format(login=person.login),
            )
            return redirect("login")
    return render(request, "training/first_password.html", {"form": form})
