"""What may a person type into the pages of the write-ups?"""

import re
from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.utils.text import slugify
from django.utils.translation import gettext_lazy as _

from procedures.models import NAME, PICTURE_NAME, Asks
from procedures.pictures.made import LARGEST_FILE
from procedures.records.documents.model import BadDocument
from procedures.records.documents.reading import KINDS, LARGEST, read_document
from procedures.records.wording.say import say
from procedures.views.forms.plain import PlainForm
from procedures.writeup.remarks import remark

LONGEST = 100_000  # letters of a text that a page takes: fifty printed pages


class TextField(forms.CharField):
    """A longer text, kept letter by letter but for its line ends, which browsers send in their own
    way.
    """

    widget = forms.Textarea

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(strip=False, max_length=LONGEST, **kwargs)

    def to_python(self, value: Any) -> str:
        return str(super().to_python(value)).replace("\r\n", "\n").replace("\r", "\n")


def code(rows: int) -> forms.Textarea:
    return forms.Textarea(
        attrs={"class": "code", "rows": rows, "spellcheck": "true", "autocapitalize": "off"}
    )


def name_from(title: str) -> str:
    """A name for addresses and files made from a title; empty where it has no letter for one."""
    return re.sub("[-_]+", "-", slugify(title))[:80].strip("-")


class StartForm(PlainForm):
    title = forms.CharField(
        max_length=200, help_text=_("The title over the write-up, such as: Air-spring service.")
    )
    name = forms.CharField(
        max_length=80,
        required=False,
        validators=[NAME],
        help_text=_(
            "For addresses and files, such as air-spring-service. Leave it empty to make "
            "it from the title."
        ),
    )

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        if not given.get("name") and "name" not in self.errors and given.get("title"):
            given["name"] = name_from(given["title"])
            if not given["name"]:
                self.add_error(
                    "name", _("The site cannot make a short name from this title. Type one.")
                )
        return given


class OldTextForm(PlainForm):
    """An old procedure, pasted or as a file."""

    file = forms.FileField(
        required=False,
        label=_("The old procedure as a file"),
        help_text=_("A document (.docx, .odt), a PDF, or plain text (.txt, .md)."),
        widget=forms.ClearableFileInput(attrs={"accept": ",".join(KINDS)}),
    )
    text = TextField(
        label=_("Or its text"),
        required=False,
        widget=code(12),
        help_text=_("Paste it here, if you have no file."),
    )
    title = forms.CharField(
        max_length=200, required=False, help_text=_("Leave it empty to take it from the text.")
    )
    name = forms.CharField(
        max_length=80,
        required=False,
        validators=[NAME],
        help_text=_(
            "For addresses and files, such as air-spring-service. Leave it empty to make "
            "it from the title."
        ),
    )
    waiting = forms.CharField(required=False, max_length=60, widget=forms.HiddenInput)

    def show_waiting(self) -> None:
        """Without the field for a text, since a document is here and only its title is open."""
        self.fields["text"].widget = forms.HiddenInput()
        self.fields["file"].label = _("Another file")
        self.fields["file"].help_text = _(
            "Your file is here. Choose another one to take its place."
        )

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        given["title"] = " ".join((given.get("title") or "").split())
        if given.get("file"):
            self._read(given)
        is_here = given.get("found") or given.get("waiting") or (given.get("text") or "").strip()
        if not self.errors and not is_here:
            self.add_error(
                "text", _("There is no text. Paste the old procedure, or choose a file.")
            )
        return given

    def _read(self, given: dict[str, Any]) -> None:
        """What stands in the file, beside the form's own fields."""
        file = given["file"]
        try:
            # Before anything of it is read into memory.
            if file.size > LARGEST:
                raise BadDocument(remark("document-too-large", most=LARGEST // 1_000_000))
            given["data"] = file.read()
            given["found"], given["said"] = read_document(file.name, given["data"])
        except BadDocument as bad:
            self.add_error("file", say(bad.remark))

    def name_for(self, title: str) -> str:
        """The name that a title gives; empty where it gives none."""
        return name_from(title)


class DraftForm(PlainForm):
    text = TextField(label=_("Text"), widget=code(32))
    reason = forms.CharField(
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
        label=_("Why this revision"),
        help_text=_("One or two sentences for people who know the last revision."),
    )
    asks = forms.ChoiceField(
        choices=Asks.choices,
        label=_("What people who are signed off must do, at least"),
        help_text=_(
            "Nothing: only words changed. Read again: a step changed. Answer again: a "
            "value, part or fact changed. Show again: a critical step changed. It is "
            "never less than the changes on the comparison page ask."
        ),
    )
    seen = forms.CharField(widget=forms.HiddenInput)
    desk = forms.CharField(widget=forms.HiddenInput, required=False, max_length=40)
    opened = forms.CharField(widget=forms.HiddenInput, required=False)

    def clean_seen(self) -> datetime:
        return instant(self.cleaned_data["seen"])

    def clean_opened(self) -> datetime | None:
        return instant(self.cleaned_data["opened"]) if self.cleaned_data["opened"] else None


class TypingForm(PlainForm):
    """What the page of the author's desk sends by itself."""

    text = TextField(required=False)
    reason = forms.CharField(required=False, max_length=2000, widget=forms.Textarea)
    seen = forms.CharField(required=False)
    desk = forms.CharField(required=False, max_length=40)

    def clean_seen(self) -> datetime | None:
        return instant(self.cleaned_data["seen"]) if self.cleaned_data["seen"] else None


class DrawingForm(PlainForm):
    file = forms.FileField(
        label=_("File"),
        max_length=200,
        widget=forms.ClearableFileInput(
            attrs={"accept": "image/jpeg,image/png,image/webp,image/svg+xml"}
        ),
        help_text=_(
            "A JPEG, PNG or WebP photo, or a plain SVG drawing. The site takes out what "
            "a camera adds, such as the place."
        ),
    )
    title = forms.CharField(
        max_length=120, help_text=_("What it shows, such as: Ring pliers in the eyelets.")
    )
    description = forms.CharField(
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_(
            "For people who cannot see it: what is where. Do not give away the answer to "
            "a question."
        ),
    )
    name = forms.CharField(
        max_length=80,
        required=False,
        validators=[PICTURE_NAME],
        help_text=_(
            "For write-ups, such as ring-pliers. Leave it empty to make it from the "
            "title. You cannot change it later."
        ),
    )

    def clean_file(self) -> "UploadedFile[Any]":
        file: UploadedFile[Any] = self.cleaned_data["file"]
        if (file.size or 0) > LARGEST_FILE:  # before anything of it is read into memory
            raise ValidationError(
                _("The file is too large. Make the picture smaller than {most} MB.").format(
                    most=LARGEST_FILE // 1_000_000
                )
            )
        return file

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        if not given.get("name") and "name" not in self.errors and given.get("title"):
            given["name"] = re.sub("[-_]+", "-", slugify(given["title"]))[:80].strip("-")
            if not given["name"]:
                self.add_error(
                    "name", _("The site cannot make a short name from this title. Type one.")
                )
        return given

    def told_to_keep(self) -> dict[str, Any]:
        """What `keep_drawing` asks of a picture, but for who keeps it."""
        given = self.cleaned_data
        words = {key: given[key] for key in ("name", "title", "description")}
        return words | {"data": given["file"].read()}


class SendBackForm(PlainForm):
    reason = forms.CharField(
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
        label=_("Why it goes back"),
        help_text=_("Tell the author what to change."),
    )


class ReleaseForm(PlainForm):
    seen = forms.CharField(widget=forms.HiddenInput)
    # Only asked of a draft from the examples; the action says whether it is needed.
    is_read = forms.BooleanField(required=False)

    def clean_seen(self) -> datetime:
        return instant(self.cleaned_data["seen"])


class AnswerForm(PlainForm):
    """An answer to a finding of the proofing; an empty reason takes it back."""

    key = forms.CharField(max_length=16)
    reason = forms.CharField(required=False, max_length=2000, widget=forms.Textarea)


class SeenRulesForm(PlainForm):
    """Which version of the rules the page was opened on."""

    seen = forms.IntegerField(widget=forms.HiddenInput)


class RulesForm(SeenRulesForm):
    text = TextField(label=_("The shop’s rules as text"), widget=code(18))


def instant(text: str) -> datetime:
    """The instant that a hidden field carries. Raises ValidationError for anything else."""
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        found = None
    if found is None or found.tzinfo is None:
        raise ValidationError(
            _("This page is out of date. Copy your text, open the page again and go on there.")
        )
    return found
