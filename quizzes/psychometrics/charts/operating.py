"""What does the operating curve of a quiz look like: the chance to pass over the share of the bank
that is known?
"""

from __future__ import annotations

from collections.abc import Sequence

from procedures.writeup.remarks import remark
from quizzes.psychometrics.charts.grammar import (
    WIDTH,
    Plot,
    Say,
    chart,
    dot,
    draw_axis_across,
    draw_axis_up,
    draw_diamond,
    line,
    list_percent_ticks,
    path,
    text,
)

HEIGHT = 400
PLOT = Plot(left=64, right=WIDTH - 40, top=44, floor=HEIGHT - 56)


def operating_curve(
    levels: Sequence[float],
    chances: Sequence[float],
    able: float,
    *,
    say: Say,
    uid: str = "operating",
) -> str:
    """The curve as SVG; levels and chances run from 0 to 1. The able level is marked by an upright
    line, who guesses everything by a diamond, both with their words.
    """
    across, up = PLOT.across(0, 1), PLOT.upward(0, 1)
    parts = [*draw_axis_up(PLOT, list_percent_ticks(up))]
    parts += draw_axis_across(PLOT, list_percent_ticks(across), say(remark("share-known")))
    parts.append(text(PLOT.left, PLOT.top - 26, say(remark("passes")), look="soft"))
    at = across.at(able)
    parts += [
        line(at, PLOT.top - 6, at, PLOT.floor, dash="4 3"),
        text(at + 4, PLOT.top - 12, say(remark("able-mechanic", knows=round(100 * able))), "end"),
    ]
    points = [
        (across.at(level), up.at(chance)) for level, chance in zip(levels, chances, strict=True)
    ]
    # Dots where the chance was worked out; between them the line only joins.
    parts += [path(points), *(dot(*point, radius=3) for point in points)]
    x, y = points[0]
    parts += [draw_diamond(x, y), text(x + 14, y - 14, say(remark("guesses-all")))]
    described = remark("operating-described", knowing=round(100 * chances[-1]))
    return chart(uid, HEIGHT, say(remark("operating-title")), say(described), parts)
