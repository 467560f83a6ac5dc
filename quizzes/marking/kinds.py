"""What can a question ask for: one option, several, an order of steps, pairs, an amount, or a spot
on a drawing?

`as_json` and `from_json` carry what is asked into the database and back; both sides know nothing of
the database.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any, ClassVar, TypeAlias

ONE, ALL, ORDER, AMOUNT = "choose one", "choose all", "put in order", "give the amount"
MATCH, POINT = "match", "point at it"


@dataclass(frozen=True, slots=True)
class Option:
    """One answer on offer, whether it is right, what is said of it after the sitting, and its
    drawing's name, if any.
    """

    text: str
    right: bool
    says: str = ""
    drawing: str = ""


@dataclass(frozen=True, slots=True)
class ChooseOne:
    """Exactly one of the options is right."""

    kind: ClassVar[str] = ONE
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True)
class ChooseAll:
    """One or more of the options are right."""

    kind: ClassVar[str] = ALL
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True)
class PutInOrder:
    """These steps of the write-up (ids, in the write-up's own order or not), for one option of
    every variant.
    """

    kind: ClassVar[str] = ORDER
    steps: tuple[str, ...]
    variant: tuple[tuple[str, str], ...] = ()  # sorted by variant


@dataclass(frozen=True, slots=True)
class GiveAmount:
    """The right amount, as the write-up language writes it, with its tolerance."""

    kind: ClassVar[str] = AMOUNT
    amount: str


@dataclass(frozen=True, slots=True)
class Pair:
    """What stands on the left, what belongs to it, and what is said of it after the sitting."""

    left: str
    right: str
    says: str = ""


@dataclass(frozen=True, slots=True)
class Match:
    """Pairs to be found; `spare` are partners on offer that belong to nothing."""

    kind: ClassVar[str] = MATCH
    pairs: tuple[Pair, ...]
    spare: tuple[str, ...] = ()

    @property
    def partners(self) -> tuple[str, ...]:
        """Everything on offer on the right, each once, in the author's order."""
        return tuple(dict.fromkeys([pair.right for pair in self.pairs] + list(self.spare)))


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A part of a drawing, in whole units of its viewBox; its edges belong to it."""

    x: int
    y: int
    width: int
    height: int

    def holds(self, x: int, y: int) -> bool:
        return self.x <= x <= self.x + self.width and self.y <= y <= self.y + self.height


@dataclass(frozen=True, slots=True)
class Circle:
    """A round part of a drawing, in whole units of its viewBox; its edge belongs to it."""

    x: int
    y: int
    radius: int

    def holds(self, x: int, y: int) -> bool:
        return (x - self.x) ** 2 + (y - self.y) ** 2 <= self.radius**2


Region: TypeAlias = Rectangle | Circle


@dataclass(frozen=True, slots=True)
class PointAt:
    """A spot within one of the regions of a drawing. An answer is a point in units of the drawing
    as it was made, also where it was shown mirrored.
    """

    kind: ClassVar[str] = POINT
    drawing: str
    regions: tuple[Region, ...]


Asked: TypeAlias = ChooseOne | ChooseAll | PutInOrder | GiveAmount | Match | PointAt


@dataclass(frozen=True, slots=True)
class QuestionText:
    """One question as its author wrote it: of which write-up, under which name, on which steps."""

    writeup: str
    name: str
    stem: str
    asked: Asked
    steps: tuple[str, ...]
    critical: bool = False
    says: str = ""
    line: int = 0
    mirror: bool = False  # its drawings are shown mirrored in half of the sittings


def as_json(asked: Asked) -> dict[str, Any]:
    """What is asked as plain lists, words, whole numbers and truth values (the record book holds no
    fractions).
    """
    match asked:
        case ChooseOne() | ChooseAll():
            return {"options": [_option_json(option) for option in asked.options]}
        case PutInOrder():
            return {"steps": list(asked.steps), "variant": dict(asked.variant)}
        case GiveAmount():
            return {"amount": asked.amount}
        case Match():
            return {"pairs": [asdict(pair) for pair in asked.pairs], "spare": list(asked.spare)}
        case PointAt():
            return {
                "drawing": asked.drawing,
                "regions": [asdict(region) for region in asked.regions],
            }


def from_json(kind: str, asked: Mapping[str, Any]) -> Asked:
    """What is asked, from `as_json`. Raises ValueError for a kind that is not known, KeyError for a
    missing part.
    """
    if kind in (ONE, ALL):
        options = tuple(
            Option(o["text"], o["right"], o["says"], o.get("drawing", "")) for o in asked["options"]
        )
        return ChooseOne(options) if kind == ONE else ChooseAll(options)
    if kind == ORDER:
        return PutInOrder(tuple(asked["steps"]), tuple(sorted(asked["variant"].items())))
    if kind == AMOUNT:
        return GiveAmount(asked["amount"])
    if kind == MATCH:
        return Match(tuple(Pair(**pair) for pair in asked["pairs"]), tuple(asked["spare"]))
    if kind == POINT:
        regions = (
            Circle(**region) if "radius" in region else Rectangle(**region)
            for region in asked["regions"]
        )
        return PointAt(asked["drawing"], tuple(regions))
    message = f"There is no kind of question called {kind!r}."
    raise ValueError(message)


def _option_json(option: Option) -> dict[str, Any]:
    kept: dict[str, Any] = {"text": option.text, "right": option.right, "says": option.says}
    return kept | ({"drawing": option.drawing} if option.drawing else {})
