"""How are the shop's rules typed as rows, and which rules do the rows state?"""

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BaseFormSet, formset_factory
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from procedures.views.forms.plain import PlainForm
from procedures.writeup.demands import OF_FACTS_AND_PARTS as FACTS_AND_PARTS
from procedures.writeup.demands import SIGNALS, WHEN, Demand
from procedures.writeup.grammar import split_values
from procedures.writeup.rules import ShopRules

MOST_ROWS = 500
SHOWN_CONDITIONS = 2
FACTS = ("needs", "makes", "ends")
FIELDS = {
    "opens": _("opens"),
    "needs": _("needs"),
    "makes": _("makes true"),
    "ends": _("ends"),
    "takes off": _("takes off"),
    "fits": _("fits"),
    "scraps": _("throws away"),
    "fits new": _("fits new"),
    "uses": _("uses up"),
    "tool": _("uses the tool"),
}

RowTyped = dict[str, str]


def names_in(text: str) -> tuple[str, ...]:
    """The names between the semicolons."""
    return tuple(name for name in split_values(text) if name)


class SafeRow(PlainForm):
    danger = forms.CharField(max_length=200, label=_("Source of danger"))
    fact = forms.CharField(max_length=200, label=_("Safe when"))


class TemporaryRow(PlainForm):
    fact = forms.CharField(max_length=200, label=_("Must be gone at the end"))


class GroupRow(PlainForm):
    words = forms.CharField(max_length=2000, label=_("Names, with semicolons between them"))

    def clean_words(self) -> str:
        if len(names_in(self.cleaned_data["words"])) < 2:
            raise ValidationError(_("Write at least two names, with semicolons between them."))
        return str(self.cleaned_data["words"])


class DemandRow(PlainForm):
    """One demand. It has `conditions` pairs of a field of a step and the names that meet it."""

    needs = forms.CharField(
        max_length=2000,
        required=False,
        label=_("It needs"),
        help_text=_("Facts, with semicolons between them."),
    )
    caution = forms.ChoiceField(
        required=False,
        label=_("Its message is at least"),
        choices=[("", "–"), *((word, word.upper()) for word in SIGNALS)],
    )
    names = forms.CharField(
        max_length=200,
        required=False,
        label=_("and says"),
        help_text=_("Words from its title or its line about the hazard."),
    )
    because = forms.CharField(max_length=500, label=_("Because"))

    def __init__(self, *args: Any, conditions: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._conditions = range(1, conditions + 1)
        pairs: dict[str, forms.Field] = {}
        for number in self._conditions:
            pairs[f"field_{number}"] = forms.ChoiceField(
                required=False,
                choices=[("", "–"), *FIELDS.items()],
                label=_("When a step") if number == 1 else _("and it"),
            )
            pairs[f"listed_{number}"] = forms.CharField(
                max_length=2000, required=False, label=_("one of these")
            )
        self.fields = {**pairs, **self.fields}

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        asked = []
        for number in self._conditions:
            field, listed = (
                given.get(f"field_{number}"),
                names_in(given.get(f"listed_{number}") or ""),
            )
            if field and not listed:
                self.add_error(f"listed_{number}", _("Name at least one."))
            elif listed and not field:
                self.add_error(f"field_{number}", _("Choose what the step does with it."))
            elif field:
                asked.append(field)
        if not asked and not self.errors:
            self.add_error("field_1", _("Say which steps this is about."))
        if len(set(asked)) < len(asked):
            self.add_error("field_2", _("This is here twice. Put all its names in one line."))
        if bool(given.get("caution")) != bool(given.get("names")):
            self.add_error("names", _("Fill in both the signal word and the words of the message."))
        if not names_in(given.get("needs") or "") and not given.get("caution") and not self.errors:
            self.add_error("needs", _("Say what the step needs, or which message it must have."))
        return given


class RowSet(BaseFormSet):  # type: ignore[type-arg]
    """Rows of one kind; an empty one counts for nothing."""

    def __init__(self, data: Any = None, *, rows: Sequence[RowTyped] = (), **kwargs: Any) -> None:
        super().__init__(data, initial=list(rows), **kwargs)
        self.extra = len(rows)

    # To Django, rows that were there before may not be empty; here an emptied row is one taken out.
    def initial_form_count(self) -> int:
        return 0


KINDS: dict[str, type[PlainForm]] = {
    "safe": SafeRow,
    "temporary": TemporaryRow,
    "same": GroupRow,
    "states": GroupRow,
    "demands": DemandRow,
}
_SETS: dict[str, Any] = {
    kind: formset_factory(row, formset=RowSet, extra=0, max_num=MOST_ROWS, absolute_max=MOST_ROWS)
    for kind, row in KINDS.items()
}


class RuleRows:
    """All rows of the page: as they are typed (`data`), or to be typed on from `rows`."""

    def __init__(
        self,
        data: Mapping[str, str] | None = None,
        rows: Mapping[str, Sequence[RowTyped]] | None = None,
    ) -> None:
        names = data or {name: "" for row in (rows or {}).get("demands", ()) for name in row}
        numbers = [
            int(found[1])
            for name in names
            # The highest number sent says how many conditions the rows are read with.
            if (found := re.search(r"(?:^|-)listed_([1-9]\d?)$", name))
        ]
        more = {
            "form_kwargs": {
                "conditions": max(
                    [SHOWN_CONDITIONS, *(number for number in numbers if number <= len(WHEN))]
                )
            }
        }
        self.sets: dict[str, Any] = {
            kind: made(
                data,
                rows=(rows or {}).get(kind, ()),
                prefix=kind,
                **(more if kind == "demands" else {}),
            )
            for kind, made in _SETS.items()
        }

    def is_valid(self) -> bool:
        # Every set is asked, so that each row shows its own faults.
        return False not in [each.is_valid() for each in self.sets.values()]

    def rules(self) -> ShopRules:
        """The rules that the valid rows state. Raises ValidationError for a source of danger that
        stands there twice.
        """
        given = {
            kind: [form.cleaned_data for form in each if form.has_changed()]
            for kind, each in self.sets.items()
        }
        safe = {row["danger"]: row["fact"] for row in given["safe"]}
        if len(safe) < len(given["safe"]):
            raise ValidationError(
                gettext("This source of danger is here twice. Take one of the rows out.")
            )
        return ShopRules(
            safe,
            tuple(row["fact"] for row in given["temporary"]),
            tuple(names_in(row["words"]) for row in given["same"]),
            tuple(names_in(row["words"]) for row in given["states"]),
            tuple(map(demand_of, given["demands"])),
        )


def demand_of(row: Mapping[str, str]) -> Demand:
    """The demand that a row states; of a row that is not finished, as much of it as is there."""
    numbers = sorted(int(name.removeprefix("field_")) for name in row if name.startswith("field_"))
    pairs = [
        (row[f"field_{number}"], names_in(row.get(f"listed_{number}", ""))) for number in numbers
    ]
    return Demand(
        tuple((field, listed) for field, listed in pairs if field and listed),
        row["because"],
        names_in(row["needs"]),
        row["caution"],
        row["names"],
    )


def asked_by(kind: str, row: Mapping[str, str]) -> tuple[Demand, ...]:
    """Which kinds of steps a row, finished or not, is about: a step is touched when one of them
    fits it.
    """
    if kind == "demands":
        demand = demand_of({"because": "", "needs": "", "caution": "", "names": "", **row})
        return (demand,) if demand.when else ()
    names = (
        tuple(name for value in row.values() for name in names_in(value))
        if kind in ("same", "states")
        else (row.get("fact", ""),)
    )
    fields = {"safe": (), "temporary": FACTS, "states": FACTS, "same": FACTS_AND_PARTS}[kind]
    if kind == "safe":
        fields, names = ("opens",), (row.get("danger", ""),)
    return tuple(Demand(((field, names),), "") for field in fields if all(names))


def rows_of(rules: ShopRules) -> dict[str, list[RowTyped]]:
    """The rules as rows to be typed on."""
    return {
        "safe": [{"danger": danger, "fact": fact} for danger, fact in rules.safe.items()],
        "temporary": [{"fact": fact} for fact in rules.temporary],
        "same": [{"words": "; ".join(group)} for group in rules.same],
        "states": [{"words": "; ".join(group)} for group in rules.states],
        "demands": list(map(_row_of, rules.demands)),
    }


def _row_of(demand: Demand) -> RowTyped:
    row = {
        "needs": "; ".join(demand.needs),
        "caution": demand.caution,
        "names": demand.names,
        "because": demand.because,
    }
    for number, (field, names) in enumerate(demand.when, 1):
        row |= {f"field_{number}": field, f"listed_{number}": "; ".join(names)}
    return row


def typed_rows(data: Mapping[str, str]) -> dict[str, list[RowTyped]]:
    """The rows as they were typed, finished or not."""
    return {kind: list(rows_typed(data, kind)) for kind in KINDS}


def rows_typed(data: Mapping[str, str], kind: str) -> Iterable[RowTyped]:
    """The rows of one kind as they were typed, finished or not."""
    total = data.get(f"{kind}-TOTAL_FORMS", "")
    # The number comes from the browser, and would otherwise decide how long this takes.
    for number in range(min(int(total), MOST_ROWS) if total.isdecimal() else 0):
        start = f"{kind}-{number}-"
        yield {
            name.removeprefix(start): value
            for name, value in data.items()
            if name.startswith(start)
        }


def changed(
    rows: dict[str, list[RowTyped]], *, add: str = "", remove: str = ""
) -> dict[str, list[RowTyped]]:
    """The rows with an empty one more of a kind (`demands`), or without one (`demands-3`); anything
    else changes nothing.
    """
    kind, _dash, number = remove.partition("-")
    if add in rows:
        rows = {**rows, add: [*rows[add], {}]}
    if kind in rows and number.isdecimal() and int(number) < len(rows[kind]):
        rows = {**rows, kind: [row for place, row in enumerate(rows[kind]) if place != int(number)]}
    return rows
