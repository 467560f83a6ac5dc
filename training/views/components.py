"""What does each part of the look, in each of its states, look like? A page for developers."""

from __future__ import annotations

from datetime import date

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout
from django import forms
from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.safestring import SafeString
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from training.reports.drawn import DrawnMark, DrawnRow, DrawnSpan, drawing
from training.views.forms.fields import Bare, day_field

SIGNAL_WORDS = ("danger", "warning", "caution", "notice")


class EveryField(Bare):
    """One field of each kind."""

    name = forms.CharField(label=_("Name"))
    torque = forms.IntegerField(label=_("Torque, N·m"), required=False, max_value=60)
    day = day_field(label=_("Last day"), required=False, help_text=_("The last good day."))
    ring = forms.ChoiceField(label=_("Ring"), choices=[("prong", _("prong")), ("coil", _("coil"))])
    reason = forms.CharField(label=_("Reason"), widget=forms.Textarea, required=False)
    looked = forms.BooleanField(label=_("I looked at it myself"), required=False)
    tools = forms.MultipleChoiceField(
        label=_("Tools"),
        choices=[("pump", _("shock pump")), ("wrench", _("torque wrench"))],
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )

    @property
    def helper(self) -> FormHelper:
        helper = super().helper
        helper.layout = Layout(
            Fieldset(_("What is measured"), "name", "torque", "day", "ring"),
            Fieldset(_("What is said"), "reason", "looked", "tools"),
        )
        return helper


def _chart() -> SafeString:
    """A time line with each of its bars and marks."""
    days = [date(2026, month, 1) for month in (1, 4, 8, 12)]
    fills = ("open", "solid", "hatched")
    spans = tuple(
        DrawnSpan(first, until, fill)
        for first, until, fill in zip(days, days[1:], fills, strict=False)
    )
    marks = tuple(
        DrawnMark(on, kind, kind)
        for on, kind in zip(days[1:], ("signature", "lapse", "down"), strict=True)
    )
    row = DrawnRow(gettext("Air-spring service"), spans, marks)
    return drawing([row], days[0], days[-1], title=gettext("Chart"), today=date(2026, 11, 30))


@require_safe
def components(request: HttpRequest) -> HttpResponse:
    """Only where the site runs for its developers."""
    # It shows made-up cautions, which nobody at a bench must meet.
    if not settings.DEBUG:
        raise Http404
    wrong = EveryField({"name": "", "torque": "99", "day": "", "ring": "none"})
    says: dict[str, object] = {
        "title": _("Air"),
        "hazard": _("Air stays in."),
        "harm": _("It can blind."),
    }
    says |= {"avoid": _("Let it out first."), "html": ""}
    context = {
        "form": EveryField(initial={"name": "Bo"}),
        "wrong": wrong,
        "day": date(2026, 11, 30),
        "number": "2628",
        "digest": "db21e99b30f4",
        "cautions": [{"word": word, **says} for word in SIGNAL_WORDS],
        "chart": _chart(),
    }
    return render(request, "components.html", context)
