"""How is a job written down, and recalled by the tools that it was done with?"""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from procedures.models import WriteUp
from training.models import User
from training.views.forms.fields import Bare, MarkField, day_field
from training.views.forms.forks import VariantForm, Variants


class JobForm(VariantForm):
    """A job that was done."""

    on = day_field(label=_("Day"))
    watched_by = forms.ModelChoiceField(
        User.objects.none(),
        required=False,
        to_field_name="login",
        label=_("Supervised by"),
        empty_label="nobody: done alone",
        help_text=_("This mechanic confirms it on My bench. The job counts after that."),
    )
    tools = forms.CharField(
        required=False,
        max_length=200,
        label=_("Marked tools used"),
        help_text=_(
            "Such as TW-2, TW-5. If a tool turns out wrong later, you can find the jobs "
            "done with it."
        ),
    )
    note = forms.CharField(
        required=False, widget=forms.Textarea(attrs={"rows": 3}), max_length=2000
    )
    mark = MarkField()

    def __init__(self, data: Any = None, *, watchers: Any, variants: Variants, **more: Any) -> None:
        super().__init__(data, variants=variants, **more)
        field = self.fields["watched_by"]
        if isinstance(field, forms.ModelChoiceField):
            # Only these are taken: another login in what was sent is refused as no choice.
            field.queryset = watchers


class RecallForm(Bare):
    """From what to recall: a tool, a revision or a person, and between which days."""

    tool = forms.CharField(
        required=False, max_length=60, label=_("Tool"), help_text=_("The mark on it, such as TW-2.")
    )
    writeup = forms.ModelChoiceField(
        WriteUp.objects.all(),
        required=False,
        to_field_name="name",
        label=_("Write-up"),
        empty_label="–",
    )
    revision = forms.IntegerField(
        required=False,
        min_value=1,
        label=_("Revision"),
        help_text=_("Leave empty for every revision."),
    )
    person = forms.ModelChoiceField(
        User.objects.order_by("name"),
        required=False,
        to_field_name="login",
        label=_("Person"),
        empty_label="–",
    )
    since = day_field(label=_("Since"), required=False)
    until = day_field(label=_("Until"), required=False)

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        if not (given.get("tool") or given.get("writeup") or given.get("person")):
            raise forms.ValidationError(_("Choose a tool, a write-up or a person."))
        if given.get("revision") and not given.get("writeup"):
            raise forms.ValidationError(_("Choose the write-up of this revision too."))
        return given


def tool_marks(text: str) -> list[str]:
    """The marks in a line such as "TW-2, TW-5": each once, in capitals."""
    return list(
        dict.fromkeys(
            " ".join(mark.split()).upper()
            for mark in text.replace(";", ",").split(",")
            if mark.strip()
        )
    )
