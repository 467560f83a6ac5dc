"""How does somebody sign in, and change the password?"""

from __future__ import annotations

from typing import Any

from django.contrib.auth import views as auth
from django.contrib.auth.forms import AuthenticationForm
from django.http import HttpResponse
from django.utils import timezone

from training.devices import remember_device
from training.sign_in_forms import NewPasswordForm, SignInForm, wait_of
from training.throttle import DEVICE


class Throttled:
    """A page that asks for a password: while its reader has to wait it answers 429 and says how long."""

    def form_invalid(self, form: Any) -> HttpResponse:
        answer: HttpResponse = super().form_invalid(form)  # type: ignore[misc]
        if wait := wait_of(form):
            answer.status_code = 429
            answer.headers["Retry-After"] = str(wait)
        return answer


class SignIn(Throttled, auth.LoginView):
    form_class = SignInForm
    redirect_authenticated_user = True

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        person, now = form.get_user(), timezone.now()
        answer = super().form_valid(form)
        self.request.session[DEVICE] = remember_device(self.request, answer, person, now).pk
        return answer


class ChangePassword(Throttled, auth.PasswordChangeView):
    form_class = NewPasswordForm

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"request": self.request}
