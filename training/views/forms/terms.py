"""In which field of a form is a term of a level asked for?"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from procedures.models import WriteUp
from training.models import Level
from training.standing.terms import Term, TermKind
from training.views.forms.fields import day_field


def field_of(term: Term) -> forms.Field:
    """A field that asks for it."""
    told = {"label": gettext_lazy(term.label), "required": term.is_required}
    if term.help:
        told["help_text"] = gettext_lazy(term.help)
    return _FIELDS[term.kind](term, told)


def _words(term: Term, told: dict[str, Any]) -> forms.Field:
    return forms.CharField(max_length=term.most, **told)


def _levels(_: Term, told: dict[str, Any]) -> forms.Field:
    return _ticked(Level.objects.titled(), told)


def _writeups(_: Term, told: dict[str, Any]) -> forms.Field:
    return _ticked(WriteUp.objects.all(), told)


def _ticked(rows: Any, told: dict[str, Any]) -> forms.Field:
    boxes = forms.CheckboxSelectMultiple()
    return forms.ModelMultipleChoiceField(rows, to_field_name="name", widget=boxes, **told)


def _number(term: Term, told: dict[str, Any]) -> forms.Field:
    # A number is always there: 0 says that it is not asked.
    told |= {"required": True, "initial": term.least if term.start is None else term.start}
    return forms.IntegerField(min_value=term.least, max_value=term.most, **told)


def _yes_or_no(_: Term, told: dict[str, Any]) -> forms.Field:
    return forms.BooleanField(**told)


def _day(_: Term, told: dict[str, Any]) -> forms.Field:
    return day_field(**told)


_FIELDS: dict[TermKind, Callable[[Term, dict[str, Any]], forms.Field]] = {
    "words": _words,
    "levels": _levels,
    "write-ups": _writeups,
    "number": _number,
    "yes or no": _yes_or_no,
    "day": _day,
}
