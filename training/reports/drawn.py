"""How are spans of days drawn: one row a line, solid, hatched or open, over an axis of months?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext

from procedures.records.days.reader import say_day, say_short_day
from training.standing.calendar import months

LEFT, WIDTH, ROW, TOP = 190, 560, 38, 30
BAR = 13
SHORT = 16  # weeks


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
    """One line with its name, and a second name under it where the first is not enough."""

    name: str
    spans: tuple[DrawnSpan, ...]
    marks: tuple[DrawnMark, ...] = ()
    under: str = ""


FILL = {"alone": "solid", "watched": "hatched", "no": "open"}
# Solid, hatched, open: told apart in print and without colours (WCAG 2.2, 1.4.1).
_PAINT = {"solid": "currentColor", "hatched": "url(#spans-hatch)", "open": "none"}
_DEFS = mark_safe(
    '<defs><pattern id="spans-hatch" width="6" height="6" patternUnits="userSpaceOnUse" '
    'patternTransform="rotate(45)">'
    '<path d="M0 0V6" stroke="currentColor" stroke-width="2.4"/></pattern></defs>'
)
# A signature stands on the line, a stand-down crosses it, a lapse hangs below it.
_MARKS = {
    "signature": "M{x} {t}l-4 -7h8z",
    "down": "M{l} {t}L{r} {b}M{l} {b}L{r} {t}",
    "lapse": "M{x} {b}l-4 7h8z",
}


def drawing(
    rows: Sequence[DrawnRow], first: date, until: date, *, title: str, today: date | None = None
) -> SafeString:
    """The rows as an SVG drawing with its title and a description in words; nothing in it but
    ink.
    """
    scale = _Scale(first, until)
    height = TOP + ROW * len(rows) + 6
    return format_html(
        '<svg class="time-line" viewBox="0 0 {} {}" role="img" aria-labelledby="spans-title '
        'spans-desc">'
        '<title id="spans-title">{}</title><desc id="spans-desc">{}</desc>{}{}{}{}</svg>',
        LEFT + WIDTH + 10,
        height,
        title,
        _described(rows, first, until),
        _DEFS,
        _axis(scale, height),
        format_html_join("", "{}", ((_row(row, place, scale),) for place, row in enumerate(rows))),
        _today(scale, today, height),
    )


class _Scale:
    """Where a day lies across the drawing."""

    def __init__(self, first: date, until: date) -> None:
        self.first, self.until = first, until
        self._step = WIDTH / ((until - first).days + 1)

    def at(self, day: date, after: int = 0) -> float:
        """The left edge of a day, `after` days on, within the drawing."""
        return LEFT + min(max((day - self.first).days + after, 0) * self._step, WIDTH)


def _x(number: float) -> str:
    return f"{number:.1f}"


def _described(rows: Sequence[DrawnRow], first: date, until: date) -> str:
    return gettext(
        "From {first} to {until}, one line each: {names}. The table shows the same in words."
    ).format(first=say_day(first), until=say_day(until), names=", ".join(row.name for row in rows))


def _axis(scale: _Scale, height: int) -> SafeString:
    ticks = list(_ticks(scale.first, scale.until))
    lines = format_html_join(
        "",
        '<path d="M{} {}V{}" stroke="currentColor" stroke-width=".5" opacity=".45"/><text '
        'x="{}" y="14" font-size="12">{}</text>',
        ((_x(scale.at(day)), TOP - 10, height, _x(scale.at(day) + 2), said) for day, said in ticks),
    )
    return format_html('<g fill="currentColor">{}</g>', lines)


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


def _row(row: DrawnRow, place: int, scale: _Scale) -> SafeString:
    top = TOP + ROW * place + 10
    under = (
        format_html(
            '<text x="0" y="{}" font-size="11" fill="currentColor" opacity=".8">{}</text>',
            top + 25,
            _short(row.under),
        )
        if row.under
        else ""
    )
    return format_html(
        '<text x="0" y="{}" font-size="13" fill="currentColor">{}</text>{}{}{}',
        top + 11,
        _short(row.name),
        under,
        _bars(row, top, scale),
        _marks(row, top, scale),
    )


def _bars(row: DrawnRow, top: int, scale: _Scale) -> SafeString:
    return format_html_join(
        "",
        '<path d="M{} {}H{}v{}H{}z" fill="{}" stroke="currentColor" stroke-width="1.2"/>',
        (
            (
                _x(scale.at(span.first)),
                top,
                _x(scale.at(span.until, 1)),
                BAR,
                _x(scale.at(span.first)),
                _PAINT[span.fill],
            )
            for span in row.spans
        ),
    )


def _marks(row: DrawnRow, top: int, scale: _Scale) -> SafeString:
    return format_html_join(
        "",
        '<path d="{}" fill="{}" stroke="currentColor" stroke-width="1.4"><title>{}</title></path>',
        (
            (
                _mark(mark, scale, top),
                "currentColor" if mark.kind == "signature" else "none",
                mark.text,
            )
            for mark in row.marks
            if scale.first <= mark.on <= scale.until
        ),
    )


def _short(name: str) -> str:
    """A name as it has room beside the line; the table says it whole."""
    return name if len(name) <= 27 else f"{name[:26]}…"


def _mark(mark: DrawnMark, scale: _Scale, top: int) -> str:
    x = scale.at(mark.on)
    return _MARKS[mark.kind].format(x=_x(x), l=_x(x - 5), r=_x(x + 5), t=top - 1, b=top + BAR + 1)


def _today(scale: _Scale, today: date | None, height: int) -> SafeString:
    if today is None or not scale.first <= today <= scale.until:
        return mark_safe("")
    x = _x(scale.at(today))
    return format_html(
        '<path d="M{} {}V{}" stroke="currentColor" stroke-width="1.5" stroke-dasharray="5 '
        '3"><title>{}</title></path>',
        x,
        TOP - 10,
        height,
        gettext("Today, {day}").format(day=say_day(today)),
    )
