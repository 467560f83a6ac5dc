"""How are the rules of a level written down?"""

from __future__ import annotations

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout
from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from training.standing.terms import GROUPS, TERMS, Terms
from training.views.forms.fields import Bare, day_field
from training.views.forms.terms import field_of


class LevelForm(Bare):
    """What a level asks from a day on; 0 means not asked."""

    from_day = day_field(
        label=_("These rules count from"), required=False, help_text=_("Leave empty for always.")
    )
    field_order = ("title", "level", "from_day")

    def __init__(self, *given: Any, **more: Any) -> None:
        super().__init__(*given, **more)
        self.fields |= {name: field_of(term) for name, term in TERMS.items()}
        self.order_fields(self.field_order)

    @property
    def helper(self) -> FormHelper:
        """The terms in their groups; what belongs to the form alone stands in the first."""
        groups: dict[str, list[str]] = {group: [] for group in GROUPS}
        for name in self.fields:
            groups[TERMS[name].group if name in TERMS else "level"].append(name)
        helper = super().helper
        helper.layout = Layout(
            *(Fieldset(gettext(GROUPS[group]), *names) for group, names in groups.items())
        )
        return helper

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        jobs, months = given.get("practice_jobs"), given.get("practice_months")
        # Half of it asks nothing, and nobody would be told.
        if jobs is not None and months is not None and bool(jobs) != bool(months):
            self.add_error(
                "practice_months" if jobs else "practice_jobs",
                _("Type how many jobs and in how many months, or 0 in both."),
            )
        seen, observers = given.get("observations"), given.get("observers")
        if seen is not None and observers is not None and observers > seen:
            text = gettext(
                "Each observation has one observer. Type at most {seen} here, or ask for more "
                "observations."
            )
            self.add_error("observers", text.format(seen=seen))
        return given

    def terms(self) -> Terms:
        """What was written, once it is valid."""
        given = {name: self.cleaned_data[name] for name in TERMS}
        named = {"levels", "write-ups"}
        for name, term in TERMS.items():
            if term.kind in named:
                # Rules of a level are kept by names, which mean the same in another site's record.
                given[name] = tuple(row.name for row in given[name])
        return Terms(**given)


class NewLevelForm(LevelForm):
    """A level that is new."""

    level = forms.SlugField(
        max_length=80,
        label=_("Short name"),
        help_text=_("For addresses and tables, such as air-spring. You cannot change it later."),
        error_messages={"invalid": _("Use small letters, digits and hyphens, such as air-spring.")},
    )
