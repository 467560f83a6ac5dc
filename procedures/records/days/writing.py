"""How is a day written for somebody of a region, within an English sentence?

The sentences are English, so the names of months are too: a screen reader would read another
language's "30. Nov." as English (WCAG 2.2, 3.1.2), and a month in figures is read wrongly by half
of the world. The order and the commas are those that CLDR gives for the English of the reader's
region: en-US "Nov 30, 2026", en-DE "30 Nov 2026". Where CLDR has no English of a region, it is
the world's (en-001).
"""

from datetime import date
from functools import lru_cache

from babel import Locale, UnknownLocaleError
from babel.dates import format_date

PLAIN = ""
"""Not for a reader, but for what is signed, or printed by a command: one form for ever."""

ISO = "ISO"
"""Not for a reader, but for a program."""

# Not CLDR's: what is signed must not change with the version of a library; nor `strftime("%b")`,
# which follows the machine.
_NAMES = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def write_plain(day: date) -> str:
    """Return a day in the one form that no reader and no library changes: 25 Nov 2026."""
    return f"{day.day} {_NAMES[day.month - 1]} {day.year}"


def write_day(day: date, region: str) -> str:
    """Return a day: 30 Nov 2026."""
    if region == PLAIN:
        return write_plain(day)
    return day.isoformat() if region == ISO else _write(day, region, "yMMMd")


def write_full_day(day: date, region: str) -> str:
    """Return a day with its weekday: Monday, 30 Nov 2026."""
    return day.isoformat() if region == ISO else _write(day, region, "yMMMEd", in_full=True)


def write_short_day(day: date, region: str) -> str:
    """Return a day without its year: 30 Nov."""
    return day.isoformat() if region == ISO else _write(day, region, "MMMd")


def write_near_day(day: date, region: str, *, in_full: bool = False) -> str:
    """Return a day without its year, with its weekday: Mon 30 Nov, or Monday 30 Nov."""
    return day.isoformat() if region == ISO else _write(day, region, "MMMEd", in_full=in_full)


def write_month(day: date, region: str) -> str:
    """Return the month of a day: November 2026."""
    return f"{day:%Y-%m}" if region == ISO else _write(day, region, "yMMMM")


def write_weekday(day: date) -> str:
    """Return the weekday of a day: Monday. It is the same word in each English."""
    return str(format_date(day, "EEEE", _english(PLAIN)))


def tag_of_english(region: str) -> str:
    """Return the language tag by which a script in the browser writes days alike: en-US."""
    return str(_english(region)).replace("_", "-")


@lru_cache(maxsize=512)
def _english(region: str) -> Locale:
    if region == PLAIN:
        return Locale("en", territory="GB")
    try:
        return Locale("en", territory=region)
    except UnknownLocaleError:
        return Locale("en", territory="001")


def _write(day: date, region: str, skeleton: str, *, in_full: bool = False) -> str:
    english = _english(region)
    named = english.datetime_skeletons
    pattern = named[skeleton].pattern
    if in_full and (full := named.get(skeleton.replace("E", "EEEE"))):
        pattern = full.pattern
    elif in_full:
        # UTS 35, "Matching Skeletons": a field is widened to the length that was asked for.
        pattern = pattern.replace("EEE", "E").replace("E", "EEEE")
    return str(format_date(day, pattern, english))
