"""How are the pictures of a step chosen: from those that there are, or a new one?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator
from django.forms import formset_factory
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from procedures.reports.step_pictures import PictureOffer, StepDrawn
from procedures.views.forms.plain import PlainForm
from procedures.views.forms.rules import RowSet, RowTyped
from procedures.views.forms.writeups import DrawingForm
from procedures.writeup.remarks import Unreadable
from procedures.writeup.step_fields import StepFields, read_step
from procedures.writeup.step_pictures import LONGEST_SHOWS, NOT_IN_SHOWS, StepPicture

MOST_PICTURES = 40
BEFORE, AFTER = "before", "after"
PLACES = [(BEFORE, _("before the text")), (AFTER, _("after the text"))]
_NAME = RegexValidator(r"^[a-z0-9-]+\Z")


class PictureRow(PlainForm):
    """A picture that the step has."""

    # It lies in a fold, and a browser cannot show what it asks for inside a closed one.
    use_required_attribute = False

    name = forms.CharField(max_length=80, widget=forms.HiddenInput, validators=[_NAME])
    shows = forms.CharField(
        max_length=LONGEST_SHOWS,
        label=_("What this picture shows"),
        help_text=_("For people who cannot see it. It also stands below the picture."),
    )
    place = forms.ChoiceField(choices=PLACES, widget=forms.RadioSelect, label=_("Where it stands"))

    def __init__(self, *args: Any, drawn: Mapping[str, StepDrawn], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._drawn = drawn.get(str(self["name"].value() or ""))

    @property
    def title(self) -> str:
        """What the picture is called."""
        if self._drawn is None:
            name = self["name"].value()
            return gettext("{name} (there is no such drawing)").format(name=name)
        return self._drawn.title

    @property
    def html(self) -> SafeString:
        """The picture itself; empty where there is none."""
        return self._drawn.html(f"{self.prefix}-drawn") if self._drawn else SafeString("")

    def clean_shows(self) -> str:
        said = " ".join(str(self.cleaned_data["shows"]).split())
        if NOT_IN_SHOWS.search(said):
            raise ValidationError(_("Leave brackets, backslashes and backticks out."))
        return said


PICTURE_ROWS: Any = formset_factory(
    PictureRow, formset=RowSet, extra=0, max_num=MOST_PICTURES, absolute_max=MOST_PICTURES
)


class PictureChoice(PlainForm):
    """One more picture for the step, chosen from those that there are."""

    use_required_attribute = False

    words = forms.CharField(
        required=False, max_length=200, label=_("Find a picture by its words"), strip=True
    )
    words_shown = forms.CharField(required=False, max_length=200, widget=forms.HiddenInput)
    picked = forms.ChoiceField(required=False, widget=forms.RadioSelect, label=_("Picture"))
    picked_place = forms.ChoiceField(
        choices=PLACES, widget=forms.RadioSelect, label=_("Where it stands"), initial=BEFORE
    )

    def __init__(self, data: Any = None, *, offer: PictureOffer) -> None:
        # What was searched for is searched for again, until other words are typed.
        super().__init__(data, initial={"words": offer.words, "words_shown": offer.words})
        self.offer = offer
        self.fields["picked"].choices = [  # type: ignore[attr-defined]
            ("", gettext("no picture")),
            *((one.name, _with_title(one.html, one.title)) for one in offer.shown),
        ]

    def row(self) -> RowTyped:
        """The row that the valid form adds; empty without a choice."""
        name = self.cleaned_data["picked"]
        title = next((one.title for one in self.offer.shown if one.name == name), "")
        return picture_row(name, title, self.cleaned_data["picked_place"]) if name else {}


class NewPictureForm(DrawingForm):
    """A picture that the shop does not have yet."""

    prefix = "new"
    use_required_attribute = False

    place = forms.ChoiceField(
        choices=PLACES, widget=forms.RadioSelect, label=_("Where it stands"), initial=BEFORE
    )


def _with_title(html: SafeString, title: str) -> SafeString:
    """A choice with its picture; its words say to everybody what it is."""
    return format_html(
        '<span class="drawing" aria-hidden="true">{}</span><span>{}</span>', html, title
    )


def picture_row(name: str, title: str, place: str) -> RowTyped:
    """The row of a picture, with its title as what it shows until somebody says more."""
    shows = " ".join(NOT_IN_SHOWS.sub(" ", title).split())
    return {"name": name, "shows": shows, "place": place or BEFORE}


def rows_of_pictures(said: StepFields) -> list[RowTyped]:
    """The pictures of a step, to be typed on."""
    pairs = [(BEFORE, said.before), (AFTER, said.after)]
    return [
        {"name": one.name, "shows": one.shows, "place": place}
        for place, pictures in pairs
        for one in pictures
    ]


def pictured(body: str, rows: Sequence[Mapping[str, str]]) -> dict[str, Any]:
    """The text of a step and its pictures, of what was typed: a picture line at an end of the text
    is one of them.
    """
    try:
        typed = read_step(f"### x\n\n{body}")
    except Unreadable:
        typed = StepFields("x", body=body)
    if typed.cautions:
        typed = StepFields("x", body=body)
    chosen = {
        place: tuple(
            StepPicture(row["name"], row["shows"]) for row in rows if row["place"] == place
        )
        for place, _label in PLACES
    }
    before, after = (*chosen[BEFORE], *typed.before), (*typed.after, *chosen[AFTER])
    if not typed.body:
        before, after = (*before, *after), ()
    return {"body": typed.body, "before": before, "after": after}
