"""What has the form of every kind of question, for those who write them?

A form states an entry, as a YAML text has it; reading, marking and keeping are those of the text.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from django import forms
from django.forms import formset_factory
from django.urls import reverse
from django.utils.functional import Promise
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from procedures.views.forms.language import choose_from
from procedures.views.forms.plain import PlainForm
from procedures.views.forms.rules import RowSet, RowTyped
from procedures.views.forms.writeups import TextField
from quizzes.kinds.spots import Box, cells

MOST_ROWS = 40
ADDED = "\n\n![{shows}](drawing:{name})"
Written = dict[str, Any]
"""A question as a YAML text has it, and as `make_entry` gives it."""


@dataclass(frozen=True, slots=True)
class Offers:
    """What there is to choose from: steps and drawings with their titles, the questions about the
    fork with their answers, and the size of the drawing to point at.
    """

    steps: tuple[tuple[str, str], ...]
    drawings: tuple[tuple[str, str], ...]
    forks: tuple[tuple[str, tuple[str, ...]], ...] = ()
    box: Box | None = None

    def pick_drawing(self, now: Iterable[str] = ()) -> list[tuple[str, str]]:
        """The choices of a field that takes a drawing."""
        none = ("", gettext("no drawing"))
        return choose_from(
            [none, *self.drawings], now, gettext("{name} (there is no such drawing)")
        )

    def cell_names(self) -> list[tuple[str, str]]:
        """The cells of the drawing to point at."""
        return [(one.name, one.name) for one in cells(self.box)] if self.box else []


@dataclass(frozen=True, slots=True)
class RowKind:
    """One kind of rows of a form: the form of a row, its heading, and what its button says."""

    form: type[PlainForm]
    title: str | Promise
    button: str | Promise


class WrittenForm(PlainForm):
    """A question of one kind. Subclasses add their own fields and rows."""

    kind: ClassVar[str]
    row_kinds: ClassVar[Mapping[str, RowKind]] = {}
    rows_after: ClassVar[str] = "steps"  # the field below which the rows stand

    stem = TextField(
        label=_("The question"),
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=_("What is asked, in one or two sentences."),
    )
    picture = forms.ChoiceField(
        required=False,
        label=_("Put a drawing below the question"),
        help_text=_("It is put into the text above when you preview or save."),
    )
    shows = forms.CharField(
        required=False,
        max_length=200,
        label=_("What this drawing shows"),
        help_text=_("For people who cannot see it. Do not give the answer away."),
    )
    says = TextField(
        required=False,
        label=_("Why it is so"),
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("Shown after the quiz has ended."),
    )
    critical = forms.BooleanField(
        required=False,
        label=_("This question is critical"),
        help_text=_("Only for what can hurt somebody or ruin the part."),
    )
    mirror = forms.BooleanField(
        required=False, label=_("Show its drawings mirrored in half of the quizzes")
    )
    name = forms.CharField(
        required=False,
        max_length=80,
        label=_("Short name"),
        help_text=_("For addresses. Leave it empty to make it from the step."),
    )
    version = forms.IntegerField(required=False, widget=forms.HiddenInput, min_value=0)

    def __init__(
        self,
        data: Any = None,
        *,
        offers: Offers,
        entry: Written,
        rows: Mapping[str, Sequence[RowTyped]] | None = None,
        initial: Mapping[str, Any] | None = None,
    ) -> None:
        said = self.initial_from(entry) if initial is None else dict(initial)
        super().__init__(data, initial=said)
        self.was, self.offers = entry, offers
        ticked = entry.get("steps", ())
        steps = choose_from(offers.steps, ticked, gettext("{name} (there is no such step)"))
        self.fields["steps"] = forms.MultipleChoiceField(
            # Those that are ticked first: the list is long, and scrolls.
            choices=sorted(steps, key=lambda step: step[0] not in ticked),
            widget=forms.CheckboxSelectMultiple,
            label=gettext("Steps that it is about"),
            help_text=self.steps_help(),
        )
        self.fields["picture"].choices = offers.pick_drawing()  # type: ignore[attr-defined]
        self.fields["picture"].help_text = with_drawings(self.fields["picture"].help_text)
        self.add_fields()
        if entry.get("name"):  # a question keeps its name
            del self.fields["name"]
        begin = ["stem", "picture", "shows", "steps"]
        self.order_fields([*begin, *self.own_fields(), "says", "critical", "mirror", "name"])
        shown = self.rows_from(entry) if rows is None else rows
        self.sets = {
            prefix: _set_of(kind.form)(
                data,
                rows=() if data else shown.get(prefix, ()),
                prefix=prefix,
                form_kwargs=self.row_arguments(prefix),
            )
            for prefix, kind in self.row_kinds.items()
        }

    # --- what each kind says

    def steps_help(self) -> str:
        return gettext("When one of them changes, the question is set aside until it is confirmed.")

    def add_fields(self) -> None:
        """Adds the fields of this kind."""

    def own_fields(self) -> tuple[str, ...]:
        """The names of the fields of this kind, in the order in which they are asked."""
        return ()

    def row_arguments(self, prefix: str) -> dict[str, Any]:
        return {}

    def own_entry(self) -> Written:
        """The keys of this kind, of a valid form."""
        raise NotImplementedError

    @classmethod
    def own_initial(cls, entry: Written) -> dict[str, Any]:
        return {}

    @classmethod
    def rows_from(cls, entry: Written) -> dict[str, list[RowTyped]]:
        """The rows of an entry, to be typed on."""
        return {}

    # --- the same for all

    @classmethod
    def initial_from(cls, entry: Written) -> dict[str, Any]:
        """The values with which the form of an entry opens."""
        common = ("stem", "says", "critical", "mirror", "steps")
        return {name: entry[name] for name in common if name in entry} | cls.own_initial(entry)

    def is_valid(self) -> bool:
        # Each is asked, so that each row shows its own faults.
        return False not in [super().is_valid(), *(one.is_valid() for one in self.sets.values())]

    def row_groups(self) -> list[tuple[str, str, Any]]:
        """Each kind of rows with its heading and its button."""
        return [
            (str(kind.title), str(kind.button), self.sets[prefix])
            for prefix, kind in self.row_kinds.items()
        ]

    def typed(self, prefix: str) -> list[dict[str, Any]]:
        """What the filled rows of one kind hold."""
        return [row.cleaned_data for row in self.sets[prefix] if row.has_changed()]

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        if given.get("picture") and not given.get("shows"):
            self.add_error("shows", gettext("Say what the drawing shows."))
        if re.search(r"[\[\]]", given.get("shows") or ""):
            self.add_error("shows", gettext("Leave the square brackets out."))
        return given

    def entry(self, taken: Iterable[str] = ()) -> Written:
        """The entry that the valid form states; a new one gets a name that is not taken."""
        given = self.cleaned_data
        steps = list(given["steps"])
        was = list(self.was.get("steps", ()))
        # In the order in which they were written, where they are the same.
        steps = was if sorted(was) == sorted(steps) else steps
        said: Written = {
            "name": self.was.get("name") or given.get("name") or self._make_name(steps, taken),
            "kind": self.kind,
            "steps": steps,
        }
        for name in ("critical", "mirror"):
            if given[name]:
                said[name] = True
        said |= {"stem": self._stem()} | self.own_entry()
        if given["says"].strip():
            said["says"] = given["says"].strip()
        return said

    def _stem(self) -> str:
        given = self.cleaned_data
        added = ""
        if given["picture"]:
            added = ADDED.format(shows=given["shows"], name=given["picture"])
        return f"{given['stem'].strip()}{added}"

    def _make_name(self, steps: Sequence[str], taken: Iterable[str]) -> str:
        start = f"{steps[0]}-{self.kind.replace(' ', '-')}"[:70]
        names, number = {name.lower() for name in taken}, 2
        found = start
        while found.lower() in names:
            found, number = f"{start}-{number}", number + 1
        return found


def _set_of(row: type[PlainForm]) -> Any:
    return formset_factory(row, formset=RowSet, extra=0, max_num=MOST_ROWS, absolute_max=MOST_ROWS)


def with_drawings(help_text: str | Promise = "") -> SafeString:
    """The help of a field that takes a drawing by its title: where all of them can be seen, beside
    the form, in which nothing is lost then.
    """
    return format_html(
        '{} <a href="{}" target="_blank">{}</a>',
        help_text,
        reverse("procedures:drawings"),
        gettext("Show all drawings in another tab"),
    )


def without_empty(row: Mapping[str, Any]) -> dict[str, Any]:
    """A row without what is empty, as an author would write it."""
    return {name: value for name, value in row.items() if value}
