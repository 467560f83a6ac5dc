"""What may be said of a quiz: what it draws, how long it takes, when one may sit again?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout
from django import forms
from django.utils.translation import gettext_lazy as _

from procedures.views.forms.plain import PlainForm
from quizzes.marking.draws import FromPart
from quizzes.reports.quiz import PartOfBank

if TYPE_CHECKING:
    from django.utils.functional import _StrOrPromise

MOST = 99
RULES = ("size", "critical_percent", "minutes", "wait_days", "sittings_a_day", "recall_percent")


def _number(
    label: _StrOrPromise, help_text: _StrOrPromise, *, least: int = 0, most: int = MOST
) -> forms.IntegerField:
    return forms.IntegerField(label=label, help_text=help_text, min_value=least, max_value=most)


class QuizForm(PlainForm):
    """The rules of one quiz; `parts` says which phases and steps can be drawn from."""

    size = _number(
        _("Questions, at least"),
        _("If there are more critical questions than this, all of them are asked."),
        least=1,
    )
    critical_percent = _number(
        _("How many of the critical questions, in %"), _("100: every one, always."), most=100
    )
    minutes = _number(
        _("Time for a sitting in minutes"),
        _("0: as long as it takes. With a time, the person can always take as much again."),
        most=600,
    )
    wait_days = _number(
        _("Days to wait after a quiz that was not passed"),
        _(
            "The next one can start sooner when a senior has gone through each missed step with "
            "the person and signed that."
        ),
        most=366,
    )
    sittings_a_day = _number(_("Sittings a day"), _("0: any number."))
    recall_percent = _number(
        _("Chance wanted of still knowing a step, in %"),
        _("Below this, the question comes up as a practice question."),
        least=50,
    )

    def __init__(self, data: Any = None, *, parts: Sequence[PartOfBank], **more: Any) -> None:
        super().__init__(data, **more)
        self.parts = {f"part-{place}": part for place, part in enumerate(parts, start=1)}
        for name, part in self.parts.items():
            self.fields[name] = forms.IntegerField(
                label=part.label,
                required=False,
                min_value=0,
                max_value=MOST,
                initial=part.count or None,
            )

    @property
    def helper(self) -> FormHelper:
        """The rules in front; the page lays out the parts."""
        helper = FormHelper(self)
        helper.form_tag = False
        helper.layout = Layout(
            Fieldset(_("What a sitting asks"), "size", "critical_percent", "minutes"),
            Fieldset(_("When somebody may sit it again"), "wait_days", "sittings_a_day"),
            Fieldset(_("Practice questions"), "recall_percent"),
        )
        return helper

    def tables(self) -> list[tuple[str, list[tuple[PartOfBank, forms.BoundField]]]]:
        """The phases and then the steps of each write-up, each with its field; under the words that
        head them.
        """
        found: dict[str, list[tuple[PartOfBank, forms.BoundField]]] = {}
        for name, part in self.parts.items():
            found.setdefault(part.heading, []).append((part, self[name]))
        return list(found.items())

    def drawn_from(self) -> tuple[FromPart, ...]:
        """The parts from which at least one question is to come."""
        said = self.cleaned_data
        return tuple(
            FromPart(part.writeup, part.part, part.name, said[name])
            for name, part in self.parts.items()
            if said.get(name)
        )


class WithdrawForm(PlainForm):
    """Why a question is withdrawn."""

    reason = forms.CharField(
        label=_("Why"), max_length=500, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )

    @property
    def helper(self) -> FormHelper:
        helper = FormHelper()
        helper.form_tag = False
        return helper
