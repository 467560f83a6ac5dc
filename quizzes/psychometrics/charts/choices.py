"""Which options do weak, middling and able people choose at one question?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from procedures.writeup.remarks import remark
from quizzes.psychometrics.charts.frame import DASHES, Say, chart, dot, line, path, text

WIDTH, HEIGHT = 360, 190
LEFT, RIGHT, TOP, BOTTOM = 42, 40, 12, 40


@dataclass(frozen=True, slots=True)
class Choice:
    """One option by its letter in the table below, whether it is the key, and its share in each
    group from weak to able.
    """

    letter: str
    is_right: bool
    shares: tuple[float, ...]


def option_curves(groups: Sequence[str], choices: Sequence[Choice], *, uid: str, say: Say) -> str:
    """The curves as SVG; the key is drawn thick and whole, every other option thin and dashed in
    its own way.
    """
    steps = max(1, len(groups) - 1)

    def at(group: int, share: float) -> tuple[float, float]:
        return LEFT + group / steps * (WIDTH - LEFT - RIGHT), TOP + (1 - share) * (
            HEIGHT - TOP - BOTTOM
        )

    floor = at(0, 0)[1]
    parts = []
    for share in (0, 0.5, 1):
        y = at(0, share)[1]
        parts += [
            line(LEFT, y, WIDTH - RIGHT, y, width=0.5 if share else 1),
            text(LEFT - 6, y + 4, f"{share:.0%}", "end"),
        ]
    for place, group in enumerate(groups):
        anchor = "start" if not place else "end" if place == len(groups) - 1 else "middle"
        parts += [text(at(place, 0)[0], floor + 18, group, anchor)]
    # The whole line is the key's alone.
    dashes = iter(DASHES[1:] * (1 + len(choices) // (len(DASHES) - 1)))
    ends = _apart([at(len(groups) - 1, one.shares[-1])[1] for one in choices])
    for choice, end in zip(choices, ends, strict=True):
        points = [at(place, share) for place, share in enumerate(choice.shares)]
        parts.append(
            path(points, width=3) if choice.is_right else path(points, dash=next(dashes), width=1.5)
        )
        parts += [dot(*point) for point in points]
        parts.append(
            text(WIDTH - RIGHT + 8, end + 4, f"{choice.letter}{' ✓' if choice.is_right else ''}")
        )
    key = next((one for one in choices if one.is_right), None)
    described = remark("options-chosen")
    if key is not None:
        described = remark(
            "options-described", letter=key.letter, weakest=key.shares[0], ablest=key.shares[-1]
        )
    return chart(uid, WIDTH, HEIGHT, say(remark("options-title")), say(described), parts)


def _apart(ends: Sequence[float], least: float = 13) -> list[float]:
    """The same heights, moved down where labels would stand on each other."""
    moved = dict.fromkeys(range(len(ends)), 0.0)
    last = float("-inf")
    for place in sorted(range(len(ends)), key=lambda place: ends[place]):
        moved[place] = last = max(ends[place], last + least)
    return list(moved.values())
