"""Which steps of a write-up does one revision say otherwise than another?"""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import Any

from procedures.writeup.model import WriteUp

# Where a step stands says nothing of what is done in it.
PLACE = {"line", "lines", "number", "phase"}


def steps_changed(old: WriteUp, new: WriteUp) -> frozenset[str]:
    """Ids of the steps that only one of the two has, or that differ in more than line breaks and place."""
    before = {step.id: _said(step) for step in old.steps}
    after = {step.id: _said(step) for step in new.steps}
    return frozenset(step for step in before.keys() | after.keys() if before.get(step) != after.get(step))


def _said(value: Any) -> Any:
    if isinstance(value, str):
        return " ".join(value.split())
    if isinstance(value, tuple):
        return [_said(one) for one in value]
    if is_dataclass(value):
        return {field.name: _said(getattr(value, field.name)) for field in fields(value) if field.name not in PLACE}
    return value
