"""How are spans of days drawn: one row a line, solid, hatched or open, over an axis of months?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from html import escape

from django.utils.safestring import SafeString
from django.utils.translation import gettext

from procedures.records.days.reader import say_day, say_short_day
from quizzes.psychometrics.charts.grammar import (
    WIDTH,
    Plot,
    Scale,
    chart,
    draw_axis_across,
    draw_bar,
    draw_hatching,
    line,
    text,
    write_row_name,
)
from training.standing.calendar import months

LEFT, RIGHT, TOP, ROW, BOTTOM = 190, 40, 40, 40, 36
BAR = 14
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
# A signature stands on the line, a stand-down crosses it, a lapse hangs below it.
_MARKS = {
    "signature": "M{x} {t}l-5 -8h10z",
    "down": "M{l} {t}L{r} {b}M{l} {b}L{r} {t}",
    "lapse": "M{x} {b}l-5 8h10z",
}


def drawing(
    rows: Sequence[DrawnRow], first: date, until: date, *, title: str, today: date | None = None
) -> SafeString:
    """The rows as an SVG drawing with its title and a description in words; nothing in it but
    ink.
    """
    plot = Plot(LEFT, WIDTH - RIGHT, TOP, TOP + ROW * len(rows))
    # The end of the last day is the right edge.
    scale = plot.across(first.toordinal(), until.toordinal() + 1)
    ticks = [(scale.at(day.toordinal()), said) for day, said in _ticks(first, until)]
    parts = [draw_hatching(UID), *draw_axis_across(plot, ticks)]
    for place, row in enumerate(rows):
        y = plot.top + ROW * (place + 0.5)
        parts += [
            *write_row_name(plot, y, row.name, ROW),
            *_bars(row, y, scale),
            *_marks(row, y, scale, first, until),
        ]
    if today is not None and first <= today <= until:
        parts += _today(today, plot, scale)
    described = _described(rows, first, until)
    return SafeString(chart(UID, plot.floor + BOTTOM, title, described, parts))


def _described(rows: Sequence[DrawnRow], first: date, until: date) -> str:
    return gettext(
        "From {first} to {until}, one line each: {names}. The table shows the same in words."
    ).format(first=say_day(first), until=say_day(until), names=", ".join(row.name for row in rows))


def _ticks(first: date, until: date) -> Iterator[tuple[date, str]]:
    """Mondays of a short span, else first days of months; at most eight of them, in even steps."""
    weeks = ((until - first).days + 1) / 7
    if weeks > SHORT:
        yield from ((day, f"{day:%b %Y}") for day in _months(first, until))
        return
    day = first + timedelta(days=-first.weekday() % 7)
    while day <= until:
        yield day, say_short_day(day)
        day += timedelta(weeks=1 if weeks <= 8 else 2)


def _months(first: date, until: date) -> Iterator[date]:
    span = (until.year - first.year) * 12 + until.month - first.month + 1
    step = next((step for step in (1, 2, 3, 6, 12, 24, 60) if span / step <= 8), 120)
    day = (
        first.replace(day=1, month=1)
        if step >= 12
        else first.replace(day=1, month=(first.month - 1) // step * step + 1)
    )
    while day <= until:
        if day >= first:
            yield day
        day = months(day, step)


def _bars(row: DrawnRow, y: float, scale: Scale) -> Iterator[str]:
    for span in row.spans:
        begins, ends = scale.at(span.first.toordinal()), scale.at(span.until.toordinal() + 1)
        yield draw_bar(begins, ends, y - BAR / 2, BAR, span.fill, UID)


def _marks(row: DrawnRow, y: float, scale: Scale, first: date, until: date) -> Iterator[str]:
    for mark in row.marks:
        if first <= mark.on <= until:
            x, above, below = scale.at(mark.on.toordinal()), y - BAR / 2 - 1, y + BAR / 2 + 1
            way = _MARKS[mark.kind].format(
                x=f"{x:.1f}", l=f"{x - 5:.1f}", r=f"{x + 5:.1f}", t=above, b=below
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
