"""What does every kind of question have to be able to do?

Each kind is a class in a module of its own: a frozen value that holds what one question asks, and
that knows how it is read, written, kept, marked, guessed and shown. Nothing outside this package
asks which kind it has at hand; `registry.py` lists them.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal
from fractions import Fraction
from random import Random
from typing import Any, ClassVar, Protocol, Self, TypeAlias, TypeGuard

from procedures.writeup.model import WriteUp
from procedures.writeup.plain_yaml import Mapped
from procedures.writeup.remarks import Remark, remark
from quizzes.kinds.fields import Field
from quizzes.kinds.spots import Box, Region
from quizzes.psychometrics.guessing import Spread

Said: TypeAlias = "str | Remark"  # an author's own words, or what the catalogue words
Given: TypeAlias = "int | str | Sequence[int] | Sequence[str] | None"

NOT_ANSWERED = remark("not-answered")
PLACES = Decimal("0.00001")
FARTHEST = 100_000  # units of a drawing


class Orders(Protocol):
    """Somebody who knows which orders of the shown steps are safe and complete."""

    def is_right(self, order: Sequence[str]) -> bool:
        """Whether the write-up rehearses in this order without an error that it does not have
        itself.
        """
        ...

    def demanded(self) -> Collection[tuple[str, str]]:
        """The pairs (a, b) of shown steps of which a stands before b in every right order."""
        ...


class Judge(Orders, Protocol):
    """Somebody who can also count the right orders, and say what is wrong with another."""

    def count(self) -> tuple[int, int]:
        """How many orders are right, and how many there are."""
        ...

    def says(self, order: Sequence[str]) -> tuple[Remark, ...]:
        """What goes wrong in this order and not in the write-up's own."""
        ...


class Beside(Protocol):
    """What a question stands beside: a revision of its write-up, the rules, and drawings."""

    @property
    def writeup(self) -> WriteUp: ...

    def orders(self, asked: Any) -> Judge:
        """Who judges the orders of this question."""
        ...

    def box(self, drawing: str) -> Box | None:
        """The size of a drawing; None where there is none of this name."""
        ...

    def mirrors(self, drawing: str) -> bool:
        """Whether a drawing can be shown mirrored."""
        ...


class Entry(Protocol):
    """One question of a YAML text while it is read; its faults are noted by `wrong`."""

    @property
    def entry(self) -> Mapped: ...

    @property
    def steps(self) -> tuple[str, ...]:
        """The steps that the question stands on."""
        ...

    def wrong(self, key: str, said: Remark) -> None: ...

    def says_yes(self, entry: Mapped, key: str) -> bool:
        """Whether the key says yes; noted as a fault where it says neither yes nor no."""
        ...


@dataclass(frozen=True, slots=True)
class Option:
    """One answer on offer, whether it is right, what is said of it after the sitting, and its
    drawing's name, if any.
    """

    text: str
    right: bool
    says: str = ""
    drawing: str = ""

    def written(self) -> dict[str, Any]:
        """The option as a YAML text has it."""
        entry: dict[str, Any] = {"text": self.text}
        if self.right:
            entry["right"] = True
        if self.drawing:
            entry["drawing"] = self.drawing
        if self.says:
            entry["says"] = self.says
        return entry

    def as_json(self) -> dict[str, Any]:
        """The option as it is kept."""
        kept: dict[str, Any] = {"text": self.text, "right": self.right, "says": self.says}
        return kept | ({"drawing": self.drawing} if self.drawing else {})


@dataclass(frozen=True, slots=True)
class Marked:
    """The worth of one answer. `share` is exact; `right` says whether it is wholly right (then
    `share` is 1).
    """

    share: Fraction
    right: bool
    says: tuple[Said, ...] = ()

    @property
    def marks(self) -> Decimal:
        """The share as it is kept, to five places, never rounded up."""
        exact = Decimal(self.share.numerator) / Decimal(self.share.denominator)
        return exact.quantize(PLACES, rounding=ROUND_DOWN)


@dataclass(frozen=True, slots=True)
class OptionTold:
    """One option after the end, in the order shown."""

    text: str
    is_picked: bool
    is_right: bool
    says: str


@dataclass(frozen=True, slots=True)
class PairTold:
    """What stood on the left, what was chosen for it, and what belongs to it."""

    left: str
    given: str
    right: str
    is_right: bool
    says: str


@dataclass(frozen=True, slots=True)
class Told:
    """What was given and what was right, after the end; each kind fills what its template shows."""

    given: tuple[str, ...] = ()
    right: tuple[str, ...] = ()
    says: tuple[Said, ...] = ()
    options: tuple[OptionTold, ...] = ()
    pairs: tuple[PairTold, ...] = ()


class Asked(ABC):
    """What one question asks, whichever its kind. Methods that are not abstract have the answer of
    a kind that knows neither orders nor drawings.
    """

    __slots__ = ()

    kind: ClassVar[str]  # as authors write it, and as the database keeps it
    keys: ClassVar[frozenset[str]]  # what a YAML text may say of this kind beside what all have
    field: ClassVar[Field]  # in what an answer is given
    template: ClassVar[str]  # how it is asked, what is told after the end, and what authors see
    is_rehearsed: ClassVar[bool] = False  # whether marks need the write-up rehearsed

    @classmethod
    @abstractmethod
    def read(cls, entry: Entry) -> Self | None:
        """What a YAML text asks; None where it can't be read."""

    @abstractmethod
    def written(self) -> dict[str, Any]:
        """Its own keys of a YAML text, so that `read` reads the same again."""

    @abstractmethod
    def as_json(self) -> dict[str, Any]:
        """What is asked as plain lists, words, whole numbers and truth values (the record book
        holds no fractions).
        """

    @classmethod
    @abstractmethod
    def from_json(cls, kept: Mapping[str, Any]) -> Self:
        """What is asked, from `as_json`. Raises KeyError for a missing part."""

    def right_amounts(self) -> tuple[str, ...]:
        """The amounts that are the right answer, as the write-up language has them."""
        return ()

    @abstractmethod
    def shape_fault(self, given: object) -> Remark | None:
        """Why this can't be an answer; None when it can be one (right or wrong)."""

    @abstractmethod
    def marks(self, given: Any, orders: Orders | None) -> Marked:
        """The worth of an answer without a `shape_fault`."""

    @abstractmethod
    def guessed(self, beside: Beside) -> Spread:
        """Which marks guessing gets, with which chances."""

    @abstractmethod
    def given_words(self, given: Any, shown: Mapping[str, Any]) -> Said:
        """An answer as its sitter would say it; nothing here tells whether it is right."""

    @abstractmethod
    def told(self, given: Any, shown: Mapping[str, Any], beside: Beside, *, is_right: bool) -> Told:
        """What was given and what was right, and what is wrong with an answer that is not."""

    @abstractmethod
    def key_words(self, titles: Mapping[str, str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """What is right and what is wrong, in words, for those who write."""

    @abstractmethod
    def key_shown(self, beside: Beside | None) -> dict[str, Any]:
        """What its template shows those who write; beside nothing where it doesn't fit."""

    def unit_fault(self, given: object) -> Remark | None:
        """Which units would do, where a number was given with none, or with one that cannot be
        read; None otherwise.
        """
        return None

    def misfits(self, writeup: WriteUp) -> tuple[Remark, ...]:
        """Why this can't be asked beside a text of the write-up that has all its steps."""
        return ()

    def faults(self, beside: Beside, *, fits: bool, mirror: bool) -> tuple[Remark, ...]:
        """Why else this can't be asked, whether or not it fits the text."""
        return ()

    def drawings(self) -> tuple[str, ...]:
        """The names of the drawings that it shows beside those in its words."""
        return ()

    def may_mirror(self, beside: Beside) -> bool:
        """Whether its drawings may be shown mirrored."""
        return True

    def drawn(self, beside: Beside, chance: Random) -> dict[str, Any]:
        """In which order its parts are shown in one sitting."""
        return {"order": []}

    def labels(self, shown: Mapping[str, Any]) -> tuple[str, ...]:
        """The words of its options, steps or left halves, in the order shown."""
        return ()

    def partners_shown(self, shown: Mapping[str, Any]) -> tuple[tuple[int, str], ...]:
        """Every partner on offer with its place in the author's list, in the order shown."""
        return ()

    def option_drawings(self, shown: Mapping[str, Any]) -> tuple[str, ...]:
        """The name of the drawing of each option, in the order shown; empty where it has none."""
        return ()

    def drawing_to_point_at(self) -> str:
        """The name of the drawing on which a spot is to be found; empty where there is none."""
        return ""

    def right_regions(self) -> tuple[Region, ...]:
        """Where on that drawing a spot is right."""
        return ()

    def on_offer(self) -> tuple[Option, ...]:
        """The options to choose from; empty where there are none."""
        return ()

    def the_right_one(self) -> int | None:
        """The place (from 0) of the one right option, where exactly one is to be chosen."""
        return None

    def advice(self) -> tuple[tuple[str, Remark], ...]:
        """What writing guidelines say of this kind alone: the rule's name, and what to do."""
        return ()

    def fork(self) -> tuple[tuple[str, str], ...]:
        """The one fork that it speaks of: an option for every variant; empty where it does not
        say.
        """
        return ()


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


def drop_empty(*says: str) -> tuple[str, ...]:
    """What there is to say, without what is empty."""
    return tuple(said for said in says if said)


def is_whole(given: object) -> TypeGuard[int]:
    """Whether this is a whole number that a drawing could have."""
    # To Python, True is a whole number; JSON from a browser may hold it.
    return isinstance(given, int) and not isinstance(given, bool) and abs(given) <= FARTHEST


def is_place(given: object, options: Sequence[object]) -> bool:
    """Whether this is the place of one of these."""
    return is_whole(given) and 0 <= given < len(options)


def mix_places(count: int, chance: Random) -> list[int]:
    """The places 0 to count − 1 in a drawn order."""
    places = list(range(count))
    chance.shuffle(places)
    return places
