"""How does a shop's own list come in by a page: the file, then what it leaves open?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import PurePath
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout
from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from training.exchange.matrix.marks import DayOrder
from training.exchange.matrix.meaning import Answers, Remark, Understood
from training.exchange.matrix.sheets import KINDS, LARGEST
from training.exchange.matrix.understood import make_name
from training.exchange.matrix.wording import say
from training.models import User
from training.views.forms.fields import Bare, PasswordAgain, day_field

LEAVE_OUT, NEW = "-", "+"


class ListForm(Bare):
    """The file with the shop's list."""

    file = forms.FileField(
        label=_("Your list"),
        help_text=_("A spreadsheet (.xlsx, .ods) or a CSV file with names, services and days."),
        widget=forms.ClearableFileInput(attrs={"accept": ",".join(KINDS)}),
    )

    def clean_file(self) -> UploadedFile[bytes]:
        given: UploadedFile[bytes] = self.cleaned_data["file"]
        if PurePath(given.name or "").suffix.lower() not in KINDS:
            raise forms.ValidationError(
                _("This is another kind of file. Choose one of: {kinds}.").format(
                    kinds=", ".join(KINDS)
                )
            )
        if (given.size or 0) > LARGEST:
            raise forms.ValidationError(
                _("This file is larger than 5 MB. Choose one with only the list.")
            )
        return given


class MatrixForm(PasswordAgain):
    """What the list leaves open: one field for each question that it asks before anything is
    answered, and the level of each of its columns. The password is asked when it is clear what is
    signed.
    """

    def __init__(
        self,
        asked: Understood,
        titles: Mapping[str, str],
        by: User,
        *args: Any,
        asks_names: bool,
        **more: Any,
    ) -> None:
        super().__init__(*args, **more)
        self.fields["password"].required = False
        if asks_names:
            lie = [("down", _("in the first column")), ("across", _("across the top"))]
            self._choose("names", _("Where are the names?"), lie, "")
        self.titles = titles
        self.words: dict[str, str] = {}
        self.heads = {head: f"level-{place}" for place, head in enumerate(asked.heads)}
        levels = {one.head: one for one in asked.levels}
        texts = {
            question.args["head"]: say(question)
            for question in asked.questions
            if question.code == "which-level"
        }
        for question in asked.questions:
            self._add(question)
        for head, name in self.heads.items():
            level = levels.get(head)
            start = "" if level is None else NEW if level.is_new else level.level
            self._add_level(name, head, start, texts.get(head, ""))
        self._add_signer(by)

    @property
    def helper(self) -> FormHelper:
        helper = super().helper
        later = {*self.heads.values(), "signed_by", "practice_from", "password"}
        asked = [name for name in self.fields if name not in later]
        helper.layout = Layout(
            *([Fieldset(_("What is open"), *asked)] if asked else []),
            Fieldset(_("Which column is which level"), *self.heads.values()),
            Fieldset(_("First sign-offs"), "signed_by", "practice_from"),
        )
        return helper

    def _add(self, question: Remark) -> None:
        text = say(question)
        match question.code:
            case "undated":
                self.fields["undated"] = day_field(
                    label=_("Day of the sign-offs that have none"), help_text=text
                )
            case "day-order":
                orders = [(order.value, order.value) for order in DayOrder]
                self._choose("day_order", _("Which number comes first in a day?"), orders, text)
            case "what-means":
                word = str(question.args["word"])
                self.words[word] = f"word-{len(self.words)}"
                means = [("signed", _("signed off")), ("nothing", _("not yet"))]
                label = format_lazy(_("“{word}” means"), word=word)
                self._choose(self.words[word], label, means, text)

    def _add_level(self, name: str, head: str, start: str, text: str) -> None:
        choices = [
            *self.titles.items(),
            (NEW, _("a new level")),
            (LEAVE_OUT, _("none: leave this column out")),
        ]
        label = format_lazy(_("Level of “{head}”"), head=head)
        self._choose(name, label, choices, text)
        self.fields[name].initial = start

    def _add_signer(self, by: User) -> None:
        # Nobody vouches in another owner's name: that one brings in a list of their own.
        self.fields["signed_by"] = forms.ChoiceField(
            label=_("Who signs these first sign-offs?"),
            choices=[(by.login, by.name)],
            initial=by.login,
            help_text=_("You vouch for them, on proof that is not on this site."),
        )
        self.fields["practice_from"] = forms.BooleanField(
            label=_("Start counting jobs from today"),
            required=False,
            initial=True,
            help_text=_("Without it, nobody is current today who has no jobs on record here."),
        )

    def _choose(self, name: str, label: Any, choices: Sequence[tuple[str, Any]], text: str) -> None:
        self.fields[name] = forms.ChoiceField(
            label=label, choices=[("", _("choose")), *choices], help_text=text
        )

    def answers(self, today: date) -> Answers:
        """What was answered so far; a field that stayed empty answers nothing."""
        given = self.cleaned_data
        order = given.get("day_order")
        return Answers(
            signed_by=given["signed_by"],
            undated=given.get("undated"),
            day_order=DayOrder(order) if order else None,
            levels={
                head: self._level(head, given[name])
                for head, name in self.heads.items()
                if given[name]
            },
            names=given.get("names") or "",
            words={
                word: given[name] == "signed" for word, name in self.words.items() if given[name]
            },
            practice_from=today if given["practice_from"] else None,
        )

    def _level(self, head: str, chosen: str) -> str:
        if chosen == LEAVE_OUT:
            return ""
        if chosen != NEW:
            return chosen
        # A head of signs alone gives no name, and a level has to have one.
        return make_name(head) or "level"
