"""How does any chart of the site become an SVG: one frame, one axis, one grid, one set of marks?

Everything is drawn in the ink of the page; a series or a state differs by its shape, its pattern
or its dashes, never by colour. The stylesheet gives two more tones of the look by class: `rule` for
the grid, `soft` for words that only name. A chart is drawn twice, for a desk and for a phone, and
shown at least as wide as its units, so that LETTER is about the least height of a letter in pixels;
a frame that is narrower yet scrolls by itself. Each chart has a title and a description, and its
page holds the same numbers as a table.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from html import escape

from procedures.writeup.remarks import Remark

Say = Callable[[Remark], str]
"""How the words of a chart are said."""

LETTER = 13
LINE = 16  # from one line of letters to the next
MEAN_LETTER = 0.56  # of LETTER: wider than the mean letter of the usual sans-serif fonts
MARGIN = 8
BESIDE = 14  # from a name to the field: a mark at its edge stays free of the letters
MANY_ROWS = 20
# one line each; beyond, they come round again
DASHES = ("", "7 4", "2 4", "10 4 2 4", "1 6", "14 4", "6 2 2 2 2 2")


@dataclass(frozen=True, slots=True)
class Room:
    """For which screen a chart is drawn: how many units across, and whether that is a phone's."""

    width: int
    is_narrow: bool = False


DESK, PHONE = Room(760), Room(336, is_narrow=True)


def draw_both(draw: Callable[[Room], str]) -> str:
    """A chart for a desk and one for a phone; the stylesheet shows the one that there is room
    for.
    """
    return draw(DESK) + draw(PHONE)


@dataclass(frozen=True, slots=True)
class Scale:
    """Where a value lies between two ends of a drawing; what is beyond an end lies at it."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """The place of a value, in units of the drawing."""
        held = min(max(value, self.low), self.high)
        return self.start + (held - self.low) / (self.high - self.low) * (self.end - self.start)


@dataclass(frozen=True, slots=True)
class Plot:
    """The field of a chart inside its margins: the names left of it, the axis below."""

    left: float
    right: float
    top: float
    floor: float

    def across(self, low: float, high: float) -> Scale:
        """From the left to the right edge."""
        return Scale(low, high, self.left, self.right)

    def upward(self, low: float, high: float) -> Scale:
        """From the floor to the top."""
        return Scale(low, high, self.floor, self.top)


def chart(
    uid: str, room: Room, height: float, title: str, description: str, parts: Iterable[str]
) -> str:
    """The whole SVG; `uid` is a word that no other picture of the page has (see `make_uid`)."""
    uid = escape(uid)
    return (
        f'<svg viewBox="0 0 {room.width} {height:g}" width="{room.width}" height="{height:g}" '
        f'class="{"for-phone" if room.is_narrow else "for-desk"}" role="img" '
        f'aria-labelledby="{uid}-title {uid}-desc" font-size="{LETTER}" '
        'fill="none" stroke="currentColor">'
        f'<title id="{uid}-title">{escape(title)}</title>'
        f'<desc id="{uid}-desc">{escape(description)}</desc>{"".join(parts)}</svg>'
    )


def make_uid(uid: str, room: Room) -> str:
    """The word of a chart in this room: both stand on the page, so each needs one of its own."""
    return f"{uid}-phone" if room.is_narrow else uid


def text(x: float, y: float, words: str, anchor: str = "start", look: str = "") -> str:
    """Words on their base line; `look` is "soft" for what only names, "bold" for what is
    stressed.
    """
    tone = ' class="soft"' if look == "soft" else ""
    weight = ' font-weight="650"' if look == "bold" else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" fill="currentColor" '
        f'stroke="none"{tone}{weight}>{escape(words)}</text>'
    )


def line(
    x1: float,
    y1: float,
    x2: float,
    y2: float,
    *,
    dash: str = "",
    width: float = 1,
    grid: bool = False,
) -> str:
    """A straight line; one of the grid is in the tone of the rules of a table."""
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    rule = ' class="rule"' if grid else ""
    return (
        f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" '
        f'stroke-width="{width:g}"{dashed}{rule}/>'
    )


def path(points: Sequence[tuple[float, float]], *, dash: str = "", width: float = 2) -> str:
    """A line through points."""
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<polyline points="{" ".join(f"{x:.1f},{y:.1f}" for x, y in points)}" '
        f'stroke-width="{width:g}"{dashed}/>'
    )


def dot(x: float, y: float, radius: float = 4) -> str:
    """What was seen or worked out."""
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:g}" fill="currentColor" stroke="none"/>'


def draw_diamond(x: float, y: float, radius: float = 6) -> str:
    """What blind guessing gets: open, so that a dot on it still shows."""
    return (
        f'<path d="M{x:.1f} {y - radius:.1f}l{radius:g} {radius:g}l{-radius:g} {radius:g}'
        f'l{-radius:g} {-radius:g}z" stroke-width="1.5"/>'
    )


def draw_bar(x1: float, x2: float, y: float, height: float, fill: str, uid: str) -> str:
    """A bar: solid, hatched (the chart must hold `draw_hatching(uid)`) or open."""
    paint = {"solid": "currentColor", "hatched": f"url(#{escape(uid)}-hatch)", "open": "none"}[fill]
    return (
        f'<rect x="{x1:.1f}" y="{y:.1f}" width="{max(x2 - x1, 0):.1f}" height="{height:g}" '
        f'fill="{paint}" stroke-width="1.2"/>'
    )


def draw_hatching(uid: str) -> str:
    """The pattern of hatched bars, to stand once in a chart."""
    return (
        f'<defs><pattern id="{escape(uid)}-hatch" width="6" height="6" '
        'patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
        '<path d="M0 0V6" stroke-width="2.4"/></pattern></defs>'
    )


def draw_axis_across(
    plot: Plot, ticks: Sequence[tuple[float, str]], words: str = ""
) -> Iterator[str]:
    """The floor with a grid line and a word at each place across, and below it what they are."""
    for x, said in ticks:
        yield line(x, plot.top, x, plot.floor, grid=True)
        yield line(x, plot.floor, x, plot.floor + 5)
        yield text(x, plot.floor + 20, said, "middle")
    yield line(plot.left, plot.floor, plot.right, plot.floor)
    if words:
        yield text(
            (plot.left + plot.right) / 2, plot.floor + 20 + LINE + 4, words, "middle", "soft"
        )


def draw_axis_up(plot: Plot, ticks: Sequence[tuple[float, str]]) -> Iterator[str]:
    """A grid line with a word left of it at each height."""
    for y, said in ticks:
        yield line(plot.left, y, plot.right, y, grid=True)
        yield text(plot.left - MARGIN, y + 4, said, "end")


@dataclass(frozen=True, slots=True)
class Rows:
    """A field with a row for each name: left of its marks on a desk, above them on a phone."""

    plot: Plot
    step: float
    lines: int
    room: Room

    def y(self, place: int) -> float:
        """Around which height the marks of a row stand."""
        above = self.lines * LINE if self.room.is_narrow else 0
        return self.plot.top + self.step * place + above + (self.step - above) / 2

    def name(self, place: int, words: str, look: str = "") -> Iterator[str]:
        """The name of a row, in as many lines as there is room for."""
        narrow = self.room.is_narrow
        room = self.room.width - 2 * MARGIN if narrow else self.plot.left - MARGIN - BESIDE
        said = split_words(words, room, self.lines)
        if narrow:
            first = self.plot.top + self.step * place + LINE * (self.lines - len(said) + 1)
        else:
            first = self.y(place) + 4 - LINE * (len(said) - 1) / 2
        for at, one in enumerate(said):
            x, anchor = (0.0, "start") if narrow else (self.plot.left - BESIDE, "end")
            yield text(x, first + LINE * at, one, anchor, look)


def make_rows(room: Room, count: int, *, left: float, top: float, band: float = 26) -> Rows:
    """So many rows, their names left of this place on a desk; `band` is the height of the marks.
    Where there are many rows a name has one line.
    """
    lines = 1 if count > MANY_ROWS else 2
    step = lines * LINE + band if room.is_narrow else max(lines * LINE + 10, band)
    left, right = (16, room.width - 26) if room.is_narrow else (left, room.width - 40)
    return Rows(Plot(left, right, top, top + step * count), step, lines, room)


def find_width(words: str) -> float:
    """About how wide words are, in units; rather too much."""
    return len(words) * MEAN_LETTER * LETTER


def split_words(words: str, room: float, lines: int = 2) -> tuple[str, ...]:
    """Words in lines that have room; what does not fit is cut with an ellipsis. The table says it
    whole.
    """
    letters = max(2, int(room / (MEAN_LETTER * LETTER)))
    found: list[str] = []
    rest = words.split()
    while rest and len(found) < lines:
        here = rest.pop(0)
        while rest and len(here) + 1 + len(rest[0]) <= letters:
            here += f" {rest.pop(0)}"
        found.append(here if len(here) <= letters else f"{here[: letters - 1]}…")
    if rest:
        kept = found[-1] if len(found[-1]) < letters else found[-1].rpartition(" ")[0] or found[-1]
        found[-1] = f"{kept[: letters - 1].rstrip(' ,.;:…')}…"
    return tuple(found)


def keep_apart(ends: Sequence[float], least: float, top: float, floor: float) -> list[float]:
    """The same heights, moved so far that labels do not stand on each other, and none beyond the
    top or the floor; in their order. More than fit stand as near as they must.
    """
    least = min(least, (floor - top) / max(1, len(ends) - 1))
    order = sorted(range(len(ends)), key=lambda place: ends[place])
    moved = dict.fromkeys(order, 0.0)
    last = float("-inf")
    for place in order:
        moved[place] = last = max(ends[place], last + least, top)
    last = float("inf")
    for place in reversed(order):
        moved[place] = last = min(moved[place], last - least, floor)
    return [moved[place] for place in range(len(ends))]


def list_percent_ticks(scale: Scale, step: int = 25) -> tuple[tuple[float, str], ...]:
    """Places and words of a scale from 0 to 1, every so many per cent."""
    return tuple((scale.at(at / 100), f"{at} %") for at in range(0, 101, step))
