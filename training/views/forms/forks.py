"""Which forks are meant: the options of the variants of the shop?"""

from __future__ import annotations

from typing import Any

from django import forms

from training.records.gathering import rules_of_levels
from training.records.released import options_of
from training.views.forms.fields import Bare

Variants = tuple[tuple[str, tuple[str, ...]], ...]


def options_of_shop(level: str = "") -> Variants:
    """Every variant with its options, of one level's write-ups or of all."""
    rules = rules_of_levels()
    found: dict[str, dict[str, None]] = {}
    for name, variants in options_of(rules).items():
        if not level or name == level:
            for variant, options in variants:
                found.setdefault(variant, {}).update(dict.fromkeys(options))
    return tuple((variant, tuple(options)) for variant, options in found.items())


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
