"""Which options do weak, middling and able people choose at one question?"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from procedures.writeup.remarks import remark
from quizzes.psychometrics.charts.grammar import (
    DASHES,
    LINE,
    WIDTH,
    Plot,
    Say,
    chart,
    dot,
    draw_axis_up,
    draw_diamond,
    keep_apart,
    line,
    list_percent_ticks,
    path,
    split_words,
    text,
)

HEIGHT = 320
PLOT = Plot(left=64, right=WIDTH - 300, top=20, floor=HEIGHT - 64)


@dataclass(frozen=True, slots=True)
class Choice:
    """One option by its words, whether it is the key, and its share in each group from weak to
    able.
    """

    words: str
    is_right: bool
    shares: tuple[float, ...]


def option_curves(
    groups: Sequence[tuple[str, str]], choices: Sequence[Choice], *, uid: str, say: Say
) -> str:
    """The curves as SVG, a group by its name and its scores; the key is drawn thick and whole,
    every other option thin and dashed in its own way, and what guessing would choose as a diamond
    at every group.
    """
    across, up = PLOT.across(0, max(1, len(groups) - 1)), PLOT.upward(0, 1)
    parts = [*draw_axis_up(PLOT, list_percent_ticks(up))]
    for place, (name, scores) in enumerate(groups):
        x = across.at(place)
        parts += [
            line(x, PLOT.floor, x, PLOT.floor + 5),
            text(x, PLOT.floor + 22, name, "middle"),
            text(x, PLOT.floor + 22 + LINE, scores, "middle", "soft"),
        ]
    guess = up.at(1 / len(choices))
    parts += [draw_diamond(across.at(place), guess) for place in range(len(groups))]
    parts += _curves(choices, [across.at(place) for place in range(len(groups))], up.at)
    key = next((one for one in choices if one.is_right), None)
    described = remark("options-chosen")
    if key is not None:
        described = remark(
            "options-described",
            option=key.words,
            weakest=round(100 * key.shares[0]),
            ablest=round(100 * key.shares[-1]),
        )
    return chart(uid, HEIGHT, say(remark("options-title")), say(described), parts)


def _curves(
    choices: Sequence[Choice], across: Sequence[float], height: Callable[[float], float]
) -> Iterator[str]:
    # The whole line is the key's alone.
    dashes = iter(DASHES[1:] * (1 + len(choices) // (len(DASHES) - 1)))
    ends = [height(one.shares[-1]) for one in choices]
    apart = keep_apart(ends, LINE + 2, PLOT.top, PLOT.floor)
    for choice, end, beside in zip(choices, ends, apart, strict=True):
        points = [(x, height(share)) for x, share in zip(across, choice.shares, strict=True)]
        yield (
            path(points, width=3.5)
            if choice.is_right
            else path(points, dash=next(dashes), width=1.5)
        )
        yield from (dot(*point, radius=3) for point in points)
        # A thin lead from the end of the line to its words.
        yield line(PLOT.right, end, PLOT.right + 14, beside, width=0.75)
        words = f"{'✓ ' if choice.is_right else ''}{choice.words}"
        (said,) = split_words(words, WIDTH - PLOT.right - 24, lines=1)
        yield text(PLOT.right + 18, beside + 4, said, look="bold" if choice.is_right else "")
