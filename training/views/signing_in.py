"""How does somebody sign in, and change the password?"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from django.contrib import auth
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView, PasswordChangeView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.crypto import constant_time_compare
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from procedures.records.refused import Refused
from training.access.devices import remember_device
from training.access.sessions import SET_UP, SIGNED_IN_BEFORE, begin
from training.access.throttle import code_paths
from training.actions.refusals import note_refusal
from training.actions.second_factor import check_code, has_factor, must_have_factor, told_wait
from training.actions.tries import Wait
from training.models import User
from training.models.refusals import CODE, WAIT
from training.views import typed
from training.views.forms.sign_in import CodeForm, NewPasswordForm, SignInForm, wait_of

METHODS = ["GET", "HEAD", "POST"]
BACKEND = "training.access.sign_in.ShopBackend"
HALF = "half signed in"  # in the session: who has given the password and still owes the code
HALF_LASTS = timedelta(minutes=10)


class Throttled:
    """A page that asks for a password: while its reader has to wait it answers 429 and says how
    long.
    """

    def form_invalid(self, form: Any) -> HttpResponse:
        answer: HttpResponse = super().form_invalid(form)  # type: ignore[misc]
        return told_when(answer, wait_of(form))


class SignIn(Throttled, LoginView):
    form_class = SignInForm
    redirect_authenticated_user = True

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        person, next_page = form.get_user(), self.get_success_url()
        if not isinstance(person, User):
            raise TypeError("The site's people are its only users.")
        text = self.request.POST.get(typed.KEPT, "")
        if has_factor(person):
            return _half(self.request, person, next_page, text)
        return _signed_in(self.request, person, next_page, text)

    def get_success_url(self) -> str:
        said = typed.opened(self.request.POST.get(typed.KEPT, ""))
        if said and isinstance(self.request.user, User):  # who signed in in another tab meanwhile
            self.request.session[typed.KEPT] = said
            return reverse("training:typed")
        return super().get_success_url()

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(**more) | {
            typed.KEPT: self.request.POST.get(typed.KEPT, "")
        }


class ChangePassword(Throttled, PasswordChangeView):
    form_class = NewPasswordForm

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"request": self.request}


@login_not_required
@never_cache
@require_http_methods(METHODS)
def code(request: HttpRequest) -> HttpResponse:
    """The second step of signing in, for whoever has a second factor."""
    person = _half_signed_in(request)
    if person is None:
        return redirect("login")
    form, wait, now = CodeForm(request.POST or None), 0, timezone.now()
    if form.is_valid():
        try:
            check_code(
                person=person,
                code=form.cleaned_data["code"],
                paths=code_paths(request, person),
                now=now,
            )
        except Refused as refused:
            note_refusal(request=request, why=CODE, person=person, now=now)
            form.add_error(None, refused.message)
        except Wait as refused:
            note_refusal(request=request, why=WAIT, person=person, now=now)
            form.add_error(None, told_wait(refused))
            wait = refused.seconds
        else:
            half = request.session[HALF]
            return _signed_in(request, person, half["next"], half["typed"])
    return told_when(render(request, "registration/code.html", {"form": form}), wait)


def told_when(answer: HttpResponse, wait: int) -> HttpResponse:
    """The answer, with the status and the header that say for how many seconds to wait, where that
    is so.
    """
    if wait:
        answer.status_code = 429
        answer.headers["Retry-After"] = str(wait)
    return answer


def _half(request: HttpRequest, person: User, next_page: str, text: str) -> HttpResponse:
    """To the second step. The session is a fresh one, is nobody's yet, and forgets the person after
    ten minutes.
    """
    # A key that somebody else had planted before the password must not live on after it.
    request.session.flush()
    request.session[HALF] = {
        "person": person.pk,
        # A password changed in between ends this half as it ends whole sessions.
        "hash": person.get_session_auth_hash(),
        "at": timezone.now().isoformat(),
        "next": next_page,
        "typed": text,
    }
    return redirect("login-code")


def _half_signed_in(request: HttpRequest) -> User | None:
    """Who has given the password a moment ago, if it still is the password and the account is still
    open.
    """
    half = request.session.get(HALF)
    if not half or timezone.now() - datetime.fromisoformat(half["at"]) > HALF_LASTS:
        return None
    person = User.objects.select_related("workshop").filter(pk=half["person"]).first()
    if (
        person is None
        or not person.may_sign_in()
        # In constant time: how long a comparison takes must not tell how much of it fits.
        or not constant_time_compare(half["hash"], person.get_session_auth_hash())
    ):
        return None
    return person


def _signed_in(request: HttpRequest, person: User, next_page: str, text: str = "") -> HttpResponse:
    """In, with a session under a new key, on a device that is known from now on; with what was
    typed before, where that was sealed by this site.
    """
    # Before the flush, which empties the session.
    now, said, before = timezone.now(), typed.opened(text), person.last_login
    request.session.flush()
    auth.login(request, person, backend=BACKEND)
    request.session[SIGNED_IN_BEFORE] = before.isoformat() if before else ""
    if said:
        request.session[typed.KEPT] = said
    answer = redirect("training:typed" if said else next_page)
    begin(request, remember_device(request, answer, person, now), now)
    if must_have_factor(person) and not has_factor(person):
        request.session[SET_UP] = True
    return answer
