"""What does a senior tick and type to sign that something was gone through again?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from quizzes.reports.results import MissedStep
from training.records.seen_again import LineKept
from training.views.forms.fields import PasswordAgain


class Shown(PasswordAgain):
    """The password under what was shown; `shown` is its digest."""

    shown = forms.CharField(widget=forms.HiddenInput, min_length=64, max_length=64)


class GoneThroughForm(Shown):
    """Each missed step is ticked by itself."""

    steps = forms.MultipleChoiceField(
        label=_("Steps you went through again"),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _("Tick each step that you have gone through again.")},
    )
    field_order = ["steps", "password", "shown"]

    def __init__(self, data: Any = None, *, steps: Sequence[MissedStep], **more: Any) -> None:
        super().__init__(data, **more)
        choices = [(step.key, f"{step.title} ({step.writeup})") for step in steps]
        self.fields["steps"].choices = choices  # type: ignore[attr-defined]


class TalkForm(Shown):
    """What came out of the talk."""

    note = forms.CharField(
        label=_("What you agreed"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("Say what was not clear, and what happens before the next sitting."),
    )
    field_order = ["note", "password", "shown"]


class ShownAgainForm(Shown):
    """Each step that was not right is ticked by itself."""

    steps = forms.MultipleChoiceField(
        label=_("Steps that were shown again and then done right"),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _("Tick each step that you have shown again.")},
    )
    note = forms.CharField(
        required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )
    field_order = ["steps", "note", "password", "shown"]

    def __init__(self, data: Any = None, *, lines: Sequence[LineKept], **more: Any) -> None:
        super().__init__(data, **more)
        self.fields["steps"].choices = [(line.step, line.title) for line in lines]  # type: ignore[attr-defined]
        if not lines:  # one that was brought in, with no check sheet
            del self.fields["steps"]
