"""What may be asked about cover and the training plan?"""

from __future__ import annotations

from datetime import date
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.utils.translation import gettext_lazy as _

from training.models import User
from training.models.people import is_staying
from training.reports.cover_page import CoverAsked
from training.reports.plan import PlanAsked
from training.views.forms.fields import Bare


class WithoutWhom(Bare):
    """A question that leaves people out: of those who are employed here, since whoever left is not
    counted anyway.
    """

    def __init__(self, data: Any, *, today: date) -> None:
        super().__init__(data)
        staying = User.objects.filter(is_staying(today)).order_by("name")
        for field in self.fields.values():
            if isinstance(field, forms.ModelChoiceField):
                field.queryset = staying


class CoverForm(WithoutWhom):
    """Which weeks of the cover, by which forecast, and without whom."""

    WEEKS = ((4, _("four weeks")), (8, _("eight weeks")), (13, _("a quarter")))
    PACES = (
        ("nothing", _("nobody does any more jobs")),
        ("pace", _("jobs go on as in the last year")),
    )

    weeks = forms.TypedChoiceField(
        choices=WEEKS, coerce=int, initial=4, required=False, label=_("Look ahead")
    )
    forecast = forms.ChoiceField(
        choices=PACES, initial="nothing", required=False, label=_("Forecast")
    )
    without = forms.ModelChoiceField(
        User.objects.order_by("name"),
        required=False,
        to_field_name="login",
        empty_label=_("nobody"),
        label=_("Leave out"),
    )
    and_without = forms.ModelChoiceField(
        User.objects.order_by("name"),
        required=False,
        to_field_name="login",
        empty_label=_("nobody else"),
        label=_("And leave out"),
    )

    def asked(self) -> CoverAsked:
        """What was chosen; what cannot be read is as if it had not been said, and the form says
        so.
        """
        given = self.cleaned_data if self.is_bound and self.is_valid() else {}
        gone = [given.get(name) for name in ("without", "and_without")]
        return CoverAsked(
            weeks=given.get("weeks") or 4,
            at_pace=given.get("forecast") == "pace",
            gone=tuple(dict.fromkeys(person.login for person in gone if person)),
        )

    def plan_query(self) -> str:
        """The same question to the plan, as the query of an address: for as many weeks as a plan
        has, and without the same people.
        """
        asked = self.asked()
        # A plan of four weeks could train nobody.
        weeks = max(asked.weeks, PlanForm.WEEKS[0][0])
        pace = "pace" if asked.at_pace else "nothing"
        given = {name: field.initial for name, field in PlanForm.base_fields.items()}
        gone = dict(zip(("gone", "and_gone"), asked.gone, strict=False))
        query = {"weeks": weeks, "own": given["own"], "senior": given["senior"]}
        return urlencode({**query, "at_once": given["at_once"], "forecast": pace, **gone})


class PlanForm(WithoutWhom):
    """For how many weeks a plan is made, and with what."""

    WEEKS = ((8, _("eight weeks")), (13, _("a quarter")))

    weeks = forms.TypedChoiceField(choices=WEEKS, coerce=int, initial=8, label=_("Plan for"))
    own = forms.DecimalField(
        min_value=0, max_value=8, decimal_places=2, initial=2, label=_("Hours a day for learning")
    )
    senior = forms.DecimalField(
        min_value=0,
        max_value=8,
        decimal_places=2,
        initial=1,
        label=_("Hours a day that a senior teaches"),
    )
    at_once = forms.IntegerField(
        min_value=1, max_value=6, initial=1, label=_("Levels learned at the same time")
    )
    forecast = forms.ChoiceField(
        choices=CoverForm.PACES, initial="nothing", required=False, label=_("Forecast")
    )
    gone = forms.ModelChoiceField(
        User.objects.order_by("name"),
        required=False,
        to_field_name="login",
        empty_label=_("nobody"),
        label=_("Leave out"),
    )
    and_gone = forms.ModelChoiceField(
        User.objects.order_by("name"),
        required=False,
        to_field_name="login",
        empty_label=_("nobody else"),
        label=_("And leave out"),
    )
    without = forms.CharField(required=False, max_length=150, widget=forms.HiddenInput)

    def asked(self) -> PlanAsked:
        """What was chosen; what is usual where nothing was, or it cannot be read."""
        given = (
            self.cleaned_data
            if self.is_bound and self.is_valid()
            else {name: field.initial for name, field in self.fields.items()}
        )
        return PlanAsked(
            int(given["weeks"]),
            float(given["own"]),
            float(given["senior"]),
            int(given["at_once"]),
            given["without"] or "",
            given.get("forecast") == "pace",
            tuple(
                dict.fromkeys(
                    person.login for person in (given.get("gone"), given.get("and_gone")) if person
                )
            ),
        )
