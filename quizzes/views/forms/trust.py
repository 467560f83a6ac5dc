"""With which pass mark, and for which levels, are the chances of a quiz worked out?"""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from procedures.views.forms.plain import PlainForm


class PassMarkForm(PlainForm):
    percent = forms.IntegerField(label=_("Pass mark in %"), min_value=0, max_value=100)


class LengthForm(PlainForm):
    """Whom a quiz is to tell apart, and how surely; all in percent."""

    weak = forms.IntegerField(
        label=_("A person who knows only this much must not pass, in %"),
        help_text=_("of what can be asked"),
        min_value=0,
        max_value=99,
        initial=60,
    )
    able = forms.IntegerField(
        label=_("A person who knows this much must pass, in %"),
        help_text=_("of what can be asked"),
        min_value=1,
        max_value=100,
        initial=90,
    )
    sure = forms.IntegerField(
        label=_("How sure it must be, in %"),
        help_text=_("the least chance that the quiz is right about each of the two"),
        min_value=50,
        max_value=99,
        initial=90,
    )

    def clean(self) -> dict[str, Any]:
        """Raises ValidationError where the two levels are not in their order."""
        given = super().clean() or {}
        if "weak" in given and "able" in given and given["weak"] >= given["able"]:
            self.add_error(
                "able",
                _(
                    "Type a higher number: the person who must pass knows more than the one who "
                    "must not."
                ),
            )
        return given

    def asked(self) -> dict[str, int]:
        """What was asked; the numbers that the form begins with where it was not filled in
        rightly.
        """
        if self.is_bound and self.is_valid():
            return {name: int(self.cleaned_data[name]) for name in self.fields}
        return {name: int(field.initial) for name, field in self.fields.items()}
