"""Choose all: which of the options are right?"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, ClassVar

from procedures.writeup.remarks import Remark, remark
from quizzes.kinds.fields import Field, PickSome
from quizzes.kinds.kind import Beside, Marked, Orders, drop_empty, is_place
from quizzes.kinds.options import OfOptions
from quizzes.psychometrics.guessing import Spread, spread_of_some

ALL = "choose all"


@dataclass(frozen=True, slots=True)
class ChooseAll(OfOptions):
    """One or more of the options are right. An answer is a list of places."""

    kind: ClassVar[str] = ALL
    field: ClassVar[Field] = PickSome(remark("pick-some"), remark("pick-some-missing"))

    @classmethod
    def number_fault(cls, right: int) -> Remark | None:
        return None if right else remark("none-right")

    def advice(self) -> tuple[tuple[str, Remark], ...]:
        right = sum(option.right for option in self.options)
        found = []
        if right == 1:
            found.append(remark("one-right-of-all"))
        if right == len(self.options):
            found.append(remark("all-right-of-all"))
        # Both are one rule of advice: ticking says more where some are right and some are not.
        return tuple(("one-right-of-all", said) for said in found)

    def picked(self, given: Any) -> Collection[int]:
        return frozenset(given)

    def shape_fault(self, given: object) -> Remark | None:
        if not isinstance(given, list | tuple) or not all(
            is_place(place, self.options) for place in given
        ):
            return remark("not-shown")
        return None if len(set(given)) == len(given) else remark("option-chosen-twice")

    def marks(self, given: Any, orders: Orders | None) -> Marked:
        picked = set(given)
        right = {place for place, option in enumerate(self.options) if option.right}
        # Wrong picks count against it, else ticking everything would earn full marks.
        share = max(Fraction(0), Fraction(len(picked & right) - len(picked - right), len(right)))
        says = drop_empty(
            *(
                option.says
                for place, option in enumerate(self.options)
                if place in picked or option.right
            )
        )
        return Marked(share, picked == right, says)

    def guessed(self, beside: Beside) -> Spread:
        right = sum(option.right for option in self.options)
        return spread_of_some(right, len(self.options) - right)
