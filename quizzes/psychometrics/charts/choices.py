"""Which options do weak, middling and able people choose at one question?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from procedures.writeup.remarks import remark
from quizzes.psychometrics.charts.grammar import (
    DASHES,
    DESK,
    LINE,
    Plot,
    Room,
    Say,
    chart,
    dot,
    draw_axis_up,
    draw_diamond,
    keep_apart,
    line,
    list_percent_ticks,
    make_uid,
    path,
    split_words,
    text,
)

TOP, FLOOR, BOTTOM = 20, 256, 64


@dataclass(frozen=True, slots=True)
class Choice:
    """One option by its letter in the table below and its words, whether it is the key, and its
    share in each group from weak to able.
    """

    letter: str
    words: str
    is_right: bool
    shares: tuple[float, ...]


def option_curves(
    groups: Sequence[tuple[str, str]],
    choices: Sequence[Choice],
    *,
    uid: str,
    say: Say,
    room: Room = DESK,
) -> str:
    """The curves as SVG, a group by its name and its scores; the key is drawn thick and whole,
    every other option thin and dashed in its own way, and what guessing would choose as a diamond
    at every group. On a phone there is room for the letters only.
    """
    plot = Plot(56, room.width - (60 if room.is_narrow else 300), TOP, FLOOR)
    across, up = plot.across(0, max(1, len(groups) - 1)), plot.upward(0, 1)
    parts = [*draw_axis_up(plot, list_percent_ticks(up))]
    for place, (name, scores) in enumerate(groups):
        x = across.at(place)
        parts += [
            line(x, plot.floor, x, plot.floor + 5),
            text(x, plot.floor + 22, name, "middle"),
            text(x, plot.floor + 22 + LINE, scores, "middle", "soft"),
        ]
    guess = up.at(1 / len(choices))
    parts += [draw_diamond(across.at(place), guess) for place in range(len(groups))]
    parts += _curves(choices, [across.at(place) for place in range(len(groups))], plot, room)
    key = next((one for one in choices if one.is_right), None)
    described = remark("options-chosen")
    if key is not None:
        described = remark(
            "options-described",
            option=key.words,
            weakest=round(100 * key.shares[0]),
            ablest=round(100 * key.shares[-1]),
        )
    uid, height = make_uid(uid, room), FLOOR + BOTTOM
    return chart(uid, room, height, say(remark("options-title")), say(described), parts)


def _curves(
    choices: Sequence[Choice], across: Sequence[float], plot: Plot, room: Room
) -> Iterator[str]:
    height = plot.upward(0, 1).at
    # The whole line is the key's alone.
    dashes = iter(DASHES[1:] * (1 + len(choices) // (len(DASHES) - 1)))
    ends = [height(one.shares[-1]) for one in choices]
    apart = keep_apart(ends, LINE + 2, plot.top, plot.floor)
    for choice, end, beside in zip(choices, ends, apart, strict=True):
        points = [(x, height(share)) for x, share in zip(across, choice.shares, strict=True)]
        yield (
            path(points, width=3.5)
            if choice.is_right
            else path(points, dash=next(dashes), width=1.5)
        )
        yield from (dot(*point, radius=3) for point in points)
        # A thin lead from the end of the line to its words.
        yield line(plot.right, end, plot.right + 14, beside, width=0.75)
        told = choice.letter if room.is_narrow else f"{choice.letter}. {choice.words}"
        words = f"{'✓ ' if choice.is_right else ''}{told}"
        (said,) = split_words(words, room.width - plot.right - 24, lines=1)
        yield text(plot.right + 18, beside + 4, said, look="bold" if choice.is_right else "")
