"""How are a person, and an appointment, written down?"""

from __future__ import annotations

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout
from django import forms
from django.utils.translation import gettext_lazy as _

from training.models import Level, Workshop, roles
from training.views.forms.fields import Bare, CodeInput, MarkField, day_field


class AppointForm(Bare):
    """Which level somebody may sign off, and for how long."""

    level = forms.ModelChoiceField(
        Level.objects.titled(), to_field_name="name", label=_("Service level")
    )
    first = day_field(label=_("From"))
    until = day_field(
        label=_("Until"), required=False, help_text=_("The last day. Leave empty for no end.")
    )
    code = forms.CharField(
        max_length=30,
        label=_("Code"),
        help_text=_("The code that your app shows, or a recovery code."),
        widget=CodeInput(),
    )
    mark = MarkField()

    def __init__(self, *args: Any, with_code: bool = False, **more: Any) -> None:
        super().__init__(*args, **more)
        if not with_code:
            del self.fields["code"]

    @property
    def helper(self) -> FormHelper:
        helper = super().helper
        code = ("code",) if "code" in self.fields else ()
        helper.layout = Layout(
            Fieldset(_("Appoint for a level"), "level", "first", "until", *code), "mark"
        )
        return helper


class PersonForm(Bare):
    """Who somebody is."""

    # autocomplete is off, since browsers offer the owner's own name.
    name = forms.CharField(
        label=_("Name"), max_length=120, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    trade = forms.ChoiceField(
        choices=roles.TRADES, label=_("Role"), help_text=_("What this person does at the bench.")
    )
    owner = forms.BooleanField(label=_("Owns the shop"), required=False)
    workshop = forms.ModelChoiceField(Workshop.objects.all(), label=_("Workshop"), empty_label=None)
    started = day_field(label=_("First day employed here"), required=False)
    left = day_field(
        label=_("Last day employed here"),
        required=False,
        help_text=_("Leave empty while the person works here."),
    )
    is_active = forms.BooleanField(label=_("May sign in"), required=False, initial=True)
    named: tuple[str, ...] = ("name", "trade", "owner", "workshop")

    @property
    def helper(self) -> FormHelper:
        helper = super().helper
        helper.layout = Layout(
            Fieldset(_("Who it is"), *self.named),
            Fieldset(_("From when to when"), "started", "left", "is_active"),
        )
        return helper


class NewPersonForm(PersonForm):
    """Who is added."""

    login = forms.CharField(
        label=_("Login"),
        max_length=60,
        help_text=_("What the person types to sign in. You cannot change it later."),
        widget=forms.TextInput(attrs={"autocomplete": "username"}),
    )
    named = ("name", "login", "trade", "owner", "workshop")
