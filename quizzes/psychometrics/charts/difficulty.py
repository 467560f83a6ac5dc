"""Where do the questions of a quiz stand from easy to hard?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from procedures.writeup.remarks import remark
from quizzes.psychometrics.charts.grammar import (
    DESK,
    Room,
    Say,
    chart,
    dot,
    draw_axis_across,
    line,
    make_rows,
    make_uid,
    text,
)

LEFT, TOP, BOTTOM = 340, 34, 56
MARGIN = 1.96  # standard errors to both sides: 95 %


@dataclass(frozen=True, slots=True)
class Placed:
    """A question by its title, its difficulty in logits, and the standard error."""

    title: str
    difficulty: float
    se: float


def difficulty_map(
    placed: Sequence[Placed], *, say: Say, uid: str = "difficulty", room: Room = DESK
) -> str:
    """The map as SVG: one row a question, easy to the left, each with its 95 % interval; at least
    one question.
    """
    ends = [abs(one.difficulty) + MARGIN * one.se for one in placed]
    # At most ten logits: one question nearly all have right would press the others together.
    reach = max(1, min(ceil(max(ends)), 10))
    rows = make_rows(room, len(placed), left=LEFT, top=TOP)
    plot, scale = rows.plot, rows.plot.across(-reach, reach)
    ticks = (-reach, -reach / 2, 0, reach / 2, reach)
    said = [(scale.at(tick), f"{tick:g}".replace("-", "−")) for tick in ticks]
    parts = [
        *draw_axis_across(plot, said, say(remark("logits"))),
        line(scale.at(0), plot.top, scale.at(0), plot.floor, dash="4 3"),
        text(plot.left, plot.top - 12, say(remark("easier")), look="soft"),
        text(plot.right, plot.top - 12, say(remark("harder")), "end", "soft"),
    ]
    for place, one in enumerate(placed):
        y, by = rows.y(place), MARGIN * one.se
        parts += [
            *rows.name(place, one.title),
            line(scale.at(one.difficulty - by), y, scale.at(one.difficulty + by), y, width=2),
            dot(scale.at(one.difficulty), y, radius=5),
        ]
    easy, hard = (pick(placed, key=lambda one: one.difficulty).title for pick in (min, max))
    described = remark("difficulty-described", count=len(placed), easy=easy, hard=hard)
    uid, height = make_uid(uid, room), plot.floor + BOTTOM
    return chart(uid, room, height, say(remark("difficulty-title")), say(described), parts)
