"""How are days and moments written for whoever reads the page that is being made?

A request sets the reader's region (`training/site/reader.py`); outside of one, days are plain. What
comes back is for this page only: never keep it for the next reader.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date, datetime

from django.utils import timezone

from procedures.records.days import writing
from procedures.records.days.writing import PLAIN

_region: ContextVar[str] = ContextVar("region", default=PLAIN)


@contextmanager
def write_days_for(region: str) -> Iterator[None]:
    """Within this, days are written for a reader of this region, or as PLAIN or ISO."""
    before = _region.set(region)
    try:
        yield
    finally:
        _region.reset(before)


def say_day(day: date) -> str:
    """Return a day: 30 Nov 2026. A moment is on its day in the workshop's zone."""
    return writing.write_day(_on_the_wall(day), _region.get())


def say_full_day(day: date) -> str:
    """Return a day with its weekday: Monday, 30 Nov 2026."""
    return writing.write_full_day(_on_the_wall(day), _region.get())


def say_short_day(day: date) -> str:
    """Return a day without its year, where the year is plain: 30 Nov."""
    return writing.write_short_day(_on_the_wall(day), _region.get())


def say_near_day(day: date, *, in_full: bool = False) -> str:
    """Return a day without its year, with its weekday: Mon 30 Nov."""
    return writing.write_near_day(_on_the_wall(day), _region.get(), in_full=in_full)


def say_month(day: date) -> str:
    """Return the month of a day: November 2026."""
    return writing.write_month(_on_the_wall(day), _region.get())


def say_weekday(day: date) -> str:
    """Return the weekday of a day: Monday."""
    return writing.write_weekday(_on_the_wall(day))


def say_clock(moment: datetime, *, seconds: bool = False) -> str:
    """Return the time on the workshop's wall, by 24 hours, as the rota is written: 14:05."""
    return f"{_on_the_wall(moment):{'%H:%M:%S' if seconds else '%H:%M'}}"


def say_moment(moment: datetime, *, seconds: bool = False) -> str:
    """Return a day and the time on the workshop's wall: 30 Nov 2026, 14:05."""
    return f"{say_day(moment)}, {say_clock(moment, seconds=seconds)}"


def tag_for_scripts() -> str:
    """Return the language tag by which a script on the page writes its days: en-GB."""
    return writing.tag_of_english(_region.get())


def region_of_reader() -> str:
    """Return the region for whose readers days are written now, for what is kept by it."""
    return _region.get()


def _on_the_wall(day: date) -> date:
    if isinstance(day, datetime) and timezone.is_aware(day):
        return timezone.localtime(day)
    return day
