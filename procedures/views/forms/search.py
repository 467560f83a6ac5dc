"""How is something looked for in a list?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django import forms
from django.core.paginator import Page, Paginator
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from procedures.views.forms.plain import PlainForm


class SearchForm(PlainForm):
    """Words to look for, and what else narrows a list. What cannot be read narrows nothing."""

    words = forms.CharField(
        label=_("Words"),
        required=False,
        max_length=100,
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
    )

    def said(self) -> dict[str, Any]:
        """What was asked and can be read, by field."""
        self.full_clean()
        return dict(self.cleaned_data) if self.is_bound else {}

    def is_asked(self) -> bool:
        """Whether anything narrows the list, or was meant to and cannot be read."""
        return any(self.said().values()) or bool(self.is_bound and self.errors)

    def has_words(self, *texts: str) -> bool:
        """Whether every word stands in one of these texts, in small or capital letters."""
        words = self.said().get("words", "").casefold().split()
        text = " ".join(texts).casefold()
        return all(word in text for word in words)


def page_of(request: HttpRequest, rows: Sequence[Any], many: int) -> Page[Any]:
    """The page of a list that a request asks for."""
    return Paginator(rows, many).get_page(request.GET.get("page", "1"))


def choices_of(first: Any, rows: Iterable[tuple[str, Any]]) -> list[tuple[str, Any]]:
    """The choices of a list: everything first."""
    return [("", first), *rows]
