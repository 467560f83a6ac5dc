"""What may a person type or tick in answer to a question, and what may a writer bring in?

A browser is sent places (1, 2, 3 …) in the order shown, never the place or the id that an author
gave: those could tell which answer is right.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from procedures.views.forms.plain import PlainForm
from procedures.writeup.letters import strip_hidden
from quizzes.kinds.fields import Arranged, Field, PickOne, PickPartners, PickSome, PointedOut, Typed
from quizzes.marking.texts import LIMITS
from quizzes.records.wording.say import say
from quizzes.reports.sittings import QuestionAsked


class AnswerForm(PlainForm):
    """An answer to one question; `given` is what `save_answer` takes."""

    is_answer = True  # for the words before what is wrong with the form

    def __init__(
        self, page: QuestionAsked, labels: Sequence[str], *, given: Any, data: Any
    ) -> None:
        super().__init__(data)
        self.order, self.labels, self.was_given = list(page.order), list(labels), given
        self.partners, self.spot, self.said = list(page.partners), page.spot, page.field
        self.set_up()

    def set_up(self) -> None:
        """Fills the fields with what is shown and what was given before."""

    @property
    def given(self) -> Any:
        raise NotImplementedError

    @property
    def is_untouched(self) -> bool:
        """Whether nothing was chosen or typed, so that nothing is lost by leaving."""
        # A form that nobody has sent holds a plain dict.
        if not hasattr(self.data, "getlist"):
            return True
        return not any(said.strip() for name in self.fields for said in self.data.getlist(name))

    def name_field(self) -> None:
        """Gives the one field the words of its kind of question."""
        field = self.fields["answer"]
        if isinstance(self.said, PickOne | PickSome | Typed):
            field.label = say(self.said.label)
            field.error_messages["required"] = say(self.said.missing)

    def places(self) -> list[tuple[str, str]]:
        """Each option or step shown, with the place that stands for it."""
        return [(str(place), label) for place, label in enumerate(self.labels, start=1)]

    def at(self, place: str) -> Any:
        return self.order[int(place) - 1]


class PickOneForm(AnswerForm):
    answer = forms.ChoiceField(widget=forms.RadioSelect)

    def set_up(self) -> None:
        self.name_field()
        self.fields["answer"].choices = self.places()  # type: ignore[attr-defined]  # a ChoiceField has choices
        if self.was_given is not None:
            self.initial["answer"] = str(self.order.index(self.was_given) + 1)

    @property
    def given(self) -> int:
        return int(self.at(self.cleaned_data["answer"]))


class PickSomeForm(AnswerForm):
    answer = forms.MultipleChoiceField(widget=forms.CheckboxSelectMultiple)

    def set_up(self) -> None:
        self.name_field()
        self.fields["answer"].choices = self.places()  # type: ignore[attr-defined]  # a ChoiceField has choices
        if self.was_given is not None:
            self.initial["answer"] = [str(self.order.index(place) + 1) for place in self.was_given]

    @property
    def given(self) -> list[int]:
        return sorted(self.at(place) for place in self.cleaned_data["answer"])


class ArrangedForm(AnswerForm):
    answer = forms.MultipleChoiceField(widget=forms.MultipleHiddenInput)

    def set_up(self) -> None:
        self.fields["answer"].choices = self.places()  # type: ignore[attr-defined]  # a ChoiceField has choices

    @property
    def is_untouched(self) -> bool:
        """Each move is saved as it is made; the order as it was drawn is nobody's answer."""
        return True

    def clean_answer(self) -> list[str]:
        answer: list[str] = self.cleaned_data["answer"]
        # Every step once: the field alone would take two of three, or one twice.
        if sorted(answer, key=int) != [place for place, _ in self.places()]:
            raise ValidationError(_("Put every step that is shown in the order, once."))
        return answer

    @property
    def given(self) -> list[str]:
        return [self.at(place) for place in self.cleaned_data["answer"]]

    def moved(self, move: str) -> list[str]:
        """The places in a new order, after `up-3` or `down-3`: the step at place 3 of what is shown
        goes that way.
        """
        answer = list(self.cleaned_data["answer"])
        way, _, place = move.partition("-")
        if place not in answer:
            return answer
        old = answer.index(place)
        new = min(max(old + (-1 if way == "up" else 1), 0), len(answer) - 1)
        answer.insert(new, answer.pop(old))
        return answer


class TypedForm(AnswerForm):
    answer = forms.CharField()

    def set_up(self) -> None:
        if isinstance(self.said, Typed):
            self.fields["answer"] = forms.CharField(
                max_length=self.said.longest,
                help_text=say(self.said.help),
                widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
            )
        self.name_field()
        if self.was_given is not None:
            self.initial["answer"] = self.was_given

    @property
    def given(self) -> str:
        return str(self.cleaned_data["answer"])


class PartnersForm(AnswerForm):
    """One list to choose from for each thing on the left; it needs neither a script nor
    dragging.
    """

    def set_up(self) -> None:
        offered = [
            ("", _("choose …")),
            *((str(place), text) for place, (_, text) in enumerate(self.partners, start=1)),
        ]
        # By the place in the order shown; a partner's own place would tell which belong together.
        at = {partner: str(place) for place, (partner, _) in enumerate(self.partners, start=1)}
        for place, label in self.places():
            self.fields[f"answer-{place}"] = forms.ChoiceField(
                label=label,
                choices=offered,
                error_messages={
                    "required": _("Choose what belongs to “{label}”.").format(label=label)
                },
            )
            if self.was_given is not None:
                self.initial[f"answer-{place}"] = at[self.was_given[self.at(place)]]

    @property
    def given(self) -> list[int]:
        chosen = {
            self.at(place): self.cleaned_data[f"answer-{place}"] for place, _ in self.places()
        }
        return [self.partners[int(chosen[pair]) - 1][0] for pair in sorted(chosen)]


class PointForm(AnswerForm):
    """A spot on a drawing: by its cell, or by how far across and down it lies. Whichever was
    changed counts.
    """

    cell = forms.ChoiceField(required=False, widget=forms.RadioSelect)
    across = forms.IntegerField(label=_("Across, from the left"), required=False, min_value=0)
    down = forms.IntegerField(label=_("Down, from the top"), required=False, min_value=0)

    def set_up(self) -> None:
        if self.spot is None:
            return
        box, cross = self.spot.box, self.spot.cross
        for name, most in (("across", box.width), ("down", box.height)):
            self.fields[name] = forms.IntegerField(
                label=self.fields[name].label,
                required=False,
                min_value=0,
                max_value=most,
                help_text=_("0 to {most}").format(most=most),
            )
        names = [(str(place), cell.name) for place, cell in enumerate(self.spot.cells, start=1)]
        self.fields["cell"].choices = names  # type: ignore[attr-defined]  # a ChoiceField has choices
        if cross is not None:
            self.initial.update(across=cross[0] - box.x, down=cross[1] - box.y)
            middles = {
                (cell.x, cell.y): str(place) for place, cell in enumerate(self.spot.cells, start=1)
            }
            self.initial["cell"] = middles.get(cross, "")

    def rows(self) -> list[dict[str, Any]]:
        """Each cell with its place, its middle from the upper left, and whether it is chosen."""
        if self.spot is None:
            return []
        box, chosen = self.spot.box, self["cell"].value()
        return [
            {
                "place": str(place),
                "name": cell.name,
                "across": str(cell.x - box.x),
                "down": str(cell.y - box.y),
                "is_chosen": str(place) == chosen,
            }
            for place, cell in enumerate(self.spot.cells, start=1)
        ]

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        if not self.errors and self._seen() is None:
            raise ValidationError(
                _(
                    "Point at one spot on the drawing: choose a cell, or say how far across "
                    "and down."
                )
            )
        return given

    def _seen(self) -> tuple[int, int] | None:
        """The spot in units of the drawing as it is seen; None where nothing was said."""
        if self.spot is None:
            return None
        box, said = self.spot.box, self.cleaned_data
        # The cell stays ticked while somebody types numbers, so which was changed decides.
        numbers = (said.get("across"), said.get("down"))
        changed = numbers != (self.initial.get("across"), self.initial.get("down"))
        if said.get("cell") and not (changed and None not in numbers):
            cell = self.spot.cells[int(said["cell"]) - 1]
            return cell.x, cell.y
        across, down = numbers
        return None if across is None or down is None else (box.x + across, box.y + down)

    @property
    def given(self) -> list[int]:
        seen = self._seen()
        if seen is None or self.spot is None:
            raise ValueError("Nothing was pointed at.")
        x, y = seen
        return [self.spot.box.mirrored(x) if self.spot.mirrored else x, y]


# The form of each field that a kind of question can name.
FORMS: dict[type[Field], type[AnswerForm]] = {
    PickOne: PickOneForm,
    PickSome: PickSomeForm,
    Arranged: ArrangedForm,
    Typed: TypedForm,
    PickPartners: PartnersForm,
    PointedOut: PointForm,
}


def answer_form(
    page: QuestionAsked, labels: Sequence[str], *, given: Any, data: Any = None
) -> AnswerForm:
    """The form in which the question that is shown is answered."""
    return FORMS[type(page.field)](page, labels, given=given, data=data)


class QuestionsForm(PlainForm):
    """The questions of one write-up as YAML, typed or as a file."""

    text = forms.CharField(
        label=_("Questions"),
        required=False,
        strip=False,
        max_length=LIMITS.longest,
        widget=forms.Textarea(
            attrs={"class": "code", "rows": 30, "spellcheck": "true", "autocapitalize": "off"}
        ),
    )
    file = forms.FileField(
        label=_("Or a file"),
        required=False,
        help_text=_("A YAML file with the questions of this write-up. It replaces the text above."),
    )

    def clean_file(self) -> str:
        upload = self.cleaned_data["file"]
        if upload is None:
            return ""
        # UTF-8 takes four bytes a letter at most, so nothing that fits is refused unread.
        if upload.size > 4 * LIMITS.longest:
            raise ValidationError(
                _("This file is too large. Divide the questions into several files.")
            )
        try:
            return str(upload.read(), "utf-8-sig")
        except UnicodeDecodeError:
            raise ValidationError(
                _("This file is not text in UTF-8. Save it as UTF-8 and try again.")
            ) from None

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        given["text"] = strip_hidden(given["file"]) if given.get("file") else given.get("text", "")
        if not given["text"].strip() and not self.errors:
            raise ValidationError(_("Type the questions, or choose a file."))
        return given


class OneAsText(PlainForm):
    """One question as YAML."""

    text = forms.CharField(
        label=_("The question as text"),
        strip=False,
        max_length=LIMITS.longest,
        widget=forms.Textarea(attrs={"class": "code", "rows": 18, "autocapitalize": "off"}),
    )
    version = forms.IntegerField(required=False, widget=forms.HiddenInput, min_value=0)
