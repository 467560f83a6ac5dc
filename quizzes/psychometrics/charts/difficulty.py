"""Where do the questions of a quiz stand from easy to hard?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from procedures.writeup.remarks import remark
from quizzes.psychometrics.charts.frame import Say, chart, dot, line, text

WIDTH, ROW, LEFT, RIGHT, TOP, BOTTOM = 360, 22, 30, 14, 10, 40
MARGIN = 1.96  # standard errors to both sides: 95 %


@dataclass(frozen=True, slots=True)
class Placed:
    """A question by its number in the table below, its difficulty in logits, and the standard
    error.
    """

    number: str
    difficulty: float
    se: float


def difficulty_map(placed: Sequence[Placed], *, say: Say, uid: str = "difficulty") -> str:
    """The map as SVG: one row a question, easy to the left, each with its 95 % interval; at least
    one question.
    """
    ends = [abs(one.difficulty) + MARGIN * one.se for one in placed]
    # At most ten logits: one question nearly all have right would press the others together.
    reach = max(1, min(ceil(max(ends)), 10))
    height = TOP + ROW * len(placed) + BOTTOM
    floor = TOP + ROW * len(placed)

    def across(logits: float) -> float:
        held = max(-reach, min(reach, logits))
        return LEFT + (held + reach) / (2 * reach) * (WIDTH - LEFT - RIGHT)

    parts = [
        line(across(0), TOP, across(0), floor, dash="2 4"),
        line(LEFT, floor, WIDTH - RIGHT, floor),
    ]
    for tick in (-reach, 0, reach):
        parts += [
            line(across(tick), floor, across(tick), floor + 4),
            text(across(tick), floor + 18, f"{tick}".replace("-", "−"), "middle"),
        ]
    parts += [
        text(LEFT, height - 6, say(remark("easier"))),
        text(WIDTH - RIGHT, height - 6, say(remark("harder")), "end"),
    ]
    for row, one in enumerate(placed):
        y = TOP + ROW * (row + 0.5)
        parts += [
            text(LEFT - 8, y + 4, one.number, "end"),
            line(
                across(one.difficulty - MARGIN * one.se),
                y,
                across(one.difficulty + MARGIN * one.se),
                y,
            ),
            dot(across(one.difficulty), y, radius=4),
        ]
    easy, hard = (pick(placed, key=lambda one: one.difficulty).number for pick in (min, max))
    described = remark("difficulty-described", count=len(placed), easy=easy, hard=hard)
    return chart(uid, WIDTH, height, say(remark("difficulty-title")), say(described), parts)
