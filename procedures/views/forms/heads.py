"""How is the head of a write-up typed as a form, and which head does the form state?"""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.forms import formset_factory
from django.utils.translation import gettext, gettext_lazy
from django.utils.translation import gettext_lazy as _

from procedures.models import Asks
from procedures.views.forms.language import LinesField, SeenForm, choose_from, labelled
from procedures.views.forms.plain import PlainForm
from procedures.views.forms.rules import RowSet, RowTyped, names_in
from procedures.views.forms.writeups import TextField
from procedures.writeup.grammar import BadCondition, read_condition, split_values
from procedures.writeup.heads import Fork, Head

MOST_FORKS = 40
LISTS = ("given", "leaves", "off", "leaves off")


class ForkRow(PlainForm):
    question = forms.CharField(
        max_length=80,
        label=_("Question about the fork"),
        help_text=_("In one or two words, such as: retaining ring"),
    )
    answers = forms.CharField(
        max_length=400,
        label=_("Its answers"),
        help_text=_("With semicolons between them, such as: eyelet; prong"),
    )


class NeverRow(PlainForm):
    """Answers that no fork has together: one answer for some of the questions, or `raw` for what
    that cannot say.
    """

    def __init__(self, *args: Any, forks: Sequence[Fork], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.forks = forks
        if self.initial.get("raw") or self.data.get(self.add_prefix("raw")):
            self.fields["raw"] = forms.CharField(
                max_length=1000, required=False, label=gettext("As it is written")
            )
            return
        for number, (question, answers) in enumerate(forks):
            self.fields[f"answer_{number}"] = forms.ChoiceField(
                required=False,
                label=question,
                choices=[("", gettext("any")), *((answer, answer) for answer in answers)],
            )

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        if not self.errors and "raw" not in self.fields and len(self._chosen(given)) < 2:
            raise forms.ValidationError(_("Choose an answer to at least two of the questions."))
        return given

    def _chosen(self, given: Mapping[str, Any]) -> list[str]:
        return [
            f"{question} = {given[f'answer_{number}']}"
            for number, (question, _) in enumerate(self.forks)
            if given.get(f"answer_{number}")
        ]

    def row(self) -> RowTyped:
        """What was chosen, as `rows_of_head` gives it."""
        return {name: value for name, value in self.cleaned_data.items() if value}

    def said(self) -> str:
        """The combination as a head has it; empty for one that was emptied."""
        return self.cleaned_data.get("raw") or "; ".join(self._chosen(self.cleaned_data))


_FORKS: Any = formset_factory(
    ForkRow, formset=RowSet, extra=0, max_num=MOST_FORKS, absolute_max=MOST_FORKS
)
_NEVER: Any = formset_factory(
    NeverRow, formset=RowSet, extra=0, max_num=MOST_FORKS, absolute_max=MOST_FORKS
)


class HeadForm(SeenForm):
    """The head but for its rows."""

    title = forms.CharField(max_length=200)
    level = forms.ChoiceField(required=False)
    interval = forms.CharField(max_length=80, required=False)
    follows = forms.ChoiceField(required=False)
    intro = TextField(
        required=False,
        label=_("What it is for"),
        widget=forms.Textarea(attrs={"rows": 6}),
        help_text=_("What the work is for, what it needs, and which manual comes first."),
    )
    reason = forms.CharField(
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
        label=_("Why this revision"),
        help_text=_("One or two sentences for people who know the last revision."),
    )
    asks = forms.ChoiceField(
        choices=Asks.choices,
        required=False,
        label=_("What people who are signed off must do, at least"),
    )

    def __init__(
        self,
        *args: Any,
        head: Head,
        levels: Mapping[str, str],
        writeups: Mapping[str, str],
        is_first: bool,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        for key in LISTS:
            name = key.replace(" ", "_")
            self.fields[name] = LinesField(**labelled(key, of_step=False))
        for key in ("title", "level", "interval", "follows"):
            for name, said in labelled(key, of_step=False).items():
                setattr(self.fields[key], name, said)
        none = ("", gettext("none"))
        self.fields["level"].choices = choose_from(  # type: ignore[attr-defined]  # a ChoiceField
            [none, *levels.items()], [head.level], gettext("{name} (there is no such level)")
        )
        self.fields["follows"].choices = choose_from(  # type: ignore[attr-defined]  # a ChoiceField
            [none, *writeups.items()], [head.follows], gettext("{name} (there is no such write-up)")
        )
        if is_first:  # nobody knows an earlier one
            del self.fields["reason"], self.fields["asks"]
        self.order_fields(
            ["title", "level", "interval", "follows", "given", "leaves", "off", "leaves_off"]
        )


class HeadRows:
    """The rows of a head: the forks, and the answers that never go together."""

    def __init__(
        self,
        data: Mapping[str, str] | None,
        *,
        forks: Sequence[Fork],
        rows: Mapping[str, Sequence[RowTyped]],
    ) -> None:
        self.forks = _FORKS(data, rows=rows["forks"], prefix="forks")
        self.never = _NEVER(data, rows=rows["never"], prefix="never", form_kwargs={"forks": forks})

    def is_valid(self) -> bool:
        # Both are asked, so that each row shows its own faults.
        return False not in [self.forks.is_valid(), self.never.is_valid()]


def rows_of_head(head: Head) -> dict[str, list[RowTyped]]:
    """The rows of a head to be typed on."""
    return {
        "forks": [
            {"question": name, "answers": "; ".join(answers)} for name, answers in head.variants
        ],
        "never": [_never_row(said, head.variants) for said in head.never],
    }


def _never_row(said: str, forks: Sequence[Fork]) -> RowTyped:
    """A combination as one answer for each question; as it is written where it says more."""
    names = [name for name, _ in forks]
    row: RowTyped = {}
    for part in split_values(said):
        try:
            one = read_condition(part, 0)
        except BadCondition:
            return {"raw": said}
        place = names.index(one.variant) if one.variant in names else -1
        (answer, *more) = one.options
        if place < 0 or more or answer not in forks[place][1] or f"answer_{place}" in row:
            return {"raw": said}
        row[f"answer_{place}"] = answer
    return row


def head_from(form: HeadForm, rows: HeadRows, was: Head) -> Head:
    """The head that the valid form states; what it says as before stays as it was written. Raises
    ValidationError for a question that stands there twice.
    """
    given = form.cleaned_data
    forks = [row.cleaned_data for row in rows.forks if row.has_changed()]
    variants = tuple((" ".join(row["question"].split()), names_in(row["answers"])) for row in forks)
    if len({name for name, _ in variants}) < len(variants):
        raise forms.ValidationError(TWICE)
    old = {frozenset(_never_row(said, was.variants).items()): said for said in was.never}
    never = [
        old.get(frozenset(row.row().items()), row.said()) for row in rows.never if row.has_changed()
    ]
    return Head(
        title=given["title"],
        level=given["level"],
        interval=given["interval"],
        variants=variants,
        never=tuple(said for said in never if said),
        given=given["given"],
        leaves=given["leaves"],
        off=given["off"],
        leaves_off=given["leaves_off"],
        follows=given["follows"],
    )


TWICE = gettext_lazy("A question about the fork is here twice. Take one of the rows out.")
