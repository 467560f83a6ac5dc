"""What is an answer worth: from 0 to 1, wholly right or not, and what is said of it?

Nothing here asks the clock or the database; each kind of question marks its own answers.
"""

from __future__ import annotations

from collections.abc import Collection
from decimal import Decimal
from fractions import Fraction

from quizzes.kinds.kind import NOT_ANSWERED, Asked, Given, Marked, Orders

NOTHING = Marked(Fraction(0), right=False, says=(NOT_ANSWERED,))


def marks(question: Asked, given: Given, orders: Orders | None = None) -> Marked:
    """The worth of what was given (None = not answered). Raises ValueError where the answer has a
    wrong shape, or where an order is to be marked without `orders`.
    """
    if given is None:
        return NOTHING
    if fault := question.shape_fault(given):
        raise ValueError(fault.code)
    return question.marks(given, orders)


def is_too_little(questions: int, unanswered: int) -> bool:
    """Whether fewer than half of the questions were answered: too little to be marked."""
    return 2 * (questions - unanswered) < questions


def percent(marked: Collection[Marked]) -> Decimal:
    """The mean share of a sitting in percent, rounded down to two places, so that a pass is never
    rounded up.

    Worked out in whole numbers: 2/3 and 1/3 make exactly 50.
    """
    if not marked:
        return Decimal(0)
    # In fractions to the end: six thirds as floats are a hair below 2, and rounding is down.
    mean = sum((one.share for one in marked), Fraction(0)) / len(marked)
    return Decimal(int(mean * 10_000)) / 100
