"""How is a program written down that may ask this site?"""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from training.models.programs import SCOPES
from training.views.forms.fields import day_field
from training.views.forms.sign_in import PasswordAndCodeForm


class ProgramForm(PasswordAndCodeForm):
    """What the program is called, what it may do, until when; and the owner's password."""

    name = forms.CharField(
        label=_("Program"),
        max_length=80,
        help_text=_("A name by which you know it, such as screen in the workshop."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    scopes = forms.MultipleChoiceField(
        choices=[(scope, _(said)) for scope, said in SCOPES.items()],
        label=_("It may ask or do"),
        widget=forms.CheckboxSelectMultiple,
    )
    until = day_field(label=_("Until"), help_text=_("The last day. Two years at most."))
    field_order = ("name", "scopes", "until", "password", "code")

    def __init__(self, *args: Any, today: date, **more: Any) -> None:
        super().__init__(*args, **more)
        # A year, so that somebody looks again at what asks here.
        self.fields["until"].initial = date(today.year + 1, today.month, 1)
