"""How are the rules of a level written down?"""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from procedures.models import WriteUp
from training.models import Level
from training.views.forms.fields import Bare, day_field


class LevelForm(Bare):
    """What a level asks from a day on; 0 means not asked."""

    title = forms.CharField(max_length=200)
    from_day = day_field(
        label=_("From"),
        required=False,
        help_text=_("The first day of these rules. Leave empty for always."),
    )
    earlier = forms.ModelMultipleChoiceField(
        Level.objects.titled(),
        required=False,
        to_field_name="name",
        label=_("Levels needed first"),
        widget=forms.CheckboxSelectMultiple,
    )
    writeups = forms.ModelMultipleChoiceField(
        WriteUp.objects.all(),
        required=False,
        to_field_name="name",
        label=_("Write-ups it covers"),
        widget=forms.CheckboxSelectMultiple,
    )
    valid_months = forms.IntegerField(
        min_value=1, max_value=1200, initial=24, label=_("Months a sign-off is valid")
    )
    practice_jobs = forms.IntegerField(
        min_value=0, max_value=999, initial=0, label=_("Jobs to stay current")
    )
    practice_months = forms.IntegerField(
        min_value=0, max_value=999, initial=0, label=_("In how many months")
    )
    practice_from = day_field(
        label=_("Jobs logged since"),
        required=False,
        help_text=_(
            "The day on which you began to log jobs here. Nobody loses a sign-off for "
            "missing jobs in the first months after it. Leave empty if that was long ago."
        ),
    )
    watched_jobs = forms.IntegerField(
        min_value=0, max_value=999, initial=0, label=_("Supervised jobs before a sign-off")
    )
    watched_per_option = forms.BooleanField(
        required=False, label=_("At least one for every option of a fork or shock")
    )
    observations = forms.IntegerField(
        min_value=0, max_value=99, initial=0, label=_("Observations before a sign-off")
    )
    observers = forms.IntegerField(
        min_value=0, max_value=99, initial=0, label=_("By how many different observers")
    )
    pass_percent = forms.IntegerField(
        min_value=0, max_value=100, initial=0, label=_("Pass mark of the quiz in %")
    )
    grace_days = forms.IntegerField(
        min_value=0, max_value=999, initial=0, label=_("Days to catch up after a new revision")
    )
    yardstick = forms.CharField(
        max_length=300,
        required=False,
        label=_("Inspired by"),
        help_text=_("The published rule behind these rules, if there is one."),
    )


class NewLevelForm(LevelForm):
    """A level that is new."""

    level = forms.SlugField(
        max_length=80,
        label=_("Name"),
        help_text=_("Use small letters, digits and hyphens, such as air-spring."),
    )
    field_order = ["level", "title"]
