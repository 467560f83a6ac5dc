"""What may be asked about standings: who may on a day, what changed, and under other rules?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date, datetime, time
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.forms.boundfield import BoundField
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from training.models import Workshop, shop_now
from training.standing.other_rules import OtherRules
from training.standing.terms import TERMS
from training.views.forms.fields import Bare, day_field
from training.views.forms.forks import Variants
from training.views.forms.terms import field_of


@dataclass(frozen=True, slots=True)
class QuestionAsked:
    """The question as it was asked, with what was not said filled in."""

    on: date
    known_at: datetime
    known_on: date | None
    variant: Mapping[str, str]
    workshop: str
    level: str = ""

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

    on = day_field(label=_("Day"), required=False)
    known_on = day_field(
        label=_("As known on"), required=False, help_text=_("Leave empty for what is known now.")
    )
    workshop = forms.ChoiceField(required=False)
    in_sight: tuple[str, ...] = ("on",)
    """The fields that matter most; the others are folded away behind them."""

    def __init__(self, data: Any, *, today: date, variants: Variants) -> None:
        if data is not None and not data.get("on"):
            # The field shows the day for which the page answers.
            data = data.copy()
            data["on"] = today.isoformat()
        super().__init__(data, initial={"on": today})
        self.today, self.variants = today, variants
        workshops = [(name, name) for name in Workshop.objects.values_list("name", flat=True)]
        self.fields["workshop"] = forms.ChoiceField(
            required=False, label=_("Workshop"), choices=[("", _("every workshop")), *workshops]
        )
        # With one workshop there is nothing to choose.
        if len(workshops) < 2:
            del self.fields["workshop"]
        for name, options in variants:
            choices = [("", _("any")), *((option, option) for option in options)]
            self.fields[f"v-{name}"] = forms.ChoiceField(
                label=name.capitalize(), required=False, choices=choices
            )

    def first_fields(self) -> list[BoundField]:
        """The fields in sight."""
        return [self[name] for name in self.in_sight]

    def folded_fields(self) -> list[BoundField]:
        """The fields that are folded away."""
        return [self[name] for name in self.fields if name not in self.in_sight]

    def is_narrowed(self) -> bool:
        """Whether something is asked in a field that is folded away, or is wrong there."""
        return any(field.data or field.errors for field in self.folded_fields())

    def question(self) -> QuestionAsked:
        """What was asked; where something cannot be read, as if it had not been said (the form
        tells).
        """
        self.full_clean()
        said = self.cleaned_data if self.is_bound else {}
        known_on: date | None = said.get("known_on")
        known_at = shop_now()
        # Of today what is known now counts, not what will be known tonight.
        if known_on is not None and known_on < timezone.localdate(known_at):
            known_at = timezone.make_aware(datetime.combine(known_on, time.max))
        return QuestionAsked(
            on=said.get("on") or self.today,
            known_at=known_at,
            known_on=known_on,
            variant={name: said[f"v-{name}"] for name, _ in self.variants if said.get(f"v-{name}")},
            workshop=said.get("workshop", ""),
            level=said.get("level", ""),
        )


class WhoMayForm(QuestionForm):
    """The question about the whole shop: all levels, or one."""

    in_sight = ("on", "level")

    def __init__(
        self, data: Any, *, today: date, variants: Variants, levels: Mapping[str, str]
    ) -> None:
        super().__init__(data, today=today, variants=variants)
        self.fields["level"] = forms.ChoiceField(
            label=_("Level"), required=False, choices=[("", _("every level")), *levels.items()]
        )


class DaysForm(Bare):
    """From which day to which; what is left empty, or can't be read, is filled in by the page."""

    first = day_field(label=_("From"), required=False)
    until = day_field(label=_("Until"), required=False)

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        first, until = given.get("first"), given.get("until")
        if first and until and first > until:
            self.add_error(
                "until", _("The last day is before the first day. Choose a later last day.")
            )
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

    field_order = (*(one.name for one in fields(OtherRules)), "first", "until")

    def __init__(self, *given: Any, **more: Any) -> None:
        super().__init__(*given, **more)
        for one in fields(OtherRules):
            self.fields[one.name] = field_of(TERMS[one.name])
        self.order_fields(self.field_order)
