"""Which sheet for the wall: which workshop, for how many days, on which paper?"""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from training.models import Workshop
from training.views.forms.fields import Bare

DAYS = [("1", _("today")), ("7", _("the next seven days"))]
PAPERS = [("A3", "A3"), ("A4", "A4")]


class WallForm(Bare):
    """Choose the sheet. What cannot be read counts as not said: an old address still prints."""

    workshop = forms.ChoiceField(label=_("Workshop"), required=False)
    days = forms.ChoiceField(label=_("Days"), required=False, choices=DAYS)
    paper = forms.ChoiceField(label=_("Paper"), required=False, choices=PAPERS)

    def __init__(self, data: Any, *, own: str) -> None:
        names = list(Workshop.objects.values_list("name", flat=True))
        choices = [*((name, name) for name in names), ("", _("all workshops"))]
        known = {"workshop": {*names, ""}, "days": {"1", "7"}, "paper": {"A3", "A4"}}
        unsaid = {"workshop": own, "days": "1", "paper": "A3"}
        said = {
            name: data[name] if data.get(name) in known[name] else unsaid[name] for name in known
        }
        super().__init__(said)
        self.fields["workshop"] = forms.ChoiceField(
            required=False, label=_("Workshop"), choices=choices
        )
        # With one workshop there is nothing to choose.
        if len(names) < 2:
            del self.fields["workshop"]
        self._said = said

    def asked(self) -> dict[str, str]:
        """The workshop (empty: all of them), the number of days and the paper."""
        return self._said
