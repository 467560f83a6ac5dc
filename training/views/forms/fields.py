"""What does every form here begin with, and which fields do several of them have?"""

from __future__ import annotations

from typing import Any

from crispy_forms.helper import FormHelper
from django import forms
from django.forms.boundfield import BoundField
from django.utils.translation import gettext_lazy as _

from procedures.views.forms.plain import PlainForm
from training.actions.once import LONGEST, OUT_OF_DATE, new_mark


class Bare(PlainForm):
    """A form whose page writes the form tag and the buttons."""

    @property
    def helper(self) -> FormHelper:
        helper = FormHelper()
        helper.form_tag = False
        return helper

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        field = self.fields.get("mark")  # a hidden field could not tell what is wrong with it
        if (
            isinstance(field, MarkField)
            and not field.shortest <= len(given.get("mark", "")) <= LONGEST
        ):
            raise forms.ValidationError(OUT_OF_DATE)
        return given


class MarkField(forms.CharField):
    """The mark that makes a form count once, hidden in it. Without a fitting one the form says that
    its page is out of date.
    """

    def __init__(self, *, shortest: int = 1) -> None:
        # Not required: the field's own complaint would stand where nobody sees it.
        super().__init__(required=False, widget=forms.HiddenInput)
        self.shortest = shortest

    def get_bound_field(self, form: forms.BaseForm, field_name: str) -> BoundField:
        """Each showing of an empty form has a mark of its own."""
        if not form.is_bound:
            form.initial.setdefault(field_name, new_mark())
        return super().get_bound_field(form, field_name)


class DayInput(forms.DateInput):
    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


class CodeInput(forms.TextInput):
    """For a code of the second factor; a phone offers the newest one."""

    def __init__(self) -> None:
        super().__init__(
            attrs={"autocomplete": "one-time-code", "autocapitalize": "off", "spellcheck": "false"}
        )


def day_field(**more: Any) -> forms.DateField:
    # A browser sends ISO days, however it shows them.
    return forms.DateField(widget=DayInput(), input_formats=["%Y-%m-%d"], **more)


class PasswordAgain(Bare):
    """The signer's password, asked again."""

    password = forms.CharField(
        label=_("Your password, again"),
        # A password may begin or end with a space.
        strip=False,
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
