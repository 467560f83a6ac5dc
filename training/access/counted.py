"""How often may one asker ask in a minute?"""

from __future__ import annotations

from datetime import datetime, timedelta

MINUTE = timedelta(minutes=1)


class TooMany(Exception):
    """More questions in a minute than one may ask; `seconds` until the next."""

    def __init__(self, seconds: int) -> None:
        super().__init__(seconds)
        self.seconds = seconds


def find_minute(now: datetime) -> datetime:
    """The beginning of the minute in which an instant lies."""
    return now.replace(second=0, microsecond=0)
