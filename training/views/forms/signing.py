"""What is typed or chosen under a signature?"""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from training.models import Level
from training.views.forms.fields import Bare, MarkField, PasswordAgain, day_field
from training.views.forms.forks import Variants


class LimitsForm(Bare):
    """For which forks a sign-off is to hold; nothing chosen for a variant means every option of
    it.
    """

    def __init__(self, data: Any = None, *, variants: Variants) -> None:
        super().__init__(data)
        self.variants = variants
        for name, options in variants:
            self.fields[f"l-{name}"] = forms.MultipleChoiceField(
                label=gettext("Only for {name}").format(name=name),
                required=False,
                choices=[(option, option) for option in options],
                widget=forms.CheckboxSelectMultiple,
                help_text=_("Tick none to sign off for all of them."),
            )

    def limits(self) -> dict[str, list[str]]:
        """The limits that were chosen; all options ticked is no limit."""
        if not self.is_bound or not self.is_valid():
            return {}
        chosen = {name: list(self.cleaned_data.get(f"l-{name}", [])) for name, _ in self.variants}
        return {
            name: chosen[name]
            for name, options in self.variants
            # A limit to all of today's options would leave out one that the write-up gets tomorrow.
            if chosen[name] and len(chosen[name]) < len(options)
        }


class SignForm(PasswordAgain):
    """The note and the password under a sign-off; `shown` is the digest of what the signer saw."""

    note = forms.CharField(
        required=False, max_length=1000, widget=forms.Textarea(attrs={"rows": 2})
    )
    shown = forms.CharField(widget=forms.HiddenInput, min_length=64, max_length=64)
    field_order = ["note", "password", "shown"]


class StandDownForm(PasswordAgain):
    """From when, at which level, and why somebody is stood down."""

    level = forms.ModelChoiceField(
        Level.objects.titled(),
        required=False,
        to_field_name="name",
        empty_label=_("every level"),
        label=_("Service level"),
    )
    first = day_field(label=_("From"))
    reason = forms.CharField(max_length=2000, widget=forms.Textarea(attrs={"rows": 3}))
    mark = MarkField()
    field_order = ["level", "first", "reason", "password"]


class LiftForm(PasswordAgain):
    """From when a stand-down ends, and what was done since."""

    on = day_field(label=_("Allowed again from"))
    reason = forms.CharField(
        max_length=2000,
        label=_("What was done or found since"),
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    mark = MarkField()
    field_order = ["on", "reason", "password"]


class VoidForm(PasswordAgain):
    """Why an entry should never have counted."""

    reason = forms.CharField(
        max_length=2000,
        label=_("Why this entry is wrong"),
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    shown = forms.CharField(widget=forms.HiddenInput, min_length=64, max_length=64)
    field_order = ["reason", "password", "shown"]


class DecideForm(PasswordAgain):
    """The second person's word on a void."""

    reason = forms.CharField(
        required=False,
        max_length=2000,
        label=_("Why, if the entry stays"),
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    shown = forms.CharField(widget=forms.HiddenInput, min_length=64, max_length=64)
    field_order = ["reason", "password", "shown"]
