"""How do pictures come into the form of a step: picked from those that there are, or new ones?"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from django.http import HttpRequest, QueryDict
from django.utils.translation import gettext

from procedures.actions.drawings import keep_drawing
from procedures.records.refused import Refused
from procedures.reports.step_pictures import StepDrawn, draw_pictures, offer_pictures
from procedures.views.forms.rules import RowTyped
from procedures.views.forms.step_pictures import (
    BEFORE,
    MOST_PICTURES,
    NewPictureForm,
    PictureChoice,
    picture_row,
)

_NAME_OF_ROW = re.compile(r"pictures-\d{1,3}-name\Z")


@dataclass(frozen=True, slots=True)
class Pictures:
    """What was sent of a step, with each picture that was picked or added in it as a row of its
    own; and the two forms for one more.
    """

    post: QueryDict
    drawn: Mapping[str, StepDrawn]
    choice: PictureChoice
    new: NewPictureForm
    is_open: bool = False
    is_choosing: bool = False

    @property
    def is_wrong(self) -> bool:
        """Whether something typed for one more picture has to be put right first."""
        return bool(self.choice.errors or self.new.errors)


def open_pictures(text: str, names: tuple[str, ...]) -> Pictures:
    """The pictures of a step of this text, as its page opens."""
    choice = PictureChoice(offer=offer_pictures(text, "", wide=False))
    return Pictures(QueryDict(), draw_pictures(names), choice, NewPictureForm(), bool(names))


def take_pictures(request: HttpRequest, text: str) -> Pictures:
    """What was sent, with the picture that was picked or came as a file among the rows. A new
    picture is kept here, whatever becomes of the step, so that it need not be chosen twice.
    """
    post = request.POST.copy()
    adds, picked = post.get("add", ""), post.get("picked", "")
    words = " ".join(post.get("words", "").split())[:200]
    finds = is_finding(post)
    offer = offer_pictures(text, words, wide=finds, picked=picked)
    # What is found now is what Enter must not find once more.
    post["words_shown"] = words
    post.setdefault("picked_place", BEFORE)
    choice, new = PictureChoice(post, offer=offer), NewPictureForm()
    if choice.is_valid():
        row = choice.row()
        if row and not _append(post, row):
            choice.add_error("picked", gettext("This step has too many pictures."))
        elif adds == "picture" and not row:
            choice.add_error("picked", gettext("Choose a picture first."))
        else:
            choice = PictureChoice(offer=offer)
            if finds:  # by Enter no fragment comes along, which would lead there
                choice.fields["words"].widget.attrs["autofocus"] = True
    if "new-file" in request.FILES or adds == "new-picture":
        new = _take_new(request, post)
    names = [value for key, value in post.items() if _NAME_OF_ROW.match(key)]
    is_open = bool(names) or finds or adds in ("picture", "new-picture")
    return Pictures(post, draw_pictures(map(str, names)), choice, new, is_open, finds)


def is_finding(post: Mapping[str, str]) -> bool:
    """Whether other pictures are asked for: by the button, or by Enter behind other words."""
    return "find" in post or ("enter" in post and post.get("words") != post.get("words_shown"))


def _take_new(request: HttpRequest, post: QueryDict) -> NewPictureForm:
    """The form of a new picture: empty again where it became a row."""
    form = NewPictureForm(post, request.FILES)
    if not form.is_valid():
        return form
    if "check" in post:
        said = gettext("The check saves nothing. Press “Save this picture” first.")
        form.add_error("file", said)
        return form
    try:
        kept = keep_drawing(**form.told_to_keep(), by=request.user)
    except Refused as refused:
        form.add_error(None, refused.message)
        return form
    _append(post, picture_row(kept.name, kept.title, form.cleaned_data["place"]))
    return NewPictureForm()


def _append(post: QueryDict, row: RowTyped) -> bool:
    """One row more among those that were sent; not where there are as many as there may be."""
    total = post.get("pictures-TOTAL_FORMS", "")
    number = int(total) if total.isdecimal() and len(total) < 4 else 0
    if number >= MOST_PICTURES:
        return False
    post["pictures-TOTAL_FORMS"] = str(number + 1)
    post.setdefault("pictures-INITIAL_FORMS", "0")
    for key, value in row.items():
        post[f"pictures-{number}-{key}"] = value
    return True
