"""How are the options of a question typed: one is right, or some are?"""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy as _

from procedures.views.forms.plain import PlainForm
from procedures.views.forms.rules import RowTyped
from quizzes.kinds.choose_all import ALL
from quizzes.kinds.choose_one import ONE
from quizzes.views.forms.written.common import Offers, RowKind, Written, WrittenForm, without_empty


class OptionRow(PlainForm):
    text = forms.CharField(
        max_length=1000, label=_("Option"), widget=forms.Textarea(attrs={"class": "lines"})
    )
    right = forms.BooleanField(required=False, label=_("This option is right"))
    says = forms.CharField(
        required=False,
        max_length=1000,
        label=_("Why it is right or wrong"),
        widget=forms.Textarea(attrs={"class": "lines"}),
    )
    drawing = forms.ChoiceField(required=False, label=_("Drawing beside it"))

    def __init__(self, *args: Any, offers: Offers, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        now = [self.initial.get("drawing", "")]
        self.fields["drawing"].choices = offers.pick_drawing(now)  # type: ignore[attr-defined]


class ChooseOneWritten(WrittenForm):
    kind: ClassVar[str] = ONE
    row_kinds = {"options": RowKind(OptionRow, _("Options"), _("Add an option"))}

    def row_arguments(self, prefix: str) -> dict[str, Any]:
        return {"offers": self.offers}

    @classmethod
    def rows_from(cls, entry: Written) -> dict[str, list[RowTyped]]:
        # Three empty ones to begin with: a question has a right option and wrong ones.
        return {"options": list(entry.get("options", ({}, {}, {})))}

    def own_entry(self) -> Written:
        return {"options": [without_empty(row) for row in self.typed("options")]}


class ChooseAllWritten(ChooseOneWritten):
    kind: ClassVar[str] = ALL
