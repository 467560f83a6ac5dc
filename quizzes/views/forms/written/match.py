"""How is a question typed in which pairs are found?"""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy as _

from procedures.views.forms.language import LinesField, entries_in
from procedures.views.forms.plain import PlainForm
from procedures.views.forms.rules import RowTyped
from quizzes.kinds.match import MATCH
from quizzes.views.forms.written.common import RowKind, Written, WrittenForm, without_empty


class PairRow(PlainForm):
    left = forms.CharField(max_length=400, label=_("This"))
    right = forms.CharField(max_length=400, label=_("belongs to this"))
    says = forms.CharField(
        required=False,
        max_length=1000,
        label=_("Why"),
        widget=forms.Textarea(attrs={"class": "lines"}),
    )


class MatchWritten(WrittenForm):
    kind: ClassVar[str] = MATCH
    row_kinds = {"pairs": RowKind(PairRow, _("Pairs"), _("Add a pair"))}

    spare = LinesField(
        label=_("Also on offer, and wrong"),
        help_text=_("Partners that belong to nothing. One to a line."),
    )

    def own_fields(self) -> tuple[str, ...]:
        return ("spare",)

    @classmethod
    def own_initial(cls, entry: Written) -> dict[str, Any]:
        return {"spare": tuple(entry.get("spare", ()))}

    @classmethod
    def rows_from(cls, entry: Written) -> dict[str, list[RowTyped]]:
        return {"pairs": list(entry.get("pairs", ({}, {}, {})))}

    def own_entry(self) -> Written:
        spare = list(entries_in(self.cleaned_data["spare"]))
        pairs = [without_empty(row) for row in self.typed("pairs")]
        return {"pairs": pairs} | ({"spare": spare} if spare else {})
