"""What may be typed where a password is asked for or chosen?"""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm, SetPasswordMixin
from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from procedures.views.forms.plain import put_own_words
from training.access.sessions import DEVICE
from training.access.throttle import (
    inside_paths,
    people_named,
    person_meant,
    sign_in_paths,
    wait_in_words,
)
from training.actions.accounts import choose_password
from training.actions.refusals import note_refusal
from training.actions.tries import Wait, forget_tries, take_try
from training.models import User
from training.models.refusals import CLOSED, PASSWORD, WAIT
from training.standing.rules.here import has_left
from training.views.forms.fields import Bare, CodeInput, PasswordAgain


def wait_of(form: forms.BaseForm) -> int:
    """Seconds to wait, where the form was refused for that; else 0."""
    found = [
        error for errors in form.errors.as_data().values() for error in errors if error.code == WAIT
    ]
    return int((found[0].params or {})["seconds"]) if found else 0


def told_to_wait(wait: Wait) -> ValidationError:
    said = gettext("Too many wrong passwords. Try again in {wait}.").format(
        wait=wait_in_words(wait.seconds)
    )
    return ValidationError(said, code=WAIT, params={"seconds": wait.seconds})


def _why_refused(person: User | None, now: datetime) -> str:
    # Without a query: how long an answer takes must not tell who works here.
    if person is None or (person.is_active and not has_left(person, person.workshop.day_of(now))):
        return PASSWORD
    return CLOSED


class SignInForm(AuthenticationForm):
    """Login and password. The try is counted before the password is looked at."""

    error_messages = {
        **AuthenticationForm.error_messages,
        "invalid_login": _(
            "The login or the password is wrong, or the account is closed. Type both again."
        ),
    }

    def clean(self) -> dict[str, Any]:
        login, password, now = (
            self.cleaned_data.get("username"),
            self.cleaned_data.get("password"),
            timezone.now(),
        )
        if not login or not password or self.request is None:
            return self.cleaned_data  # the fields say that they are empty
        people = people_named(login)
        person = person_meant(login, people)
        try:
            # Before the hash, which takes a tenth of a second of a core at each try of a flood.
            path = take_try(paths=sign_in_paths(self.request, login, people), now=now)
        except Wait as wait:
            note_refusal(request=self.request, why=WAIT, person=person, now=now)
            raise told_to_wait(wait) from wait
        try:
            cleaned = super().clean()
        except ValidationError:
            note_refusal(
                request=self.request, why=_why_refused(person, now), person=person, now=now
            )
            raise
        forget_tries(path=path, now=now)
        return cleaned


def _say_plainly(fields: dict[str, forms.Field]) -> None:
    """Put our words on the two fields of a new password, in place of Django's."""
    put_own_words(fields)
    fields["new_password1"].help_text = _(
        "At least 10 characters; a few words are best. Do not use a name, a row of keys, or a "
        "password that many people use."
    )
    fields["new_password2"].label = _("New password, again")
    fields["new_password2"].help_text = ""


NOT_THE_SAME = _("The two passwords are not the same. Type the new one twice.")


class NewPasswordForm(PasswordChangeForm):
    """The old password, which is throttled as when signing, and a new one twice."""

    error_messages = {
        "password_incorrect": _("This is not your old password. Type it again."),
        "password_mismatch": NOT_THE_SAME,
    }

    def __init__(self, user: Any, *args: Any, request: HttpRequest, **more: Any) -> None:
        super().__init__(user, *args, **more)
        _say_plainly(self.fields)
        self.request = request

    def clean_old_password(self) -> str:
        now = timezone.now()
        try:
            # Apart from tries at the sign-in page: no stranger can keep anybody from this.
            path = take_try(paths=inside_paths(self.request, self.user), now=now)
        except Wait as wait:
            raise told_to_wait(wait) from wait
        old: str = super().clean_old_password()
        forget_tries(path=path, now=now)
        return old

    def clean(self) -> dict[str, Any]:
        given: dict[str, Any] = super().clean() or {}
        if given.get("old_password") and given["old_password"] == given.get("new_password1"):
            self.add_error("new_password1", _("This is your old password. Choose a new one."))
        return given

    def save(self, commit: bool = True) -> User:
        session = self.request.session
        person = choose_password(
            person=self.user,
            password=self.cleaned_data["new_password1"],
            now=timezone.now(),
            device=session.get(DEVICE),
            session=session.session_key or "",
        )
        self.user.password = person.password  # so that this session stays, and the others end
        return person


class FirstPasswordForm(SetPasswordMixin, forms.Form):  # type: ignore[type-arg]
    """The code of a link, and the password that is chosen by it, twice."""

    code = forms.CharField(
        max_length=40,
        label=_("Code"),
        help_text=_("It is on the slip that the owner gave you."),
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "autocapitalize": "off", "spellcheck": "false"}
        ),
    )
    new_password1, new_password2 = SetPasswordMixin.create_password_fields(
        label1=_("New password"), label2=_("New password, again")
    )

    error_messages = {"password_mismatch": NOT_THE_SAME}

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        _say_plainly(self.fields)

    def clean(self) -> dict[str, Any] | None:
        self.validate_passwords("new_password1", "new_password2")
        return super().clean()


class CodeForm(Bare):
    """A code of the second factor, or a recovery code."""

    code = forms.CharField(
        max_length=30,
        label=_("Code"),
        help_text=_("The six digits that your app shows, or one of your recovery codes."),
        widget=CodeInput(),
    )


class PasswordAndCodeForm(PasswordAgain):
    """The password again, and a code where there is a second factor."""

    def __init__(self, *args: Any, with_code: bool, **more: Any) -> None:
        super().__init__(*args, **more)
        if with_code:
            self.fields["code"] = CodeForm.base_fields["code"]


class FactorRuleForm(PasswordAndCodeForm):
    """Whom the shop asks for a second factor."""

    seniors = forms.BooleanField(required=False, label=_("Senior mechanics"))
    owners = forms.BooleanField(required=False, label=_("Owners"))
    field_order = ("seniors", "owners", "password", "code")
