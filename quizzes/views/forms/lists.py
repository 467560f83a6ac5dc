"""How is a question, or a draft of one, looked for?"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from procedures.views.forms.search import SearchForm, choices_of
from quizzes.kinds.registry import KINDS
from quizzes.reports.bank import Bank, Listed

STATES = {
    "asked": _("asked today"),
    "not-asked": _("not asked today"),
    "critical": _("critical"),
    "suggestions": _("with suggestions"),
}


class QuestionSearch(SearchForm):
    """Which questions: of one write-up, of one kind, in one state."""

    writeup = forms.ChoiceField(label=_("Write-up"), required=False)
    kind = forms.ChoiceField(label=_("Kind"), required=False)
    state = forms.ChoiceField(
        label=_("State"), required=False, choices=choices_of(_("every state"), STATES.items())
    )
    field_order = ("writeup", "kind", "state", "words")

    def __init__(self, data: Any, writeups: Iterable[tuple[str, str]]) -> None:
        super().__init__(data)
        self.fields["writeup"].choices = choices_of(_("every write-up"), writeups)  # type: ignore[attr-defined]
        self.fields["kind"].choices = choices_of(_("every kind"), ((one, one) for one in KINDS))  # type: ignore[attr-defined]

    def finds(self, bank: Bank, one: Listed) -> bool:
        """Whether a question is among those looked for."""
        said = self.said()
        fits = {
            "": True,
            "asked": not one.set_aside,
            "not-asked": bool(one.set_aside),
            "critical": one.critical,
            "suggestions": bool(one.advice),
        }
        return (
            said.get("writeup", "") in {"", bank.name}
            and said.get("kind", "") in {"", one.kind}
            and fits[said.get("state", "")]
            and self.has_words(one.stem, one.name, bank.title, *one.steps)
        )


class DraftSearch(SearchForm):
    """Which drafts."""

    kind = forms.ChoiceField(label=_("Kind"), required=False)
    field_order = ("kind", "words")

    def __init__(self, data: Any) -> None:
        super().__init__(data)
        self.fields["kind"].choices = choices_of(_("every kind"), ((one, one) for one in KINDS))  # type: ignore[attr-defined]
