"""How is a step typed as a form, and which fields does the form state?"""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.forms import formset_factory
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from procedures.reports.step_pictures import StepDrawn
from procedures.views.forms.language import (
    STEP_WORDS,
    LinesField,
    SeenForm,
    choose_from,
    labelled,
    must_be_one_line,
)
from procedures.views.forms.plain import PlainForm
from procedures.views.forms.rules import RowSet, RowTyped
from procedures.views.forms.step_pictures import PICTURE_ROWS, pictured, rows_of_pictures
from procedures.views.forms.writeups import TextField, code
from procedures.writeup.grammar import BadCondition, read_condition
from procedures.writeup.heads import Fork
from procedures.writeup.step_fields import StepFields, Warned

MOST_ROWS = 40
LINES = (
    "needs",
    "makes",
    "ends",
    "takes off",
    "fits",
    "scraps",
    "fits new",
    "uses",
    "tool",
    "torque",
    "measure",
)
WORDS = [
    ("danger", _("DANGER: will kill or seriously injure")),
    ("warning", _("WARNING: can kill or seriously injure")),
    ("caution", _("CAUTION: can injure, but less seriously")),
    ("notice", _("NOTICE: can damage things, not people")),
]
GROUPS = (
    (_("What is true"), ("needs", "makes", "ends")),
    (_("Parts"), ("takes_off", "fits", "scraps", "fits_new")),
    (_("Tools and values"), ("tool", "uses", "torque", "measure")),
    (_("Safety"), ("critical", "hold", "opens")),
    (_("Only for some forks"), ("only_if",)),
    (_("Order"), ("after",)),
)


class CautionRow(PlainForm):
    """One caution. What is missing in it the proofing tells: an older text may have none of it."""

    word = forms.ChoiceField(choices=WORDS, label=_("How bad it can be"), initial="warning")
    title = forms.CharField(max_length=120, label=_("What it is about"))
    hazard = forms.CharField(required=False, max_length=500, label=_("What is dangerous here"))
    harm = forms.CharField(required=False, max_length=500, label=_("What it can do to a person"))
    avoid = forms.CharField(
        required=False, max_length=500, label=_("What to do so that it does not happen")
    )
    more = forms.CharField(
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
        label=_("More about it"),
    )

    def warned(self) -> Warned:
        """The caution that the row states."""
        given = {name: said.strip("\n") for name, said in self.cleaned_data.items()}
        return Warned(**given)


class CheckRow(PlainForm):
    look = forms.CharField(
        max_length=400, label=_("What to look at"), help_text=_("Such as: shaft free of scratches")
    )
    otherwise = forms.CharField(
        required=False,
        max_length=400,
        label=_("What to do where it is not right"),
        help_text=_("Such as: replace the air-spring assembly"),
    )

    def clean_look(self) -> str:
        return self._side("look")

    def clean_otherwise(self) -> str:
        return self._side("otherwise")

    def _side(self, name: str) -> str:
        said = must_be_one_line(self.cleaned_data[name])
        if "|" in said:
            raise forms.ValidationError(
                _("Leave out the sign |, because it separates the two fields.")
            )
        return said


_CAUTIONS: Any = formset_factory(
    CautionRow, formset=RowSet, extra=0, max_num=MOST_ROWS, absolute_max=MOST_ROWS
)
_CHECKS: Any = formset_factory(
    CheckRow, formset=RowSet, extra=0, max_num=MOST_ROWS, absolute_max=MOST_ROWS
)


class StepRows:
    """The rows of a step: its cautions, what is looked at, and its pictures."""

    def __init__(
        self,
        data: Mapping[str, str] | None,
        *,
        rows: Mapping[str, Sequence[RowTyped]],
        drawn: Mapping[str, StepDrawn],
    ) -> None:
        self.cautions = _CAUTIONS(data, rows=rows["cautions"], prefix="cautions")
        self.checks = _CHECKS(data, rows=rows["checks"], prefix="checks")
        self.pictures = PICTURE_ROWS(
            data, rows=rows["pictures"], prefix="pictures", form_kwargs={"drawn": drawn}
        )

    def is_valid(self) -> bool:
        # Each is asked, so that each row shows its own faults.
        every = (self.cautions, self.checks, self.pictures)
        return False not in [rows.is_valid() for rows in every]


class StepForm(SeenForm):
    """A step but for its rows."""

    title = forms.CharField(
        max_length=200,
        label=_("What is done"),
        help_text=_("As a command, in a few words. Such as: Let the air out"),
    )
    body = TextField(
        required=False,
        label=_("How it is done"),
        widget=forms.Textarea(attrs={"rows": 6}),
        help_text=_(
            "One action to a sentence. An empty line begins a new paragraph. Put an amount in "
            "double brackets, so that it can be checked. Example: <code>[[7 N·m]]</code>"
        ),
    )

    def __init__(
        self,
        *args: Any,
        said: StepFields,
        forks: Sequence[Fork],
        dangers: Sequence[str],
        steps: Sequence[tuple[str, str]],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        values = said.values
        self.fields["critical"] = forms.CharField(
            required=False, max_length=500, **labelled("critical", of_step=True)
        )
        self.fields["hold"] = forms.BooleanField(required=False, **labelled("hold", of_step=True))
        for key in LINES:
            field = LinesField(parted=";", **labelled(key, of_step=True))
            self.fields[key.replace(" ", "_")] = field
        self._add_choices("opens", [(name, name) for name in dangers], values.get("opens", ()))
        self._add_choices("after", steps, values.get("after", ()))
        conditions = [
            (f"{name} = {answer}", f"{name}: {answer}")
            for name, answers in forks
            for answer in answers
        ]
        ticked = tick_conditions(values.get("only if", ()), forks)
        self.keeps = () if ticked is not None else values["only if"]
        if conditions and ticked is not None:
            self._add_choices("only_if", conditions, ticked)
        self.groups = [
            (label, [name for name in names if name in self.fields]) for label, names in GROUPS
        ]

    def _add_choices(self, name: str, known: Sequence[tuple[str, str]], now: Sequence[str]) -> None:
        choices = choose_from(known, now, gettext("{name} (not known here)"))
        if name == "after":  # those that are ticked first: the list is long, and scrolls
            choices.sort(key=lambda choice: choice[0] not in now)
        if choices:
            self.fields[name] = forms.MultipleChoiceField(
                required=False,
                choices=choices,
                widget=forms.CheckboxSelectMultiple,
                **labelled(name.replace("_", " "), of_step=True),
            )

    def shown_groups(self) -> list[tuple[str, list[Any], bool]]:
        """Each group of fields with its name, and whether one of them holds something."""
        found = []
        for label, names in self.groups:
            fields = [self[name] for name in names]
            is_open = any(bool(field.value()) or bool(field.errors) for field in fields)
            found.append((str(label), fields, is_open))
        return found


class StepTextForm(SeenForm):
    """A step as text."""

    text = TextField(label=_("The step as text"), widget=code(12))


class PhaseForm(SeenForm):
    """A phase: its title, and what stands below it before its first step."""

    title = forms.CharField(
        max_length=200, label=_("Name of the phase"), help_text=_("Such as: Make it safe")
    )
    body = TextField(
        required=False,
        label=_("What people should know before its first step"),
        widget=forms.Textarea(attrs={"rows": 4}),
    )


class SplitForm(SeenForm):
    """Where a step is cut, and which of its fields go to the new one."""

    title = forms.CharField(
        max_length=200,
        label=_("What is done in the new step"),
        help_text=_("As a command, in a few words. Such as: Let the air out"),
    )

    def __init__(
        self,
        *args: Any,
        paragraphs: Sequence[tuple[str, str]],
        fields: Sequence[tuple[str, str]],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["start"] = forms.ChoiceField(
            choices=paragraphs,
            widget=forms.RadioSelect,
            label=gettext("The new step begins with this"),
        )
        if fields:
            self.fields["moved"] = forms.MultipleChoiceField(
                required=False,
                choices=fields,
                widget=forms.CheckboxSelectMultiple,
                label=gettext("What belongs to the new step"),
            )


def tick_conditions(values: Sequence[str], forks: Sequence[Fork]) -> list[str] | None:
    """The answers that conditions name, each as `question = answer`; None where ticks cannot say
    the same.
    """
    known = dict(forks)
    ticked: list[str] = []
    seen: set[str] = set()
    for value in values:
        try:
            one = read_condition(value, 0)
        except BadCondition:
            return None
        answers = known.get(one.variant, ())
        if one.variant in seen or not set(one.options) <= set(answers):
            return None
        seen.add(one.variant)
        ticked += [f"{one.variant} = {option}" for option in one.options]
    return ticked


def _conditions(ticked: Sequence[str], forks: Sequence[Fork]) -> tuple[str, ...]:
    """The conditions that ticks mean: one for each question with some of its answers."""
    found = []
    for name, answers in forks:
        chosen = [answer for answer in answers if f"{name} = {answer}" in ticked]
        if chosen:
            found.append(f"{name} = {' | '.join(chosen)}")
    return tuple(found)


def rows_of_step(said: StepFields) -> dict[str, list[RowTyped]]:
    """The rows of a step to be typed on."""
    checks = [value.partition("|") for value in said.values.get("check", ())]
    return {
        "cautions": [
            {
                "word": one.word,
                "title": one.title,
                "hazard": one.hazard,
                "harm": one.harm,
                "avoid": one.avoid,
                "more": one.more,
            }
            for one in said.cautions
        ],
        "checks": [
            {"look": look.strip(), "otherwise": otherwise.strip()} for look, _, otherwise in checks
        ],
        "pictures": rows_of_pictures(said),
    }


def initial_of(said: StepFields, forks: Sequence[Fork]) -> dict[str, Any]:
    """The values with which the form of a step opens."""
    values = said.values
    initial: dict[str, Any] = {
        key.replace(" ", "_"): values.get(key, ()) for key in (*LINES, "opens", "after")
    }
    return initial | {
        "title": said.title,
        "body": said.body,
        "critical": " ".join(values.get("critical", ())),
        "hold": "hold" in values,
        "only_if": tick_conditions(values.get("only if", ()), forks) or [],
    }


def step_from(form: StepForm, rows: StepRows, was: StepFields, forks: Sequence[Fork]) -> StepFields:
    """The fields that the valid form states; what it could not show stays as it was."""
    given = form.cleaned_data
    said: dict[str, tuple[str, ...]] = {}
    for key in STEP_WORDS:
        name = key.replace(" ", "_")
        if key == "check":
            said[key] = _checks(rows, was)
        elif key == "only if":
            ticked = given.get(name, ()) or ()
            said[key] = form.keeps or _as_it_was(_conditions(ticked, forks), was, forks)
        elif key == "critical":
            said[key] = (given[name],) if given[name] else ()
        elif key == "hold":
            said[key] = was.values.get(key, ("yes",)) if given[name] else ()
        elif key in LINES:
            said[key] = tuple(given[name])
        else:
            said[key] = _in_old_order(given.get(name, ()) or (), was.values.get(key, ()))
    cautions = tuple(row.warned() for row in rows.cautions if row.has_changed())
    kept = {key: values for key, values in said.items() if values}
    pictures = [row.cleaned_data for row in rows.pictures if row.has_changed()]
    return StepFields(
        given["title"], kept, cautions, **pictured(given["body"].strip("\n"), pictures)
    )


def _in_old_order(now: Sequence[str], was: tuple[str, ...]) -> tuple[str, ...]:
    """What was ticked, in the order in which it was written before."""
    return was if sorted(now) == sorted(was) and len(was) > 1 else tuple(now)


def _as_it_was(now: tuple[str, ...], was: StepFields, forks: Sequence[Fork]) -> tuple[str, ...]:
    """The conditions as they were written, where they mean the same."""
    old = was.values.get("only if", ())
    ticked = tick_conditions(old, forks)
    same = ticked is not None and _conditions(ticked, forks) == now
    return tuple(old) if same else now


def _checks(rows: StepRows, was: StepFields) -> tuple[str, ...]:
    old = {
        tuple(side.strip() for side in value.split("|", 1)): value
        for value in was.values.get("check", ())
    }
    found = []
    for row in rows.checks:
        if row.has_changed():
            sides = tuple(side for side in row.cleaned_data.values() if side)
            found.append(old.get(sides, " | ".join(sides)))
    return tuple(found)
