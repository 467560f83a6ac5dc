"""Point at it: which spot on a drawing?"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from fractions import Fraction
from typing import Any, ClassVar, Self

from procedures.writeup.plain_yaml import Mapped, Plain
from procedures.writeup.remarks import Remark, remark
from quizzes.kinds.fields import Field, PointedOut
from quizzes.kinds.kind import Asked, Beside, Entry, Marked, Orders, Told, is_whole
from quizzes.kinds.options import DRAWING
from quizzes.kinds.spots import Circle, Rectangle, Region, right_cells, right_share, spot_faults
from quizzes.psychometrics.guessing import NOTHING, Spread, spread_of_one

POINT = "point at it"
WHOLE = re.compile(r"-?\d{1,5}")


@dataclass(frozen=True, slots=True)
class PointAt(Asked):
    """A spot within one of the regions of a drawing. An answer is a point in units of the drawing
    as it was made, also where it was shown mirrored.
    """

    kind: ClassVar[str] = POINT
    keys: ClassVar[frozenset[str]] = frozenset({"drawing", "region", "regions"})
    template: ClassVar[str] = "quizzes/kinds/point.html"
    field: ClassVar[Field] = PointedOut()
    drawing: str
    regions: tuple[Region, ...]

    @classmethod
    def read(cls, entry: Entry) -> Self | None:
        values, drawing = entry.entry.values, entry.entry.word("drawing")
        if not DRAWING.fullmatch(drawing):
            entry.wrong("drawing", remark("bad-drawing-name"))
        if "region" in values and "regions" in values:
            entry.wrong("region", remark("region-and-regions"))
        key = "region" if "region" in values else "regions"
        given = values.get(key, [])
        listed = given if isinstance(given, list) else [given]
        regions = [_region(one) for one in listed]
        if not regions or None in regions:
            entry.wrong(key, remark("region-unreadable", key=key))
            return None
        return cls(drawing, tuple(region for region in regions if region is not None))

    def written(self) -> dict[str, Any]:
        return {"drawing": self.drawing, "regions": [asdict(region) for region in self.regions]}

    def as_json(self) -> dict[str, Any]:
        return {"drawing": self.drawing, "regions": [asdict(region) for region in self.regions]}

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> Self:
        regions = (
            Circle(**region) if "radius" in region else Rectangle(**region)
            for region in kept["regions"]
        )
        return cls(kept["drawing"], tuple(regions))

    def shape_fault(self, given: object) -> Remark | None:
        fits = isinstance(given, list | tuple) and len(given) == 2 and all(map(is_whole, given))
        return None if fits else remark("point-at-one")

    def marks(self, given: Any, orders: Orders | None) -> Marked:
        x, y = given
        inside = any(region.holds(x, y) for region in self.regions)
        return Marked(Fraction(int(inside)), inside)

    def guessed(self, beside: Beside) -> Spread:
        """The share of the drawing that is right, by its points or by its cells, whichever is
        larger.
        """
        box = beside.box(self.drawing)
        if box is None:
            return NOTHING
        # Whoever guesses may take the mouse or the cells: the odds stand on the easier way.
        return spread_of_one(max(right_share(self, box), right_cells(self, box)))

    def faults(self, beside: Beside, *, fits: bool, mirror: bool) -> tuple[Remark, ...]:
        box = beside.box(self.drawing)
        if box is None:
            return (remark("no-drawing-to-point-at", name=self.drawing),)
        return spot_faults(self, box, mirror=mirror)

    def drawings(self) -> tuple[str, ...]:
        return (self.drawing,)

    def drawing_to_point_at(self) -> str:
        return self.drawing

    def right_regions(self) -> tuple[Region, ...]:
        return self.regions

    def may_mirror(self, beside: Beside) -> bool:
        """A drawing that must stay as it is keeps its regions where they are."""
        return beside.mirrors(self.drawing)

    def given_words(self, given: Any, shown: Mapping[str, Any]) -> Remark:
        return remark("a-spot")

    def told(self, given: Any, shown: Mapping[str, Any], beside: Beside, *, is_right: bool) -> Told:
        return Told()  # the drawing tells it

    def key_shown(self, beside: Beside | None) -> dict[str, Any]:
        return {}  # the drawing shows it

    def key_words(self, titles: Mapping[str, str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
        return (), ()


def _region(entry: Plain) -> Region | None:
    if not isinstance(entry, Mapped):
        return None
    words = {key: entry.word(key) for key in entry.values}
    if not all(WHOLE.fullmatch(word) for word in words.values()):
        return None
    numbers = {key: int(word) for key, word in words.items()}
    if set(numbers) == {"x", "y", "radius"} and numbers["radius"] > 0:
        return Circle(**numbers)
    sized = set(numbers) == {"x", "y", "width", "height"}
    return Rectangle(**numbers) if sized and min(numbers["width"], numbers["height"]) > 0 else None
