"""What may an owner tick among the examples?"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, cast

from django import forms
from django.utils.translation import gettext_lazy as _

from training.exchange.folder.examples import Chosen, Examples, InShop
from training.views.forms.fields import Bare


class ExamplesForm(Bare):
    """The examples, with everything ticked that the shop does not have yet."""

    levels = forms.MultipleChoiceField(
        label=_("Service levels"), required=False, widget=forms.CheckboxSelectMultiple
    )
    rules = forms.BooleanField(label=_("The rules for safe work"), required=False, initial=True)
    writeups = forms.MultipleChoiceField(
        label=_("Write-ups, as drafts"), required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, data: Any, known: Examples, there: InShop) -> None:
        super().__init__(data)
        self._offer("levels", ((one.name, one.title) for one in known.levels), there.levels)
        self._offer("writeups", ((one.name, one.title) for one in known.writeups), there.writeups)
        if there.has_rules:
            self.fields["rules"].widget = forms.HiddenInput()
            self.fields["rules"].initial = None

    def _offer(self, name: str, known: Iterable[tuple[str, str]], there: frozenset[str]) -> None:
        field = cast("forms.MultipleChoiceField", self.fields[name])
        every = list(known)
        # All can be sent, so that a page that was sent twice is told what is there by now.
        field.choices = every
        new = [one for one in every if one[0] not in there]
        field.initial = [name for name, _title in new]
        field.widget = (
            forms.CheckboxSelectMultiple(choices=new) if new else forms.MultipleHiddenInput()
        )

    def chosen(self) -> Chosen:
        """What was ticked."""
        given = self.cleaned_data
        return Chosen(tuple(given["levels"]), tuple(given["writeups"]), given["rules"])
