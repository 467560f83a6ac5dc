"""What may a person type into the pages of the write-ups?"""

import re
from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.text import slugify

from procedures.models import NAME, Asks

LONGEST = 400_000


class TextField(forms.CharField):
    """A longer text, kept letter by letter but for its line ends, which browsers send in their own way."""

    widget = forms.Textarea

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(strip=False, max_length=LONGEST, **kwargs)

    def to_python(self, value: Any) -> str:
        return str(super().to_python(value)).replace("\r\n", "\n").replace("\r", "\n")


def code(rows: int) -> forms.Textarea:
    return forms.Textarea(attrs={"class": "code", "rows": rows, "spellcheck": "true", "autocapitalize": "off"})


class StartForm(forms.Form):
    title = forms.CharField(max_length=200, help_text="As it stands over the write-up, such as: Air-spring service.")
    name = forms.CharField(
        max_length=80, required=False, validators=[NAME],
        help_text="For addresses and files, such as air-spring-service. Left empty, it is made from the title.",
    )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        if not given.get("name") and "name" not in self.errors and given.get("title"):
            given["name"] = re.sub("[-_]+", "-", slugify(given["title"]))[:80].strip("-")
            if not given["name"]:
                self.add_error("name", "No name could be made from this title. Type one.")
        return given


class DraftForm(forms.Form):
    text = TextField(label="Text", widget=code(32))
    reason = forms.CharField(
        required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2}), label="Why this revision",
        help_text="A sentence or two for those who know the last one.",
    )  # fmt: skip
    asks = forms.ChoiceField(
        choices=Asks.choices, label="What it asks of people who are signed off already, at least",
        help_text="Nothing: wording only. Read again. Answer again: a value, part or fact changed. "
        "Show again: a critical step changed. It is never less than its changes ask; those are on the comparison page.",
    )  # fmt: skip
    seen = forms.CharField(widget=forms.HiddenInput)

    def clean_seen(self) -> datetime:
        return instant(self.cleaned_data["seen"])


class SendBackForm(forms.Form):
    reason = forms.CharField(
        max_length=2000, widget=forms.Textarea(attrs={"rows": 2}), label="Why it goes back",
        help_text="For its author: what is to be changed.",
    )  # fmt: skip


class ReleaseForm(forms.Form):
    seen = forms.CharField(widget=forms.HiddenInput)

    def clean_seen(self) -> datetime:
        return instant(self.cleaned_data["seen"])


class RulesForm(forms.Form):
    text = TextField(label="The shop's rules", widget=code(18))
    seen = forms.IntegerField(widget=forms.HiddenInput)


def instant(text: str) -> datetime:
    """The instant that a hidden field carries. Raises ValidationError for anything else."""
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        found = None
    if found is None or found.tzinfo is None:
        raise ValidationError(
            "This page was not sent as it was made. Copy your text, open the page again and go on there."
        )
    return found
