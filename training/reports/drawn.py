"""How are spans of days drawn: one row a line, solid, hatched or open, over an axis of months?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from html import escape
from math import ceil

from django.utils.safestring import SafeString
from django.utils.translation import gettext

from procedures.records.days.reader import say_day, say_short_day
from quizzes.psychometrics.charts.grammar import (
    Plot,
    Room,
    Scale,
    chart,
    draw_axis_across,
    draw_bar,
    draw_both,
    draw_hatching,
    line,
    make_rows,
    make_uid,
    text,
)
from training.standing.calendar import add_months

LEFT, TOP, BOTTOM = 190, 40, 36
BAR = 14
TICKS, PHONE_TICKS = 8, 4
SHORT = 16  # weeks
UID = "spans"


@dataclass(frozen=True, slots=True)
class DrawnSpan:
    """One span, both days included: solid, hatched or open."""

    first: date
    until: date
    fill: str


@dataclass(frozen=True, slots=True)
class DrawnMark:
    """Something of one day: a signature, a stand-down (down) or a lapse."""

    on: date
    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class DrawnRow:
    """One line with its name."""

    name: str
    spans: tuple[DrawnSpan, ...]
    marks: tuple[DrawnMark, ...] = ()


FILL = {"alone": "solid", "watched": "hatched", "no": "open"}
# A signature stands on the line, a stand-down crosses above it, a lapse hangs below it.
_MARKS = {
    "signature": "M{x} {t}l-5 -8h10z",
    "down": "M{l} {t}L{r} {u}M{l} {u}L{r} {t}",
    "lapse": "M{x} {b}l-5 8h10z",
}


def drawing(
    rows: Sequence[DrawnRow], first: date, until: date, *, title: str, today: date | None = None
) -> SafeString:
    """The rows as SVG drawings, for a desk and for a phone, with title and description in words;
    nothing in them but ink.
    """
    days = _Days(first, until, today)
    return SafeString(draw_both(lambda room: _drawn(rows, days, title, room)))


@dataclass(frozen=True, slots=True)
class _Days:
    """Which days are shown, and which of them is today."""

    first: date
    until: date
    today: date | None


def _drawn(rows: Sequence[DrawnRow], days: _Days, title: str, room: Room) -> str:
    uid = make_uid(UID, room)
    drawn = make_rows(room, len(rows), left=LEFT, top=TOP, band=40)
    # The end of the last day is the right edge.
    scale = drawn.plot.across(days.first.toordinal(), days.until.toordinal() + 1)
    ticks = [
        (scale.at(day.toordinal()), said)
        for day, said in _ticks(days.first, days.until, PHONE_TICKS if room.is_narrow else TICKS)
    ]
    parts = [draw_hatching(uid), *draw_axis_across(drawn.plot, ticks)]
    for place, row in enumerate(rows):
        y = drawn.y(place)
        parts += [*_bars(row, y, scale, uid), *_marks(row, y, scale, days)]
    if days.today is not None and days.first <= days.today <= days.until:
        parts += _today(days.today, drawn.plot, scale)
    # Last, so that no line runs through a name.
    parts += [piece for place, row in enumerate(rows) for piece in drawn.name(place, row.name)]
    described = _described(rows, days.first, days.until)
    return chart(uid, room, drawn.plot.floor + BOTTOM, title, described, parts)


def _described(rows: Sequence[DrawnRow], first: date, until: date) -> str:
    return gettext(
        "From {first} to {until}, one line each: {names}. The table shows the same in words."
    ).format(first=say_day(first), until=say_day(until), names=", ".join(row.name for row in rows))


def _ticks(first: date, until: date, most: int) -> Iterator[tuple[date, str]]:
    """Mondays of a short span, else first days of months; at most so many, in even steps."""
    weeks = ((until - first).days + 1) / 7
    if weeks > SHORT:
        yield from ((day, f"{day:%b %Y}") for day in _months(first, until, most))
        return
    day = first + timedelta(days=-first.weekday() % 7)
    while day <= until:
        yield day, say_short_day(day)
        day += timedelta(weeks=ceil(weeks / most))


def _months(first: date, until: date, most: int) -> Iterator[date]:
    span = (until.year - first.year) * 12 + until.month - first.month + 1
    step = next((step for step in (1, 2, 3, 6, 12, 24, 60) if span / step <= most), 120)
    day = (
        first.replace(day=1, month=1)
        if step >= 12
        else first.replace(day=1, month=(first.month - 1) // step * step + 1)
    )
    while day <= until:
        if day >= first:
            yield day
        day = add_months(day, step)


def _bars(row: DrawnRow, y: float, scale: Scale, uid: str) -> Iterator[str]:
    for span in row.spans:
        begins, ends = scale.at(span.first.toordinal()), scale.at(span.until.toordinal() + 1)
        yield draw_bar(begins, ends, y - BAR / 2, BAR, span.fill, uid)


def _marks(row: DrawnRow, y: float, scale: Scale, days: _Days) -> Iterator[str]:
    for mark in row.marks:
        if days.first <= mark.on <= days.until:
            x, above, below = scale.at(mark.on.toordinal()), y - BAR / 2 - 1, y + BAR / 2 + 1
            way = _MARKS[mark.kind].format(
                x=f"{x:.1f}", l=f"{x - 5:.1f}", r=f"{x + 5:.1f}", t=above, u=above - 10, b=below
            )
            fill = "currentColor" if mark.kind == "signature" else "none"
            yield (
                f'<path d="{way}" fill="{fill}" stroke-width="1.4">'
                f"<title>{escape(mark.text)}</title></path>"
            )


def _today(today: date, plot: Plot, scale: Scale) -> tuple[str, str]:
    x = scale.at(today.toordinal())
    return (
        line(x, plot.top - 14, x, plot.floor, dash="5 3", width=1.5),
        text(x, plot.top - 20, gettext("today"), "middle"),
    )
