"""What does one cell of a shop's matrix say: a day, a mark without a day, nothing, or something
that only its owner can tell?
"""

from __future__ import annotations

import calendar
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class DayOrder(StrEnum):
    """Which number comes first in 5/12/25."""

    DAY_FIRST = "day first"
    MONTH_FIRST = "month first"


class MarkKind(StrEnum):
    """What a cell is."""

    EMPTY = "empty"
    DAY = "day"  # signed off on this day
    UNDATED = "undated"  # signed off, and no day is told
    NOTHING = "nothing"  # says that it is not signed off
    WORD = "word"  # only the owner knows what it means
    BAD = "bad"  # cannot be read as one day


SIGNED = re.compile(
    r"x|y|yes|ja|oui|ok|okay|true|done|signed|signed[ -]off|pass|passed|alone|[✓✔☑✅√●•]"
)
NOT_SIGNED = re.compile(
    r"no|n|nein|non|none|false|not[ -]yet|not done|open|n/?a|0|[-–—/✗✘☐○]"
    r"|in training|learning|trainee|watched|supervised"
)
SHORT_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
MONTHS = {
    name.casefold(): number
    for number, short in enumerate(SHORT_MONTHS, 1)
    for name in (short, calendar.month_name[number])
} | {"sept": 9}
MONTH = "(?P<name>" + "|".join(sorted(MONTHS, key=len, reverse=True)) + r")\b\.?"
YEAR = r"(?P<year>\d{4}|\d{2})"
# A time of day behind a day, as forms and spreadsheets write it: the day is what counts.
TIME = (
    r"(?:(?:T|,? )\d{1,2}:\d{2}(?::\d{2}(?:\.\d{1,6})?)?"
    r"(?: ?[ap]\.?m\.?|Z|[+-]\d{2}:?\d{2})?)?"
)
FORMS = tuple(
    # Alone: within a longer number it is a part of that, such as a version, and no day.
    re.compile(rf"(?<![\w.,/-]){form}{TIME}(?![\w/-]|[.,]\d)", re.IGNORECASE)
    for form in (
        r"(?P<year>\d{4})[-/.](?P<month>\d{1,2})[-/.](?P<day>\d{1,2})",
        rf"(?P<day>\d{{1,2}})\. ?(?P<month>\d{{1,2}})\. ?{YEAR}",
        rf"(?P<one>\d{{1,2}})(?P<sign>[/-])(?P<two>\d{{1,2}})(?P=sign){YEAR}",
        rf"(?P<day>\d{{1,2}})(?:st|nd|rd|th|\.)?[ -]?{MONTH}[ -]?,?[ -]?{YEAR}",
        rf"{MONTH} ?(?P<day>\d{{1,2}})(?:st|nd|rd|th)?,? (?P<year>\d{{4}})",
    )
)
YEAR_FIRST = re.compile(r"(?<![\w.,/-])(\d{2})-(\d{1,2})-(\d{1,2})(?![\w.,/-])")
AN_END = re.compile(
    r"\b(until|till|to|exp|expires?|expired|expiry|ends?|due|valid|bis|gültig|jusqu|fino|hasta|tot)\b",
    re.IGNORECASE,
)
INITIALS = re.compile(r"[^\W\d_]{2,3}\.?")
# Short words in capitals that take a day back.
DENIALS = re.compile(r"nok|nio|neg|ex|tb[acd]|na|bad|off|out|end|rev|old|dnf")


@dataclass(frozen=True, slots=True)
class Mark:
    """What one cell says. `days`: one, or two where it can be read both ways; the first of two is
    day first. `order`: the one that the numbers show, as 25/12/25 does. `word`: what only the
    owner can tell. `note`: what stands beside a day.
    """

    kind: MarkKind
    days: tuple[date, ...] = ()
    word: str = ""
    note: str = ""
    problem: str = ""
    order: DayOrder | None = None

    @property
    def is_mark(self) -> bool:
        """Whether a cell like this belongs into the body of a matrix, not among its heads."""
        return self.kind in {MarkKind.DAY, MarkKind.UNDATED, MarkKind.NOTHING, MarkKind.BAD}

    def in_order(self, order: DayOrder | None) -> date | None:
        """The day, where it is certain or the order is known."""
        if len(self.days) == 1:
            return self.days[0]
        if order is None or not self.days:
            return None
        return self.days[order is DayOrder.MONTH_FIRST]


def read_mark(cell: str) -> Mark:
    """What a cell says; a year of two digits lies in this century."""
    text = " ".join(cell.split())
    if not text:
        return Mark(MarkKind.EMPTY)
    found = list(_days_in(text))
    if len(found) > 1:
        return Mark(MarkKind.BAD, word=text, problem="two-days")
    if not found:
        return _without_a_day(text)
    days, order, start, end = found[0]
    rest = " ".join(f"{text[:start]} {text[end:]}".split()).strip(" ,;:()[]")
    if not days:
        return Mark(MarkKind.BAD, word=text, problem="no-such-day")
    # “Until” a day is no day of signing, and how long it was good for cannot be known.
    if AN_END.search(rest):
        return Mark(MarkKind.BAD, word=text, problem="an-end")
    said = _plain(rest)
    if not said or SIGNED.fullmatch(said):
        return Mark(MarkKind.DAY, days, order=order)
    if _are_initials(rest) and not NOT_SIGNED.fullmatch(said):
        return Mark(MarkKind.DAY, days, note=rest, order=order)
    return Mark(MarkKind.WORD, days, word=rest, order=order)


def _are_initials(rest: str) -> bool:
    """Whether what stands beside a day names who signed: two or three capitals. A short word in
    small letters, such as “ex”, can be one that takes the day back, and one letter a grade: asked.
    """
    parts = rest.replace("/", " ").split()
    return rest == rest.upper() and all(
        INITIALS.fullmatch(part) and not DENIALS.fullmatch(part.casefold().strip("."))
        for part in parts
    )


def _without_a_day(text: str) -> Mark:
    said = _plain(text)
    # A mark in brackets is often one that is not quite one.
    if text.startswith("(") and text.endswith(")"):
        return Mark(MarkKind.WORD, word=text)
    if SIGNED.fullmatch(said):
        return Mark(MarkKind.UNDATED)
    if NOT_SIGNED.fullmatch(said):
        return Mark(MarkKind.NOTHING)
    return Mark(MarkKind.WORD, word=text)


def _plain(text: str) -> str:
    return text.casefold().strip(" .!()[]") or text.casefold().strip()


def read_year_first(text: str) -> date | None:
    """The day that a text can mean as well, where 25-12-05 is written with its year in front."""
    found = YEAR_FIRST.search(text)
    return next(_day(2000 + int(found[1]), int(found[2]), int(found[3])), None) if found else None


def _days_in(text: str) -> Iterator[tuple[tuple[date, ...], DayOrder | None, int, int]]:
    """Each day in a text with its place; no day where the numbers are none."""
    taken = 0
    matches = sorted(
        (match for form in FORMS for match in form.finditer(text)),
        key=lambda match: (match.start(), -match.end()),
    )
    for match in matches:
        if match.start() >= taken:
            taken = match.end()
            yield *_readings(match), match.start(), match.end()


def _readings(match: re.Match[str]) -> tuple[tuple[date, ...], DayOrder | None]:
    """The days that a match can mean, and the order of its numbers where only one is possible."""
    parts = match.groupdict()
    year = int(parts["year"]) + (2000 if len(parts["year"]) == 2 else 0)
    if not parts.get("one"):
        month = MONTHS[parts["name"].casefold()] if parts.get("name") else int(parts["month"])
        return tuple(_day(year, month, int(parts["day"]))), None
    one, two = int(parts["one"]), int(parts["two"])
    day_first, month_first = tuple(_day(year, two, one)), tuple(_day(year, one, two))
    if one == two or not (day_first and month_first):
        days = day_first or month_first
        certain = DayOrder.DAY_FIRST if day_first else DayOrder.MONTH_FIRST
        # 5/5/25 is certain as a day, but shows nothing of the order.
        return days, certain if days and one != two else None
    return day_first + month_first, None


def _day(year: int, month: int, day: int) -> Iterator[date]:
    try:
        yield date(year, month, day)
    except ValueError:
        return
