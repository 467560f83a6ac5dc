"""One full and one bare row of any model, the same on every day, without a database: what golden
entries are made of.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from typing import Any

from django.db import models

WORDS = "é “ß” 𝄞\n"  # two bytes, three, four, and a character that JSON escapes
JSONS: dict[Any, Any] = {
    list: ["b", {"ä": None, "a": [1, True]}],
    dict: {"b": "2", "ä": ["1"], "a": ""},
}


def fixed(model: type[models.Model], *, bare: bool) -> Any:
    """A row of the model that was never saved. Bare: whatever may be empty is."""
    row = model()
    for field in model._meta.concrete_fields:
        setattr(row, field.name, _value(field, bare=bare))
    row._prefetched_objects_cache = {}  # what belongs to the row, so that nobody asks the database
    for part in model._meta.related_objects:
        if part.one_to_many and part.name and not part.hidden:
            row._prefetched_objects_cache[part.get_accessor_name()] = []
    return row


def with_parts(row: Any, **parts: list[Any]) -> Any:
    """The row, with these rows as the ones that belong to it."""
    row._prefetched_objects_cache |= parts
    return row


def _value(field: Any, *, bare: bool) -> Any:
    if bare and field.null:
        return None
    match field:
        # a row that names one of its own kind names a bare one, which names none
        case models.ForeignKey():
            return fixed(field.related_model, bare=bare or field.related_model is field.model)
        case models.AutoField():
            return 8 if bare else 7
        case models.BooleanField():
            return not bare
        case models.JSONField():
            return field.get_default() if bare else JSONS.get(field.default, JSONS[dict])
        case models.DateTimeField():  # an hour east of UTC: a body tells instants in UTC
            return (
                datetime(2024, 2, 29, 0, 30, tzinfo=timezone(timedelta(hours=1)))
                if bare
                else datetime(2026, 11, 25, 9, 30, 0, 123456, UTC)
            )
        case models.DateField():
            return date(2024, 2, 29) if bare else date(2026, 11, 25)
        case models.DecimalField():
            return Decimal(0) if bare else Decimal("87.50")
        case models.IntegerField():
            return 0 if bare else 12
        case _ if field.choices:
            return field.choices[0][0]  # the first: a further choice changes no golden entry
        case _:
            return "" if bare else f"{field.name} {WORDS}"
