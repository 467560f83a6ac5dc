"""How are the words of the write-up language called in a form, and what does each of them mean?

The examples are those of `writeup/pieces.py`, which a test rehearses.
"""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.functional import Promise
from django.utils.html import format_html
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from procedures.views.forms.plain import PlainForm
from procedures.views.forms.writeups import LONGEST, instant
from procedures.writeup.pieces import FIELDS, HEADS

MOST_LINES = 200  # of one field

HEAD_WORDS: dict[str, tuple[str | Promise, str | Promise]] = {
    "title": (_("Title"), _("The heading of the write-up.")),
    "level": (_("Service level"), _("The level that this work belongs to.")),
    "interval": (_("Due every"), _("How often this work is due.")),
    "variants": (
        _("What differs between forks"),
        _("Each question about the fork, with its answers. Steps can then be for some forks only."),
    ),
    "never": (_("Answers that no fork has together"), _("The rehearsal leaves such forks out.")),
    "given": (_("True at the start"), _("What is true before the first step. One to a line.")),
    "leaves": (_("True at the end"), _("What is true after the last step. One to a line.")),
    "off": (_("Parts that are off at the start"), _("One part to a line.")),
    "leaves off": (_("Parts that are still off at the end"), _("One part to a line.")),
    "follows": (_("Comes after"), _("The write-up that is done before this one.")),
}
STEP_WORDS: dict[str, tuple[str | Promise, str | Promise]] = {
    "critical": (
        _("Why it is critical"),
        _("Only where a mistake can hurt someone or ruin the part. Say what happens then."),
    ),
    "only if": (
        _("Only for these forks"),
        _("Tick the answers that the step is for. Without a tick it is for every fork."),
    ),
    "needs": (_("Must be true before"), _("One to a line, in the words of the step that does it.")),
    "makes": (_("True from here on"), _("What this step makes true. One to a line.")),
    "ends": (_("No longer true"), _("What this step ends. One to a line.")),
    "opens": (
        _("Opens a source of danger"),
        _("The shop’s rules say what must be true before it is opened."),
    ),
    "takes off": (_("Parts that come off"), _("They lie on the bench from here on.")),
    "fits": (_("Parts that go back on"), _("Parts that came off before. One to a line.")),
    "scraps": (_("Parts to throw away"), _("One part to a line.")),
    "fits new": (_("New parts that go on"), _("Each in the place of one that was thrown away.")),
    "uses": (_("Used up"), _("What is used, with its amount. One to a line.")),
    "tool": (_("Tools"), _("One tool to a line.")),
    "torque": (_("Torques"), _("Its name, a number with its tolerance, and the unit.")),
    "measure": (_("Values to measure"), _("What is measured, the range, and the unit.")),
    "check": (_("What to look at"), _("And what to do where it is not right.")),
    "after": (_("Comes after these steps"), _("Only where nothing else says that it must.")),
    "hold": (
        _("Hold point: stop until the mechanic who watches has looked"),
        _("The work stops at this step."),
    ),
}
_EXAMPLES = {
    # Of a list its first entry: in a form there is one to a line.
    piece.label: piece.text.partition(":")[2].strip().strip("[]").split(", ")[0]
    if piece.text.endswith("]")
    else piece.text.partition(":")[2].strip()
    for piece in (*FIELDS, *HEADS)
}
# What is chosen from a list or ticked needs no example of how it is written.
CHOSEN = frozenset({"level", "follows", "variants", "never", "only if", "opens", "after", "hold"})


def labelled(key: str, *, of_step: bool) -> dict[str, Any]:
    """Label and help of the field for a word, with its example where it is typed."""
    label, help_ = (STEP_WORDS if of_step else HEAD_WORDS)[key]
    if key in CHOSEN:
        return {"label": label, "help_text": help_}
    return {"label": label, "help_text": _with_example(help_, _EXAMPLES[key])}


def _with_example(help_: str | Promise, example: str) -> str:
    return format_html(
        "{} {} <code>{}</code>", help_, gettext("Example:"), example.replace(" | ", ": ")
    )


class LinesField(forms.CharField):
    """Several entries, one to a line."""

    def __init__(self, *, parted: str = "", rows: int = 2, **more: Any) -> None:
        self.parted = parted
        super().__init__(
            required=False,
            max_length=LONGEST,
            widget=forms.Textarea(attrs={"rows": rows, "class": "lines", "autocapitalize": "off"}),
            **more,
        )

    def prepare_value(self, value: Any) -> Any:
        return "\n".join(value) if isinstance(value, tuple | list) else value


def entries_in(said: str, parted: str = "") -> tuple[str, ...]:
    """The entries of the lines of a text, and those that a sign parts within a line."""
    lines = said.replace("\r", "\n").split("\n")
    parts = [part for line in lines for part in (line.split(parted) if parted else [line])]
    return tuple(part.strip() for part in parts if part.strip())


def choose_from(
    known: Iterable[tuple[str, str]], now: Iterable[str], unknown: str
) -> list[tuple[str, str]]:
    """The choices that are known, and what is said now though it is not among them."""
    choices = list(known)
    names = {name for name, _ in choices}
    return choices + [
        (name, unknown.format(name=name)) for name in now if name and name not in names
    ]


class SeenForm(PlainForm):
    """A form on a draft: which text it was opened on."""

    seen = forms.CharField(widget=forms.HiddenInput, required=False)

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        # A hidden field cannot tell what is wrong with it, so the form as a whole does.
        given["seen"] = instant(given.get("seen") or "")
        for name, field in self.fields.items():
            if isinstance(field, LinesField) and isinstance(given.get(name), str):
                found = entries_in(given[name], field.parted)
                if len(found) > MOST_LINES:
                    self.add_error(name, _("There are too many lines here."))
                given[name] = found
        return given


def must_be_one_line(said: str) -> str:
    """A text in one line. Raises ValidationError for one that a step or a head cannot hold."""
    if ";" in said:
        raise ValidationError(_("Leave the semicolon out: in a write-up it separates two entries."))
    return " ".join(said.split())
