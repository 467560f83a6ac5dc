"""What does the owner say of the shop, and which file holds somebody's photo?"""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from training.views.forms.fields import Bare

TAKES = "image/jpeg,image/png,image/webp"


class ShopForm(Bare):
    """The shop's name, its logo, and who may look."""

    name = forms.CharField(
        label=_("Name of the shop"),
        max_length=60,
        required=False,
        help_text=_("It stands at the head of each page and at the sign-in."),
    )
    logo = forms.FileField(
        label=_("Logo"),
        required=False,
        help_text=_("A photo or picture file: JPEG, PNG or WebP."),
        widget=forms.FileInput(attrs={"accept": TAKES}),
    )
    is_logo_removed = forms.BooleanField(label=_("Remove the logo"), required=False)
    all_may_look = forms.BooleanField(
        label=_("Mechanics and trainees may see who may do what today"),
        required=False,
        help_text=_(
            "They see names, blocks and who is away, but no reasons. It opens on each page."
        ),
    )


class PhotoForm(Bare):
    """One photo."""

    photo = forms.FileField(
        label=_("Photo"),
        help_text=_("JPEG, PNG or WebP. What the camera noted is taken out."),
        widget=forms.FileInput(attrs={"accept": TAKES}),
    )
