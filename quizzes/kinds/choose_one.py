"""Choose one: which of the options is right?"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, ClassVar

from procedures.writeup.remarks import Remark, remark
from quizzes.kinds.fields import Field, PickOne
from quizzes.kinds.kind import Beside, Marked, Orders, drop_empty, is_place
from quizzes.kinds.options import OfOptions
from quizzes.psychometrics.guessing import Spread, spread_of_one

ONE = "choose one"


@dataclass(frozen=True, slots=True)
class ChooseOne(OfOptions):
    """Exactly one of the options is right. An answer is its place."""

    kind: ClassVar[str] = ONE
    field: ClassVar[Field] = PickOne(remark("pick-one"), remark("pick-one-missing"))

    @classmethod
    def number_fault(cls, right: int) -> Remark | None:
        if right == 1:
            return None
        return remark("not-one-right", count=right)

    def the_right_one(self) -> int | None:
        return next(place for place, option in enumerate(self.options) if option.right)

    def picked(self, given: Any) -> Collection[int]:
        return (int(given),)

    def shape_fault(self, given: object) -> Remark | None:
        return None if is_place(given, self.options) else remark("choose-one-shown")

    def marks(self, given: Any, orders: Orders | None) -> Marked:
        option = self.options[given]
        return Marked(Fraction(int(option.right)), option.right, drop_empty(option.says))

    def guessed(self, beside: Beside) -> Spread:
        return spread_of_one(Fraction(1, len(self.options)))
