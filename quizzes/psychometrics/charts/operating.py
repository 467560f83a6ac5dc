"""What does the operating curve of a quiz look like: the chance to pass over the share of the bank
that is known?
"""

from __future__ import annotations

from collections.abc import Sequence

from procedures.writeup.remarks import remark
from quizzes.psychometrics.charts.grammar import (
    DESK,
    Plot,
    Room,
    Say,
    chart,
    dot,
    draw_axis_across,
    draw_axis_up,
    draw_diamond,
    line,
    list_percent_ticks,
    make_uid,
    path,
    text,
)

BOTTOM = 56


def operating_curve(
    levels: Sequence[float],
    chances: Sequence[float],
    able: float,
    *,
    say: Say,
    uid: str = "operating",
    room: Room = DESK,
) -> str:
    """The curve as SVG; levels and chances run from 0 to 1. The able level is marked by an upright
    line, who guesses everything by a diamond, both with their words.
    """
    plot = Plot(56, room.width - (24 if room.is_narrow else 40), 44, 264 if room.is_narrow else 344)
    across, up = plot.across(0, 1), plot.upward(0, 1)
    parts = [*draw_axis_up(plot, list_percent_ticks(up))]
    parts += draw_axis_across(plot, list_percent_ticks(across), say(remark("share-known")))
    parts.append(text(plot.left, plot.top - 26, say(remark("passes")), look="soft"))
    at = across.at(able)
    parts += [
        line(at, plot.top - 6, at, plot.floor, dash="4 3"),
        text(at + 4, plot.top - 12, say(remark("able-mechanic", knows=round(100 * able))), "end"),
    ]
    points = [
        (across.at(level), up.at(chance)) for level, chance in zip(levels, chances, strict=True)
    ]
    # Dots where the chance was worked out; between them the line only joins.
    parts += [path(points), *(dot(*point, radius=3) for point in points)]
    x, y = points[0]
    parts += [draw_diamond(x, y), text(x + 14, y - 14, say(remark("guesses-all")))]
    described = remark("operating-described", knowing=round(100 * chances[-1]))
    uid, height = make_uid(uid, room), plot.floor + BOTTOM
    return chart(uid, room, height, say(remark("operating-title")), say(described), parts)
