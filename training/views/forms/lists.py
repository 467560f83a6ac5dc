"""How is something looked for in the lists of people, records and entries?"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from procedures.views.forms.search import SearchForm, choices_of
from training.models import Workshop, roles
from training.reports.voids import WORDS


class RecordSearch(SearchForm):
    """Which entries of a person's record."""

    kind = forms.ChoiceField(label=_("Kind of entry"), required=False)
    field_order = ("kind", "words")

    def __init__(self, data: Any, kinds: Iterable[tuple[str, str]]) -> None:
        super().__init__(data)
        self.fields["kind"].choices = choices_of(_("every kind"), kinds)  # type: ignore[attr-defined]


class BookSearch(SearchForm):
    """Which entries of the record book."""

    words = None  # type: ignore[assignment]
    person = forms.ChoiceField(label=_("Person"), required=False)
    kind = forms.ChoiceField(label=_("Kind of entry"), required=False)

    def __init__(
        self, data: Any, people: Iterable[tuple[str, str]], kinds: Iterable[tuple[str, str]]
    ) -> None:
        super().__init__(data)
        self.fields["person"].choices = choices_of(_("everybody"), people)  # type: ignore[attr-defined]
        self.fields["kind"].choices = choices_of(_("every kind"), kinds)  # type: ignore[attr-defined]


class EntrySearch(SearchForm):
    """Which of a person's entries is wrong."""

    kind = forms.ChoiceField(
        label=_("Kind of entry"), required=False, choices=choices_of(_("every kind"), WORDS.items())
    )
    field_order = ("kind", "words")


class PeopleSearch(SearchForm):
    """Which people."""

    trade = forms.ChoiceField(
        label=_("Role"),
        required=False,
        choices=choices_of(_("every role"), (*roles.TRADES[:-1], (roles.OWNER, _("owner")))),
    )
    workshop = forms.ChoiceField(label=_("Workshop"), required=False)

    def __init__(self, data: Any) -> None:
        super().__init__(data)
        names = Workshop.objects.order_by("name").values_list("name", flat=True)
        rows = choices_of(_("every workshop"), [(name, name) for name in names])
        self.fields["workshop"].choices = rows  # type: ignore[attr-defined]
