"""How are the shop's rules read, changed and compared?"""

from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods, require_safe

from procedures.access import acts, doors
from procedures.actions import writeups as actions
from procedures.models import Thing
from procedures.records.examples import unread_names
from procedures.records.refused import Refused
from procedures.records.wording.say import say
from procedures.reports import rules as reports
from procedures.views.forms.rules import (
    RuleRows,
    asked_by,
    changed,
    demand_of,
    names_in,
    rows_of,
    typed_rows,
)
from procedures.views.forms.writeups import RulesForm, SeenRulesForm
from procedures.writeup.rules import BadRules
from procedures.writeup.rules_text import heading_of, write_rules

RulesTyped = dict[str, list[dict[str, str]]]
"""The rows as they stand in the fields, by kind."""
TITLES = {
    "safe": (
        _("Sources of danger"),
        _("A step must not open one of these before the fact beside it is true."),
    ),
    "temporary": (
        _("What must come off again"),
        _("Facts that must be gone at the end, such as a guard on a shaft."),
    ),
    "same": (
        _("Words that mean the same"),
        _("Names of one fact or one part, such as: vise; vice."),
    ),
    "states": (
        _("Only one at a time"),
        _(
            "Facts of which only one can be true, such as: feet up; feet down. When one "
            "becomes true, the others end."
        ),
    ),
    "demands": (
        _("What a step must find or say"),
        _("What the shop has learned once, for every write-up."),
    ),
}


@dataclass(frozen=True, slots=True)
class RuleLine:
    """One row of the page: its fields, where it is, what it touches, and whether it is open to be
    typed on.
    """

    form: Any
    place: str
    touch: reports.Touch
    when: str
    said: Any
    is_open: bool


@require_http_methods(["GET", "HEAD", "POST"])
def rules(request: HttpRequest) -> HttpResponse:
    acts.WRITE.must_be_open_to(request.user)
    page = reports.rules_page()
    is_text = "text" in request.POST
    text_form = RulesForm(
        request.POST if is_text else None, initial={"text": page.text, "seen": page.version or 0}
    )
    seen_form = SeenRulesForm(request.POST or None, initial={"seen": page.version or 0})
    wants_row = not is_text and bool({"add", "remove"} & request.POST.keys())
    typed = rows_of(page.rules) if is_text or not request.POST else typed_rows(request.POST)
    if wants_row:
        typed = _with_row(typed, request.POST)
    is_sent = request.method == "POST" and not is_text and not wants_row
    rows = RuleRows(request.POST) if is_sent else RuleRows(rows=typed)
    effect = None
    if is_sent or is_text:
        form = text_form if is_text else seen_form
        try:
            if form.is_valid():
                text = _text(text_form if is_text else rows, heading_of(page.text))
                effect = reports.effect_of(text) if text is not None else None
                if text is not None and _is_kept(request, text, effect, form):
                    return redirect("procedures:rules")
        except (Refused, ValidationError) as refused:
            effect = None
            form.add_error(None, refused.message if is_text else _without_line(refused))
    parts = _parts(rows, typed, request.POST.get("add", ""))
    shown = {
        "page": page,
        "form": text_form,
        "seen_form": seen_form,
        "parts": parts,
        "effect": effect,
        "is_text": is_text,
        "is_example": bool(unread_names(Thing.RULES)),
    }
    return render(request, "procedures/rules.html", shown)


def _with_row(typed: RulesTyped, post: QueryDict) -> RulesTyped:
    """The rows with one more, or one less."""
    return changed(typed, add=post.get("add", ""), remove=post.get("remove", ""))


def _without_line(refused: Refused | ValidationError) -> str:
    """What is wrong with a row; the rows of the page have no line numbers."""
    cause = refused.__cause__
    return say(cause.remark) if isinstance(cause, BadRules) else str(refused.message)


def _is_kept(
    request: HttpRequest, text: str, effect: reports.Effect | None, form: forms.Form
) -> bool:
    """What would come or go is shown first; the second press, with that in view, keeps it."""
    # The digest ties the second press to the effect that was shown, not to one worked out since.
    if effect is None or not (effect.is_silent or request.POST.get("known") == effect.digest):
        return False
    actions.set_rules(text=text, seen=form.cleaned_data["seen"], author=request.user)
    messages.success(request, gettext("The rules are saved as the newest version."))
    return True


def _text(form: RulesForm | RuleRows, heading: str) -> str | None:
    """The text of rules that was sent; None while a row is not right."""
    if isinstance(form, RulesForm):
        return str(form.cleaned_data["text"])
    return write_rules(form.rules(), heading) if form.is_valid() else None


def _parts(rows: RuleRows, typed: RulesTyped, added: str) -> list[dict[str, Any]]:
    """The kinds of rows, each with its lines."""
    asked = [asked_by(kind, row) for kind, its in typed.items() for row in its]
    touches = iter(
        reports.count_touched(asked, tuple(names_in(row.get("words", "")) for row in typed["same"]))
    )
    parts = []
    for kind, (title, about) in TITLES.items():
        lines = []
        for number, (form, row) in enumerate(zip(rows.sets[kind], typed[kind], strict=True)):
            is_new = kind == added and number == len(typed[kind]) - 1
            if is_new:
                next(iter(form.fields.values())).widget.attrs["autofocus"] = True
            demand = (
                demand_of({"because": "", "needs": "", "caution": "", "names": "", **row})
                if kind == "demands"
                else None
            )
            when = (
                "; ".join(f"{field}: {', '.join(names)}" for field, names in demand.when)
                if demand
                else ""
            )
            is_open = is_new or (form.is_bound and bool(form.errors)) or not when
            lines.append(RuleLine(form, f"{kind}-{number}", next(touches), when, demand, is_open))
        parts.append(
            {"kind": kind, "title": title, "about": about, "rows": rows.sets[kind], "lines": lines}
        )
    return parts


@require_safe
def version(request: HttpRequest, version: int) -> HttpResponse:
    acts.WRITE.must_be_open_to(request.user)
    row = doors.rules_version(version)
    return render(request, "procedures/rules_version.html", {"page": reports.version_page(row)})
