"""What may be typed or chosen on the pages of this app?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from urllib.parse import urlencode

from crispy_forms.helper import FormHelper
from django import forms
from django.forms.boundfield import BoundField
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from procedures.models import WriteUp
from procedures.views.forms.plain import PlainForm
from training.actions.once import LONGEST, OUT_OF_DATE, new_mark
from training.models import Level, User, Workshop, roles, shop_now
from training.records import gathering
from training.reports.cover_page import CoverAsked
from training.reports.plan import PlanAsked

Variants = tuple[tuple[str, tuple[str, ...]], ...]


def options_of_shop(level: str = "") -> Variants:
    """Every variant with its options, of one level's write-ups or of all."""
    rules = gathering.rules_of_levels()
    found: dict[str, dict[str, None]] = {}
    for name, variants in gathering.options_of(rules).items():
        if not level or name == level:
            for variant, options in variants:
                found.setdefault(variant, {}).update(dict.fromkeys(options))
    return tuple((variant, tuple(options)) for variant, options in found.items())


class Bare(PlainForm):
    """A form whose page writes the form tag and the buttons."""

    @property
    def helper(self) -> FormHelper:
        helper = FormHelper()
        helper.form_tag = False
        return helper

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        field = self.fields.get("mark")  # a hidden field could not tell what is wrong with it
        if (
            isinstance(field, MarkField)
            and not field.shortest <= len(given.get("mark", "")) <= LONGEST
        ):
            raise forms.ValidationError(OUT_OF_DATE)
        return given


class MarkField(forms.CharField):
    """The mark that makes a form count once, hidden in it. Without a fitting one the form says that
    its page is out of date.
    """

    def __init__(self, *, shortest: int = 1) -> None:
        super().__init__(required=False, widget=forms.HiddenInput)
        self.shortest = shortest

    def get_bound_field(self, form: forms.BaseForm, field_name: str) -> BoundField:
        """Each showing of an empty form has a mark of its own."""
        if not form.is_bound:
            form.initial.setdefault(field_name, new_mark())
        return super().get_bound_field(form, field_name)


class DayInput(forms.DateInput):
    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


class CodeInput(forms.TextInput):
    """For a code of the second factor; a phone offers the newest one."""

    def __init__(self) -> None:
        super().__init__(
            attrs={"autocomplete": "one-time-code", "autocapitalize": "off", "spellcheck": "false"}
        )


def day_field(**more: Any) -> forms.DateField:
    return forms.DateField(widget=DayInput(), input_formats=["%Y-%m-%d"], **more)


@dataclass(frozen=True, slots=True)
class Asked:
    """The question as it was asked, with what was not said filled in."""

    on: date
    known_at: datetime
    known_on: date | None
    variant: Mapping[str, str]
    workshop: str

    def query(self) -> str:
        """The question as the end of an address."""
        said = {
            "on": self.on.isoformat(),
            "known_on": self.known_on.isoformat() if self.known_on else "",
        }
        said |= {f"v-{name}": option for name, option in self.variant.items()}
        return urlencode({name: value for name, value in said.items() if value})


class QuestionForm(Bare):
    """Change the question: the day, as known when, which fork, which workshop."""

    on = day_field(label=_("On"), required=False)
    known_on = day_field(
        label=_("As known at the end of"), required=False, help_text=_("Empty: as known now.")
    )
    workshop = forms.ChoiceField(required=False)

    def __init__(self, data: Any, *, today: date, variants: Variants) -> None:
        super().__init__(data, initial={"on": today})
        self.today, self.variants = today, variants
        workshops = [(name, name) for name in Workshop.objects.values_list("name", flat=True)]
        self.fields["workshop"] = forms.ChoiceField(
            required=False, choices=[("", "every workshop"), *workshops]
        )
        if len(workshops) < 2:
            del self.fields["workshop"]
        for name, options in variants:
            choices = [("", "any"), *((option, option) for option in options)]
            self.fields[f"v-{name}"] = forms.ChoiceField(
                label=name.capitalize(), required=False, choices=choices
            )

    def question(self) -> Asked:
        """What was asked; where something cannot be read, as if it had not been said (the form
        tells).
        """
        self.full_clean()
        said = self.cleaned_data if self.is_bound else {}
        known_on: date | None = said.get("known_on")
        known_at = shop_now()
        if known_on is not None and known_on < timezone.localdate(known_at):
            known_at = timezone.make_aware(datetime.combine(known_on, time.max))
        return Asked(
            on=said.get("on") or self.today,
            known_at=known_at,
            known_on=known_on,
            variant={name: said[f"v-{name}"] for name, _ in self.variants if said.get(f"v-{name}")},
            workshop=said.get("workshop", ""),
        )


class DaysForm(Bare):
    """From which day to which; what is left empty, or can't be read, is filled in by the page."""

    first = day_field(label=_("From"), required=False)
    until = day_field(label=_("Until"), required=False)

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        first, until = given.get("first"), given.get("until")
        if first and until and first > until:
            self.add_error("until", _("The last day lies before the first."))
        return given

    def day(self, name: str) -> date | None:
        """A day that was given and can be read."""
        found: date | None = (
            self.cleaned_data.get(name) if self.is_bound and self.is_valid() else None
        )
        return found


class ChangedForm(DaysForm):
    """Which two days are compared."""

    first = None  # type: ignore[assignment]
    until = None  # type: ignore[assignment]
    since = day_field(label=_("Since"), required=False)
    on = day_field(label=_("On"), required=False)


class OtherRulesForm(DaysForm):
    """Other numbers for a level, and the days over which its history is read."""

    valid_months = forms.IntegerField(
        min_value=1, max_value=1200, label=_("Months a sign-off is valid")
    )
    practice_jobs = forms.IntegerField(
        min_value=0, max_value=999, label=_("Jobs to stay in practice")
    )
    practice_months = forms.IntegerField(
        min_value=0, max_value=999, label=_("… within how many months")
    )
    grace_days = forms.IntegerField(
        min_value=0, max_value=999, label=_("Days of grace after a release")
    )
    field_order = (
        "valid_months",
        "practice_jobs",
        "practice_months",
        "grace_days",
        "first",
        "until",
    )


class CoverForm(Bare):
    """Which weeks of the cover, by which forecast, and without whom."""

    WEEKS = ((4, _("four weeks")), (8, _("eight weeks")), (13, _("a quarter")))
    PACES = (
        ("nothing", _("nothing more is done")),
        ("pace", _("last year’s pace of jobs goes on")),
    )

    weeks = forms.TypedChoiceField(
        choices=WEEKS, coerce=int, initial=4, required=False, label=_("Look ahead")
    )
    forecast = forms.ChoiceField(
        choices=PACES, initial="nothing", required=False, label=_("Forecast")
    )
    without = forms.ModelChoiceField(
        User.objects.order_by("name"),
        required=False,
        to_field_name="login",
        empty_label=_("with everybody"),
        label=_("Without"),
    )
    and_without = forms.ModelChoiceField(
        User.objects.order_by("name"),
        required=False,
        to_field_name="login",
        empty_label=_("nobody else"),
        label=_("… and without"),
    )

    def asked(self) -> CoverAsked:
        """What was chosen; what cannot be read is as if it had not been said, and the form says
        so.
        """
        given = self.cleaned_data if self.is_bound and self.is_valid() else {}
        gone = [given.get(name) for name in ("without", "and_without")]
        return CoverAsked(
            weeks=given.get("weeks") or 4,
            at_pace=given.get("forecast") == "pace",
            gone=tuple(dict.fromkeys(person.login for person in gone if person)),
        )


class PlanForm(Bare):
    """For how many weeks a plan is made, and with what."""

    WEEKS = ((8, _("eight weeks")), (13, _("a quarter")))

    weeks = forms.TypedChoiceField(choices=WEEKS, coerce=int, initial=8, label=_("Plan for"))
    own = forms.DecimalField(
        min_value=0, max_value=8, decimal_places=2, initial=2, label=_("Hours a day to learn")
    )
    senior = forms.DecimalField(
        min_value=0,
        max_value=8,
        decimal_places=2,
        initial=1,
        label=_("Hours a day a senior teaches"),
    )
    at_once = forms.IntegerField(min_value=1, max_value=6, initial=1, label=_("Levels at once"))
    forecast = forms.ChoiceField(
        choices=CoverForm.PACES, initial="nothing", required=False, label=_("Forecast")
    )
    without = forms.CharField(required=False, max_length=150, widget=forms.HiddenInput)

    def asked(self) -> PlanAsked:
        """What was chosen; what is usual where nothing was, or it cannot be read."""
        given = (
            self.cleaned_data
            if self.is_bound and self.is_valid()
            else {name: field.initial for name, field in self.fields.items()}
        )
        return PlanAsked(
            int(given["weeks"]),
            float(given["own"]),
            float(given["senior"]),
            int(given["at_once"]),
            given["without"] or "",
            given.get("forecast") == "pace",
        )


class VariantForm(Bare):
    """Which fork it is: one option for every variant of a write-up."""

    def __init__(self, data: Any = None, *, variants: Variants, **more: Any) -> None:
        super().__init__(data, **more)
        for name, options in variants:
            self.fields[f"v-{name}"] = forms.ChoiceField(
                label=name.capitalize(),
                choices=[(option, option) for option in options],
                widget=forms.RadioSelect,
            )

    def variant(self) -> dict[str, str]:
        """The chosen options by variant."""
        return {
            name[2:]: value for name, value in self.cleaned_data.items() if name.startswith("v-")
        }


class JobForm(VariantForm):
    """A job that was done."""

    on = day_field(label=_("Day"))
    watched_by = forms.ModelChoiceField(
        User.objects.none(),
        required=False,
        to_field_name="login",
        label=_("Watched by"),
        empty_label="nobody: done alone",
        help_text=_("They confirm it on their first page. It counts from then on."),
    )
    tools = forms.CharField(
        required=False,
        max_length=200,
        label=_("Marked tools used"),
        help_text=_("Such as TW-2, TW-5; for a recall, should one turn out wrong."),
    )
    note = forms.CharField(
        required=False, widget=forms.Textarea(attrs={"rows": 3}), max_length=2000
    )
    mark = MarkField()

    def __init__(self, data: Any = None, *, watchers: Any, variants: Variants, **more: Any) -> None:
        super().__init__(data, variants=variants, **more)
        field = self.fields["watched_by"]
        if isinstance(field, forms.ModelChoiceField):
            field.queryset = watchers


class PasswordAgain(Bare):
    """The signer's password, asked again."""

    password = forms.CharField(
        label=_("Your password, again"),
        strip=False,
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


class AppointForm(Bare):
    """Which level somebody may sign off, and for how long."""

    level = forms.ModelChoiceField(
        Level.objects.titled(), to_field_name="name", label=_("Service level")
    )
    first = day_field(label=_("From"))
    until = day_field(
        label=_("Until"), required=False, help_text=_("The last day; empty: with no end.")
    )
    code = forms.CharField(
        max_length=30,
        label=_("Code"),
        help_text=_("From your app, or a recovery code."),
        widget=CodeInput(),
    )
    mark = MarkField()

    def __init__(self, *args: Any, with_code: bool = False, **more: Any) -> None:
        super().__init__(*args, **more)
        if not with_code:
            del self.fields["code"]


class PersonForm(Bare):
    """Who somebody is."""

    name = forms.CharField(max_length=120, widget=forms.TextInput(attrs={"autocomplete": "off"}))
    trade = forms.ChoiceField(choices=roles.TRADES)
    workshop = forms.ModelChoiceField(Workshop.objects.all(), empty_label=None)
    started = day_field(label=_("First day at work"), required=False)
    left = day_field(
        label=_("Last day at work"),
        required=False,
        help_text=_("Empty while the person works here."),
    )
    is_active = forms.BooleanField(label=_("May sign in"), required=False, initial=True)


class NewPersonForm(PersonForm):
    """Who is added."""

    login = forms.CharField(
        max_length=60,
        help_text=_("What the person types to sign in. It stays for good."),
        widget=forms.TextInput(attrs={"autocomplete": "username"}),
    )
    field_order = ["login", "name", "trade", "workshop", "started", "left", "is_active"]


class LevelForm(Bare):
    """What a level asks from a day on; 0 means not asked."""

    title = forms.CharField(max_length=200)
    from_day = day_field(
        label=_("From"), required=False, help_text=_("The first day of these rules; empty: always.")
    )
    earlier = forms.ModelMultipleChoiceField(
        Level.objects.titled(),
        required=False,
        to_field_name="name",
        label=_("Levels that must be held first"),
        widget=forms.CheckboxSelectMultiple,
    )
    writeups = forms.ModelMultipleChoiceField(
        WriteUp.objects.all(),
        required=False,
        to_field_name="name",
        label=_("Write-ups it covers"),
        widget=forms.CheckboxSelectMultiple,
    )
    valid_months = forms.IntegerField(
        min_value=1, max_value=1200, initial=24, label=_("Months a sign-off is valid")
    )
    practice_jobs = forms.IntegerField(
        min_value=0, max_value=999, initial=0, label=_("Jobs to stay in practice")
    )
    practice_months = forms.IntegerField(
        min_value=0, max_value=999, initial=0, label=_("… within how many months")
    )
    practice_from = day_field(
        label=_("Jobs written down since"),
        required=False,
        help_text=_(
            "The day on which you began to write jobs down. Nobody is out of practice in the "
            "first months after it. Empty: long ago."
        ),
    )
    watched_jobs = forms.IntegerField(
        min_value=0, max_value=999, initial=0, label=_("Watched jobs before a sign-off")
    )
    watched_per_option = forms.BooleanField(
        required=False, label=_("… at least one for every option of a fork")
    )
    observations = forms.IntegerField(
        min_value=0, max_value=99, initial=0, label=_("Observations before a sign-off")
    )
    observers = forms.IntegerField(
        min_value=0, max_value=99, initial=0, label=_("… by how many different observers")
    )
    pass_percent = forms.IntegerField(
        min_value=0, max_value=100, initial=0, label=_("Pass mark of the quiz, per cent")
    )
    grace_days = forms.IntegerField(
        min_value=0, max_value=999, initial=0, label=_("Days of grace after a release")
    )
    yardstick = forms.CharField(
        max_length=300,
        required=False,
        label=_("Inspired by"),
        help_text=_("The published rule behind these, if there is one."),
    )


class NewLevelForm(LevelForm):
    """A level that is new."""

    level = forms.SlugField(
        max_length=80, label=_("Name"), help_text=_("Short, for addresses and tables: air-spring.")
    )
    field_order = ["level", "title"]


class RecallForm(Bare):
    """From what to recall: a tool, a revision or a person, and between which days."""

    tool = forms.CharField(
        required=False, max_length=60, label=_("Tool"), help_text=_("Its mark, such as TW-2.")
    )
    writeup = forms.ModelChoiceField(
        WriteUp.objects.all(),
        required=False,
        to_field_name="name",
        label=_("Write-up"),
        empty_label="–",
    )
    revision = forms.IntegerField(
        required=False, min_value=1, label=_("Revision"), help_text=_("Empty: every revision.")
    )
    person = forms.ModelChoiceField(
        User.objects.order_by("name"),
        required=False,
        to_field_name="login",
        label=_("Person"),
        empty_label="–",
    )
    since = day_field(label=_("Since"), required=False)
    until = day_field(label=_("Until"), required=False)

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        if not (given.get("tool") or given.get("writeup") or given.get("person")):
            raise forms.ValidationError(_("Name a tool, a write-up or a person to recall from."))
        if given.get("revision") and not given.get("writeup"):
            raise forms.ValidationError(_("Name the write-up of this revision."))
        return given


def tool_marks(text: str) -> list[str]:
    """The marks in a line such as "TW-2, TW-5": each once, in capitals."""
    return list(
        dict.fromkeys(
            " ".join(mark.split()).upper()
            for mark in text.replace(";", ",").split(",")
            if mark.strip()
        )
    )
