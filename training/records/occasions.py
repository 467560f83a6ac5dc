"""What is one thing that stands in a calendar?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Occasion:
    """A day or a span of days, both included, with its words; `key` says what it is about and stays
    the same when its days change.
    """

    key: str
    first: date
    until: date
    summary: str
    details: str = ""

    def as_columns(self) -> dict[str, object]:
        """The same by the names of the columns that keep it."""
        return {
            "key": self.key,
            "first": self.first,
            "until": self.until,
            "summary": self.summary,
            "details": self.details,
        }
