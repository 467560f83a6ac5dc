"""What may be typed about a watched job, an appointment that ends, and late entries?"""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from training.views.forms.fields import Bare, day_field


class EndAppointmentForm(Bare):
    """From when somebody signs off no more."""

    until = day_field(label=_("Last day"))


class DaysBackForm(Bare):
    """How many days back somebody may enter a job alone."""

    days = forms.IntegerField(
        min_value=0,
        max_value=3660,
        label=_("Days back"),
        help_text=_(
            "An older job can be logged only by a senior mechanic or by you, and is "
            "marked as late. 0 means only on the day itself."
        ),
    )


class RefuseJobForm(Bare):
    """Why a watcher does not confirm a job."""

    reason = forms.CharField(
        max_length=1000,
        label=_("Why you do not confirm it"),
        widget=forms.Textarea(attrs={"rows": 3}),
    )
