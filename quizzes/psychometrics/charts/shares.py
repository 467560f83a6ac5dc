"""How many people get each question of a quiz right, and how many would by guessing?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from procedures.writeup.remarks import remark
from quizzes.psychometrics.charts.grammar import (
    LINE,
    WIDTH,
    Plot,
    Say,
    Scale,
    chart,
    dot,
    draw_axis_across,
    draw_diamond,
    find_row_height,
    find_width,
    line,
    list_percent_ticks,
    text,
    write_row_name,
)

LEFT, RIGHT, TOP, BOTTOM = 340, 28, 34, 56


@dataclass(frozen=True, slots=True)
class Shared:
    """A question by its title: the share right with its bounds, the share that guessing gets (None
    where that is not known), and whether somebody has to look at it.
    """

    title: str
    share: float
    low: float
    high: float
    guess: float | None = None
    is_suspect: bool = False


def draw_shares(shared: Sequence[Shared], *, say: Say, uid: str = "shares") -> str:
    """The chart as SVG: one row a question in the order given, at least one."""
    row = find_row_height(len(shared))
    plot = Plot(LEFT, WIDTH - RIGHT, TOP, TOP + row * len(shared))
    scale = plot.across(0, 1)
    parts = [
        *_key(plot, say),
        *draw_axis_across(plot, list_percent_ticks(scale), say(remark("right-of-all"))),
    ]
    for place, one in enumerate(shared):
        y = plot.top + row * (place + 0.5)
        parts += write_row_name(plot, y, one.title, row, "bold" if one.is_suspect else "")
        parts += _marks(one, scale, y)
    hardest = min(shared, key=lambda one: one.share)
    described = remark("shares-described", count=len(shared), title=hardest.title)
    return chart(uid, plot.floor + BOTTOM, say(remark("shares-title")), say(described), parts)


def _marks(one: Shared, scale: Scale, y: float) -> Iterator[str]:
    low, high = scale.at(one.low), scale.at(one.high)
    yield line(low, y, high, y, width=2)
    # A bar at either end, so that a short interval is seen behind its dot.
    yield from (line(x, y - 5, x, y + 5) for x in (low, high))
    yield dot(scale.at(one.share), y, radius=5)
    if one.guess is not None:
        yield draw_diamond(scale.at(one.guess), y)


def _key(plot: Plot, say: Say) -> Iterator[str]:
    """What the marks mean, above the field."""
    y, x = plot.top - LINE, plot.left
    seen, guessed = say(remark("key-right")), say(remark("key-guessed"))
    yield from (line(x, y, x + 28, y, width=2), dot(x + 14, y, radius=5), text(x + 36, y + 4, seen))
    x += 36 + find_width(seen) + 24
    yield from (draw_diamond(x, y), text(x + 14, y + 4, guessed))
