"""How does a YAML text say which pairs belong together, and which part of a drawing is to be found?

Each function notes its faults through `wrong(key, message)` and gives back nothing where it could
not read.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from quizzes.marking.kinds import Circle, Match, Pair, PointAt, Rectangle, Region
from quizzes.marking.plain_yaml import Mapped, Plain

Wrong = Callable[[str, str], None]
DRAWING = re.compile(r"[A-Za-z0-9_-]+")
WHOLE = re.compile(r"-?\d{1,5}")
SAY_REGION = (
    "A region is {x: 40, y: 60, width: 30, height: 20} or {x: 55, y: 70, radius: 15}, in whole "
    "units of the drawing."
)
MOST_PAIRS = 8


def match_of(entry: Mapped, wrong: Wrong) -> Match | None:
    """The pairs under `pairs` and the partners under `spare`."""
    listed = entry.values.get("pairs")
    if not isinstance(listed, list) or not 2 <= len(listed) <= MOST_PAIRS:
        wrong(
            "pairs",
            f"`pairs` must be a list of 2 to {MOST_PAIRS} pairs, each with `left` and `right`.",
        )
        return None
    pairs = [
        pair
        for place, one in enumerate(listed, start=1)
        if (pair := _pair(one, place, wrong)) is not None
    ]
    spare = _words(entry.values.get("spare", []))
    if spare is None:
        wrong(
            "spare",
            "`spare` must be a list of partners that belong to nothing, such as [on top, below].",
        )
        return None
    if len({pair.left for pair in pairs}) < len(pairs):
        wrong("pairs", "Two pairs have the same `left`.")
    if len(set(spare)) < len(spare) or {pair.right for pair in pairs} & set(spare):
        wrong("spare", "A partner under `spare` stands twice or belongs to a pair.")
    found = Match(tuple(pairs), tuple(spare))
    if len(found.partners) < 2 and len(pairs) == len(listed):
        wrong(
            "pairs",
            "Every `left` has the same partner, so there is nothing to ask. Add other "
            "partners under `spare`.",
        )
    return found


def point_of(entry: Mapped, wrong: Wrong) -> PointAt | None:
    """The drawing and its right regions, under `region` (one) or `regions` (a list)."""
    drawing = entry.word("drawing")
    if not DRAWING.fullmatch(drawing):
        wrong("drawing", "`drawing` must be the name of a drawing, such as air-spring-section.")
    if "region" in entry.values and "regions" in entry.values:
        wrong("region", "Give `region` or `regions`, not both.")
    key = "region" if "region" in entry.values else "regions"
    given = entry.values.get(key, [])
    listed = given if isinstance(given, list) else [given]
    regions = [_region(one) for one in listed]
    if not regions or None in regions:
        wrong(key, f"`{key}` can't be read. {SAY_REGION}")
        return None
    return PointAt(drawing, tuple(region for region in regions if region is not None))


def _pair(entry: Plain, place: int, wrong: Wrong) -> Pair | None:
    if not isinstance(entry, Mapped) or not entry.word("left") or not entry.word("right"):
        wrong("pairs", f"Pair {place} needs `left` and `right`, and may have `says`.")
        return None
    for key in entry.values.keys() - {"left", "right", "says"}:
        wrong(
            "pairs",
            f"`{key}` has no meaning in pair {place}. Known are `left`, `right` and `says`.",
        )
    return Pair(entry.word("left"), entry.word("right"), entry.word("says"))


def _words(value: Plain) -> list[str] | None:
    listed = [value] if isinstance(value, str) else value
    if not isinstance(listed, list):
        return None
    words = [word.strip() for word in listed if isinstance(word, str) and word.strip()]
    return words if len(words) == len(listed) else None


def _region(entry: Plain) -> Region | None:
    if not isinstance(entry, Mapped):
        return None
    words = {key: entry.word(key) for key in entry.values}
    if not all(WHOLE.fullmatch(word) for word in words.values()):
        return None
    numbers = {key: int(word) for key, word in words.items()}
    if set(numbers) == {"x", "y", "radius"} and numbers["radius"] > 0:
        return Circle(**numbers)
    if (
        set(numbers) == {"x", "y", "width", "height"}
        and numbers["width"] > 0
        and numbers["height"] > 0
    ):
        return Rectangle(**numbers)
    return None
