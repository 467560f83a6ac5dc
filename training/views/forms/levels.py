"""How are the rules of a level written down?"""

from __future__ import annotations

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout
from django import forms
from django.utils.translation import gettext_lazy as _

from procedures.models import WriteUp
from training.models import Level
from training.views.forms.fields import Bare, day_field


def number_field(least: int, most: int, initial: int, **more: Any) -> forms.IntegerField:
    return forms.IntegerField(min_value=least, max_value=most, initial=initial, **more)


class LevelForm(Bare):
    """What a level asks from a day on; 0 means not asked."""

    title = forms.CharField(max_length=200, label=_("Title"))
    from_day = day_field(
        label=_("These rules hold from"), required=False, help_text=_("Empty: always.")
    )
    earlier = forms.ModelMultipleChoiceField(
        Level.objects.titled(),
        required=False,
        to_field_name="name",
        label=_("Needs these levels first"),
        widget=forms.CheckboxSelectMultiple,
    )
    writeups = forms.ModelMultipleChoiceField(
        WriteUp.objects.all(),
        required=False,
        to_field_name="name",
        label=_("Write-ups it covers"),
        widget=forms.CheckboxSelectMultiple,
    )
    pass_percent = number_field(0, 100, 80, label=_("Pass mark of the quiz, per cent"))
    watched_jobs = number_field(0, 999, 3, label=_("Supervised jobs"))
    watched_per_option = forms.BooleanField(
        required=False, label=_("At least one supervised job for each option of a fork")
    )
    observations = number_field(0, 99, 1, label=_("Observations"))
    observers = number_field(0, 99, 1, label=_("By how many different observers"))
    valid_months = number_field(1, 1200, 12, label=_("Signed off for, months"))
    grace_days = number_field(0, 999, 14, label=_("Days to catch up after a new revision"))
    practice_jobs = number_field(0, 999, 4, label=_("Jobs to stay current"))
    practice_months = number_field(0, 999, 12, label=_("In how many months"))
    practice_from = day_field(
        label=_("Jobs written down since"),
        required=False,
        help_text=_(
            "The day on which you began to write jobs down. In the first months after it nobody "
            "has too few. Empty: long ago."
        ),
    )
    yardstick = forms.CharField(
        max_length=300,
        required=False,
        label=_("Inspired by"),
        help_text=_("The published rule behind these numbers, if there is one."),
    )
    named: tuple[str, ...] = ("title", "from_day")

    @property
    def helper(self) -> FormHelper:
        helper = super().helper
        helper.layout = Layout(
            Fieldset(_("The level"), *self.named),
            Fieldset(_("What it covers"), "earlier", "writeups"),
            Fieldset(
                _("Before a sign-off (0: not asked)"),
                *("pass_percent", "watched_jobs", "observations", "observers"),
                "watched_per_option",
            ),
            Fieldset(
                _("After a sign-off (0: not asked)"),
                *("valid_months", "grace_days", "practice_jobs", "practice_months"),
                *("practice_from", "yardstick"),
            ),
        )
        return helper


class NewLevelForm(LevelForm):
    """A level that is new."""

    level = forms.SlugField(
        max_length=80,
        label=_("Short name"),
        help_text=_("For addresses and tables, such as air-spring. It stays for good."),
        error_messages={"invalid": _("Use small letters, digits and hyphens, such as air-spring.")},
    )
    named = ("title", "level", "from_day")
