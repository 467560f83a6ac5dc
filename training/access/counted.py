"""How often may one asker ask in a minute?"""

from __future__ import annotations

from datetime import datetime

from django.core.cache import cache


class TooMany(Exception):
    """More questions in a minute than one may ask; `seconds` until the next."""

    def __init__(self, seconds: int) -> None:
        super().__init__(seconds)
        self.seconds = seconds


def count_question(key: str, most: int, now: datetime) -> None:
    """One more question under this key. Raises TooMany."""
    minute = int(now.timestamp() // 60)
    kept = f"{key}-{minute}"
    cache.add(kept, 0, 120)
    # `incr` after `add`: two requests at once must not both begin at 0.
    if cache.incr(kept) > most:
        raise TooMany(60 - int(now.timestamp() % 60))
