"""How many people get each question of a quiz right, and how many would by guessing?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from procedures.writeup.remarks import remark
from quizzes.psychometrics.charts.grammar import (
    DESK,
    LINE,
    Plot,
    Room,
    Say,
    Scale,
    chart,
    dot,
    draw_axis_across,
    draw_diamond,
    find_width,
    line,
    list_percent_ticks,
    make_rows,
    make_uid,
    text,
)

LEFT, TOP, BOTTOM = 340, 34, 56


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


def draw_shares(
    shared: Sequence[Shared], *, say: Say, uid: str = "shares", room: Room = DESK
) -> str:
    """The chart as SVG: one row a question in the order given, at least one."""
    top = TOP + (LINE + 4 if room.is_narrow else 0)
    rows = make_rows(room, len(shared), left=LEFT, top=top)
    scale = rows.plot.across(0, 1)
    ticks = list_percent_ticks(scale)
    parts = [
        *_key(rows.plot, say, room),
        *draw_axis_across(rows.plot, ticks, say(remark("right-of-all"))),
    ]
    for place, one in enumerate(shared):
        parts += rows.name(place, one.title, "bold" if one.is_suspect else "")
        parts += _marks(one, scale, rows.y(place))
    hardest = min(shared, key=lambda one: one.share)
    described = remark("shares-described", count=len(shared), title=hardest.title)
    uid, height = make_uid(uid, room), rows.plot.floor + BOTTOM
    return chart(uid, room, height, say(remark("shares-title")), say(described), parts)


def _marks(one: Shared, scale: Scale, y: float) -> Iterator[str]:
    low, high = scale.at(one.low), scale.at(one.high)
    yield line(low, y, high, y, width=2)
    # A bar at either end, so that a short interval is seen behind its dot.
    yield from (line(x, y - 5, x, y + 5) for x in (low, high))
    yield dot(scale.at(one.share), y, radius=5)
    if one.guess is not None:
        yield draw_diamond(scale.at(one.guess), y)


def _key(plot: Plot, say: Say, room: Room) -> Iterator[str]:
    """What the marks mean, above the field; on a phone one below the other."""
    seen, guessed = say(remark("key-right")), say(remark("key-guessed"))
    x, y = plot.left, plot.top - LINE - (LINE + 4 if room.is_narrow else 0)
    yield from (line(x, y, x + 28, y, width=2), dot(x + 14, y, radius=5), text(x + 36, y + 4, seen))
    x, y = (x + 14, y + LINE + 4) if room.is_narrow else (x + 60 + find_width(seen), y)
    yield from (draw_diamond(x, y), text(x + (22 if room.is_narrow else 14), y + 4, guessed))
