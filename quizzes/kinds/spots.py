"""Where on a drawing can somebody point without a fine hand, and which drawings does a question
show?

A drawing is laid over with lettered cells of about the same width and height; choosing a cell is
pointing at its middle.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from string import ascii_uppercase
from typing import TYPE_CHECKING, TypeAlias

from procedures.writeup.remarks import Remark, remark

if TYPE_CHECKING:
    from quizzes.kinds.kind import Asked
    from quizzes.kinds.point_at import PointAt

COLUMNS = 8  # at 360 px of width a cell is then more than 24 px wide (WCAG 2.2, 2.5.8)
MOST_ROWS = 14
SHOWN = re.compile(r"!\[((?:[^\]!]|!(?!\[))*+)\]\(drawing:([A-Za-z0-9_-]+)\)")


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
class Box:
    """The viewBox of a drawing."""

    x: int
    y: int
    width: int
    height: int

    def holds(self, x: int, y: int) -> bool:
        return self.x <= x <= self.x + self.width and self.y <= y <= self.y + self.height

    def mirrored(self, x: int) -> int:
        """The place across that a place has when the drawing is shown mirrored; mirrored twice it
        is itself again.
        """
        return 2 * self.x + self.width - x


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell as it is seen: its name (a letter across, a number down) and its middle, in units of
    the drawing.
    """

    name: str
    x: int
    y: int


def cells(box: Box) -> tuple[Cell, ...]:
    """The cells that cover the box, row by row from its upper left."""
    # About square; a tall drawing has taller cells, or its list would have no end.
    rows = min(MOST_ROWS, max(2, round(COLUMNS * box.height / box.width)))
    return tuple(
        Cell(
            f"{ascii_uppercase[column]}{row + 1}",
            box.x + (2 * column + 1) * box.width // (2 * COLUMNS),
            box.y + (2 * row + 1) * box.height // (2 * rows),
        )
        for row in range(rows)
        for column in range(COLUMNS)
    )


def drawings_of(words: str, asked: Asked) -> tuple[str, ...]:
    """The names of the drawings that a question shows: in its words, to point at, and beside its
    options.
    """
    names = [*(name for _, name in SHOWN.findall(words)), *asked.drawings()]
    return tuple(dict.fromkeys(names))


def spot_faults(asked: PointAt, box: Box, *, mirror: bool) -> tuple[Remark, ...]:
    """Why nobody could point right at this drawing; empty when everybody can, with a mouse and
    without.
    """
    inside = [cell for cell in cells(box) if _right(asked, cell.x, cell.y)]
    if not inside:
        return (remark("no-cell-right"),)
    if mirror and not any(_right(asked, box.mirrored(cell.x), cell.y) for cell in cells(box)):
        return (remark("no-cell-right-mirrored"),)
    if all(_right(asked, cell.x, cell.y) for cell in cells(box)):
        return (remark("whole-drawing-right"),)
    return ()


def right_share(asked: PointAt, box: Box) -> Fraction:
    """The share of all whole points of the drawing that are right."""
    inside = {
        point
        for region in asked.regions
        for point in _points(region)
        if region.holds(*point) and box.holds(*point)
    }
    # Both edges belong to the drawing, so there is one point more than units.
    return Fraction(len(inside), (box.width + 1) * (box.height + 1))


def right_cells(asked: PointAt, box: Box) -> Fraction:
    """The share of its cells whose middle is right."""
    every = cells(box)
    return Fraction(sum(_right(asked, cell.x, cell.y) for cell in every), len(every))


def _points(region: Region) -> Iterator[tuple[int, int]]:
    """The whole points of the smallest rectangle around a region."""
    match region:
        case Rectangle():
            left, upper, right, lower = (
                region.x,
                region.y,
                region.x + region.width,
                region.y + region.height,
            )
        case Circle():
            left, upper = region.x - region.radius, region.y - region.radius
            right, lower = region.x + region.radius, region.y + region.radius
    return product(range(left, right + 1), range(upper, lower + 1))


def _right(asked: PointAt, x: int, y: int) -> bool:
    return any(region.holds(x, y) for region in asked.regions)
