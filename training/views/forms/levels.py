"""How are the rules of a level written down?"""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from training.standing.terms import TERMS, Terms
from training.views.forms.fields import Bare, day_field
from training.views.forms.terms import field_of


class LevelForm(Bare):
    """What a level asks from a day on; 0 means not asked."""

    from_day = day_field(
        label=_("From"),
        required=False,
        help_text=_("The first day of these rules. Leave empty for always."),
    )
    field_order = ("level", "title", "from_day")

    def __init__(self, *given: Any, **more: Any) -> None:
        super().__init__(*given, **more)
        self.fields |= {name: field_of(term) for name, term in TERMS.items()}
        self.order_fields(self.field_order)

    def terms(self) -> Terms:
        """What was written, once it is valid."""
        given = {name: self.cleaned_data[name] for name in TERMS}
        named = {"levels", "write-ups"}
        for name, term in TERMS.items():
            if term.kind in named:
                given[name] = tuple(row.name for row in given[name])
        return Terms(**given)


class NewLevelForm(LevelForm):
    """A level that is new."""

    level = forms.SlugField(
        max_length=80,
        label=_("Name"),
        help_text=_("Use small letters, digits and hyphens, such as air-spring."),
    )
