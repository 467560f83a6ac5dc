"""How is a question typed that asks for an amount?"""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy as _

from quizzes.kinds.give_amount import AMOUNT
from quizzes.views.forms.written.common import Written, WrittenForm


class AmountWritten(WrittenForm):
    kind: ClassVar[str] = AMOUNT

    amount = forms.CharField(
        max_length=200,
        label=_("The right amount"),
        help_text=_("With its tolerance and its unit, such as: 24 ± 2 N·m, or 20..30 %"),
    )

    def own_fields(self) -> tuple[str, ...]:
        return ("amount",)

    def own_entry(self) -> Written:
        return {"amount": self.cleaned_data["amount"]}

    @classmethod
    def own_initial(cls, entry: Written) -> dict[str, Any]:
        return {"amount": entry.get("amount", "")}
