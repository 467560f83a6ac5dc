"""Which cells does a shop's list hold, what is it held against, and what does it mean?

Plain values.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from training.exchange.matrix.marks import DayOrder


@dataclass(frozen=True, slots=True)
class SheetCell:
    """One cell: how a spreadsheet names its place, such as C4, and what stands in it."""

    place: str
    text: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet: its name, its rows of equal length without those that are empty, and what was
    found in reading it.
    """

    name: str
    rows: tuple[tuple[SheetCell, ...], ...]
    said: tuple[str, ...] = ()

    def turned(self) -> Sheet:
        """The same sheet, with its rows as columns."""
        return Sheet(self.name, tuple(zip(*self.rows, strict=True)), self.said)


@dataclass(frozen=True, slots=True)
class ShopSoFar:
    """What the shop has already: names by login, titles by level, who owns it, where; and the
    first sign-offs on record as (login, level, day).
    """

    people: Mapping[str, str]
    levels: Mapping[str, str]
    owners: frozenset[str]
    workshop: str
    workshops: frozenset[str]
    today: date
    signed: frozenset[tuple[str, str, date]] = frozenset()


@dataclass(frozen=True, slots=True)
class Answers:
    """What the owner has told. `levels`: the level of a head, empty to leave the column out.
    `words`: what a word in a cell means, True for signed off.
    """

    signed_by: str = ""
    undated: date | None = None
    day_order: DayOrder | None = None
    levels: Mapping[str, str] = field(default_factory=dict)
    names: str = ""
    words: Mapping[str, bool] = field(default_factory=dict)
    practice_from: date | None = None


@dataclass(frozen=True, slots=True)
class Remark:
    """One thing that is asked, wrong or left out: a code, the cells it is about, named
    arguments.
    """

    code: str
    places: tuple[str, ...] = ()
    args: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ListPerson:
    login: str
    name: str
    is_new: bool
    place: str
    trade: str = ""
    workshop: str = ""
    started: date | None = None
    left: date | None = None


@dataclass(frozen=True, slots=True)
class LevelOf:
    """The level of one head; `title` is its title in the shop, or the one that it gets."""

    head: str
    level: str
    title: str
    is_new: bool


@dataclass(frozen=True, slots=True)
class FirstSignOff:
    login: str
    level: str
    on: date
    place: str
    note: str


@dataclass(frozen=True, slots=True)
class Understood:
    """A matrix as it was understood. Nothing comes in while a question is open or a fault is
    there.
    """

    sheet: str = ""
    is_turned: bool = False
    heads: tuple[str, ...] = ()
    cells: tuple[tuple[str, ...], ...] = ()  # for each person what stands under each head
    people: tuple[ListPerson, ...] = ()
    levels: tuple[LevelOf, ...] = ()
    sign_offs: tuple[FirstSignOff, ...] = ()
    questions: tuple[Remark, ...] = ()
    faults: tuple[Remark, ...] = ()
    left_out: tuple[Remark, ...] = ()

    @property
    def is_ready(self) -> bool:
        return bool(self.sign_offs or self.people) and not (self.questions or self.faults)
