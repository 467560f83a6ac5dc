"""What may be chosen on the pages of the rota?"""

from __future__ import annotations

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout
from django import forms
from django.utils.translation import gettext_lazy as _

from training.actions.rota import MOST_WANTED
from training.models import DAYS, Workshop
from training.views.forms.fields import Bare, day_field

WEEKDAYS = (
    ("mon", _("Monday")),
    ("tue", _("Tuesday")),
    ("wed", _("Wednesday")),
    ("thu", _("Thursday")),
    ("fri", _("Friday")),
    ("sat", _("Saturday")),
    ("sun", _("Sunday")),
)


class ShiftForm(Bare):
    """On which weekdays somebody works in which workshop, from when on."""

    workshop = forms.ModelChoiceField(
        Workshop.objects.order_by("name"), empty_label=None, label=_("Workshop")
    )
    weekdays = forms.MultipleChoiceField(
        choices=WEEKDAYS,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label=_("Works there on"),
        help_text=_("Tick none if the person no longer works there."),
    )
    first = day_field(label=_("From"))

    @property
    def helper(self) -> FormHelper:
        helper = super().helper
        helper.layout = Layout(
            Fieldset(_("Weekdays from a day on"), "workshop", "first", "weekdays")
        )
        return helper


class AbsenceForm(Bare):
    """When somebody is away."""

    first = day_field(label=_("First day away"))
    until = day_field(label=_("Last day away"))
    why = forms.CharField(
        max_length=200, required=False, label=_("Why"), help_text=_("Seniors and the owner see it.")
    )

    @property
    def helper(self) -> FormHelper:
        helper = super().helper
        helper.layout = Layout(Fieldset(_("Add an absence"), "first", "until", "why"))
        return helper


class WantForm(Bare):
    """How many people alone are wanted on each weekday."""

    def __init__(self, data: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        for day, label in WEEKDAYS:
            self.fields[day] = forms.IntegerField(
                label=label, min_value=0, max_value=MOST_WANTED, initial=0
            )

    @property
    def helper(self) -> FormHelper:
        helper = super().helper
        helper.layout = Layout(Fieldset(_("Wanted on each weekday"), *DAYS))
        return helper

    def counts(self) -> dict[str, int]:
        """The numbers by weekday."""
        return {day: self.cleaned_data[day] for day in DAYS}
