"""What may a person type or tick in answer to a question, and what may a writer bring in?

A browser is sent places (1, 2, 3 …) in the order shown, never the place or the id that an author gave: those could tell
which answer is right.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from quizzes.marking.kinds import ALL, AMOUNT, ONE, ORDER
from quizzes.marking.marks import LONGEST_AMOUNT
from quizzes.marking.plain_yaml import LONGEST


class AnswerForm(forms.Form):
    """An answer to one question; `given` is what `save_answer` takes."""

    def __init__(self, *, order: Sequence[Any], labels: Sequence[str], given: Any, data: Any = None) -> None:
        super().__init__(data)
        self.order, self.labels, self.was_given = list(order), list(labels), given
        self.set_up()

    def set_up(self) -> None:
        """Fills the fields with what is shown and what was given before."""

    @property
    def given(self) -> Any:
        raise NotImplementedError

    def places(self) -> list[tuple[str, str]]:
        """Each option or step shown, with the place that stands for it."""
        return [(str(place), label) for place, label in enumerate(self.labels, start=1)]

    def at(self, place: str) -> Any:
        return self.order[int(place) - 1]


class ChooseOneForm(AnswerForm):
    answer = forms.ChoiceField(
        label="Choose one.", widget=forms.RadioSelect, error_messages={"required": "Choose one of the options."}
    )

    def set_up(self) -> None:
        self.fields["answer"].choices = self.places()  # type: ignore[attr-defined]  # a ChoiceField has choices
        if self.was_given is not None:
            self.initial["answer"] = str(self.order.index(self.was_given) + 1)

    @property
    def given(self) -> int:
        return int(self.at(self.cleaned_data["answer"]))


class ChooseAllForm(AnswerForm):
    answer = forms.MultipleChoiceField(
        label="Choose all that are right.",
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Choose at least one of the options."},
    )

    def set_up(self) -> None:
        self.fields["answer"].choices = self.places()  # type: ignore[attr-defined]  # a ChoiceField has choices
        if self.was_given is not None:
            self.initial["answer"] = [str(self.order.index(place) + 1) for place in self.was_given]

    @property
    def given(self) -> list[int]:
        return sorted(self.at(place) for place in self.cleaned_data["answer"])


class PutInOrderForm(AnswerForm):
    answer = forms.MultipleChoiceField(widget=forms.MultipleHiddenInput)

    def set_up(self) -> None:
        self.fields["answer"].choices = self.places()  # type: ignore[attr-defined]  # a ChoiceField has choices

    def clean_answer(self) -> list[str]:
        answer: list[str] = self.cleaned_data["answer"]
        if sorted(answer, key=int) != [place for place, _ in self.places()]:
            raise ValidationError("Put every step that is shown in the order, once.")
        return answer

    @property
    def given(self) -> list[str]:
        return [self.at(place) for place in self.cleaned_data["answer"]]

    def moved(self, move: str) -> list[str]:
        """The places in a new order, after `up-3` or `down-3`: the step at place 3 of what is shown goes that way."""
        answer = list(self.cleaned_data["answer"])
        way, _, place = move.partition("-")
        if place not in answer:
            return answer
        old = answer.index(place)
        new = min(max(old + (-1 if way == "up" else 1), 0), len(answer) - 1)
        answer.insert(new, answer.pop(old))
        return answer


class GiveAmountForm(AnswerForm):
    answer = forms.CharField(
        label="Amount with its unit",
        max_length=LONGEST_AMOUNT,
        help_text="One number and its unit, such as 3 mm, 2,5 bar or 7 N·m (Nm).",
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
        error_messages={"required": "Write a number with its unit."},
    )

    def set_up(self) -> None:
        if self.was_given is not None:
            self.initial["answer"] = self.was_given

    @property
    def given(self) -> str:
        return str(self.cleaned_data["answer"])


ANSWER_FORMS: dict[str, type[AnswerForm]] = {
    ONE: ChooseOneForm,
    ALL: ChooseAllForm,
    ORDER: PutInOrderForm,
    AMOUNT: GiveAmountForm,
}


class QuestionsForm(forms.Form):
    """The questions of one write-up as YAML, typed or as a file."""

    text = forms.CharField(
        label="Questions",
        required=False,
        strip=False,
        max_length=LONGEST,
        widget=forms.Textarea(attrs={"class": "code", "rows": 30, "spellcheck": "true", "autocapitalize": "off"}),
    )
    file = forms.FileField(
        label="Or a file",
        required=False,
        help_text="A YAML file with the questions of this write-up. It takes the place of what stands above.",
    )

    def clean_file(self) -> str:
        upload = self.cleaned_data["file"]
        if upload is None:
            return ""
        if upload.size > 4 * LONGEST:
            raise ValidationError("This file is too big for a text of questions.")
        try:
            return str(upload.read(), "utf-8-sig")
        except UnicodeDecodeError:
            raise ValidationError("This file is no text in UTF-8. Save it as UTF-8 and try again.") from None

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        given["text"] = given.get("file") or given.get("text", "").replace("\r\n", "\n").replace("\r", "\n")
        if not given["text"].strip() and not self.errors:
            raise ValidationError("Type the questions, or choose a file.")
        return given
