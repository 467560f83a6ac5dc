"""What does the operating curve of a quiz look like: the chance to pass over the share of the bank
that is known?
"""

from __future__ import annotations

from collections.abc import Sequence

from procedures.writeup.remarks import remark
from quizzes.psychometrics.charts.frame import Say, chart, dot, line, path, text

WIDTH, HEIGHT = 360, 264
LEFT, RIGHT, TOP, BOTTOM = 42, 20, 26, 44


def operating_curve(
    levels: Sequence[float],
    chances: Sequence[float],
    able: float,
    *,
    say: Say,
    uid: str = "operating",
) -> str:
    """The curve as SVG; levels and chances run from 0 to 1. The able level is marked by an upright
    line with its word.
    """

    def at(level: float, chance: float) -> tuple[float, float]:
        across, down = WIDTH - LEFT - RIGHT, HEIGHT - TOP - BOTTOM
        return LEFT + level * across, TOP + (1 - chance) * down

    parts: list[str] = []
    for tick in (0, 0.25, 0.5, 0.75, 1):
        x, y = at(tick, tick)
        floor, left = at(0, 0)[1], at(0, 0)[0]
        parts += [
            line(left, y, WIDTH - RIGHT, y, width=0.5 if tick else 1),
            text(left - 6, y + 4, f"{tick:.0%}", "end"),
        ]
        parts += [line(x, floor, x, floor + 4), text(x, floor + 18, f"{tick:.0%}", "middle")]
    able_x, able_y = at(able, 1)
    parts += [
        line(able_x, able_y - 8, able_x, at(0, 0)[1], dash="4 3"),
        text(able_x, able_y - 12, say(remark("able-mechanic")), "middle"),
    ]
    middle = LEFT + (WIDTH - LEFT - RIGHT) / 2
    parts.append(text(middle, HEIGHT - 8, say(remark("share-known")), "middle"))
    points = [at(level, chance) for level, chance in zip(levels, chances, strict=True)]
    # Dots where the chance was worked out; between them the line only joins.
    parts += [path(points), *(dot(*point, radius=2.2) for point in points)]
    described = remark("operating-described", guessing=chances[0], knowing=chances[-1])
    return chart(uid, WIDTH, HEIGHT, say(remark("operating-title")), say(described), parts)
