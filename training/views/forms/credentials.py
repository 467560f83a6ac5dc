"""Which file of a sign-off is checked, and whose should it be?"""

from __future__ import annotations

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy as _

from training.exchange.credential.verdict import LONGEST
from training.views.forms.fields import Bare


class CheckForm(Bare):
    """The file, and the name of the person in front of you."""

    file = forms.FileField(label=_("File of the sign-off"))
    name = forms.CharField(
        label=_("Name of the person"),
        required=False,
        max_length=120,
        help_text=_("As it is on their identity card. The file itself holds no name."),
    )

    def clean_file(self) -> UploadedFile[bytes]:
        given: UploadedFile[bytes] = self.cleaned_data["file"]
        if (given.size or 0) > LONGEST:
            raise forms.ValidationError(_("This file is too large for a sign-off."))
        return given
