"""Where does somebody want the daily mail, and whether?"""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from training.views.forms.fields import Bare


class WishForm(Bare):
    """The address and the wish of one person."""

    address = forms.EmailField(
        label=_("Mail address"),
        required=False,
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )
    is_wanted = forms.BooleanField(label=_("Send me one mail a day"), required=False)
