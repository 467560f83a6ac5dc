"""How likely does somebody pass a quiz as it stands, who knows so much of the bank and guesses the rest?

Exact, by adding up the marks question by question (convolution), for every draw that the quiz can make; nothing is
simulated. Somebody who knows a share of the bank knows each question with that chance, by itself, and has it wholly right;
the others are guessed. Terms are chances, never negative, so that floats lose nothing to cancellation.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from typing import TYPE_CHECKING

from quizzes.psychometrics.guessing import Spread

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

LEVELS = tuple(Fraction(percent, 100) for percent in range(50, 100, 5))  # what people know of the bank
CURVE = tuple(Fraction(percent, 100) for percent in range(0, 101, 5))
ABLE = Fraction(9, 10)  # an able mechanic knows so much of the bank
MOST_GUESSERS = 0.01  # warned of above: 1 guesser in 100 passes
MOST_ABLE_FAIL = 0.2  # warned of above: 1 able mechanic in 5 fails


@dataclass(frozen=True, slots=True)
class Pool:
    """Questions (by what guessing gets) of which a quiz draws so many, each as likely; critical ones must be wholly right."""

    questions: tuple[Spread, ...]
    drawn: int
    critical: bool = False

    def __post_init__(self) -> None:
        if not 0 <= self.drawn <= len(self.questions):
            message = "A quiz can't draw more questions than there are."
            raise ValueError(message)


def needed(questions: int, percent: int) -> int:
    """The fewest whole marks that reach a pass mark in percent, in whole numbers (56 % of 25 is 14, not 15)."""
    return -(-questions * percent // 100)


def least_marks(questions: int, percent: int) -> Fraction:
    """The sum of marks, parts of marks included, that reaches a pass mark in percent; exact."""
    return Fraction(questions * percent, 100)


def passing(pools: Sequence[Pool], least: Fraction | int, levels: Sequence[Fraction | float]) -> tuple[float, ...]:
    """The chance to get at least these marks with every critical question right, for each share of the bank known."""
    import numpy as np

    unit = lcm(1, *(share.denominator for pool in pools for spread in pool.questions for share, _ in spread))
    knows = np.array([float(level) for level in levels])[:, None]
    marks = np.ones((len(levels), 1))
    for pool in pools:
        marks = _joined(marks, _pool_marks(pool, unit, knows))
    # Missing critical marks are left out of the sum, not only wrong: what remains are the ways to pass them.
    first = -(-Fraction(least) * unit // 1)
    return tuple(float(min(chance, 1.0)) for chance in marks[:, max(int(first), 0) :].sum(axis=1))


def distribution(pools: Sequence[Pool], level: Fraction | float = 0) -> dict[Fraction, float]:
    """The chance of each sum of marks, for somebody who knows this share; sums to 1 where no question is critical."""
    import numpy as np

    unit = lcm(1, *(share.denominator for pool in pools for spread in pool.questions for share, _ in spread))
    marks = np.ones((1, 1))
    for pool in pools:
        marks = _joined(marks, _pool_marks(pool, unit, np.array([[float(level)]])))
    return {Fraction(place, unit): chance for place, chance in enumerate(marks[0].tolist()) if chance}


def alike(options: int, questions: int, critical: int = 0) -> tuple[Pool, ...]:
    """The pools of a quiz of questions with so many options each, one right; so many of them critical.

    Raises ValueError for numbers that make no quiz.
    """
    from quizzes.psychometrics.guessing import right_or_wrong

    if options < 1 or questions < 1 or not 0 <= critical <= questions:
        message = "A quiz has at least one question, each at least one option, and no more critical ones than questions."
        raise ValueError(message)
    spread = right_or_wrong(Fraction(1, options))
    others = questions - critical
    return (Pool((spread,) * critical, critical, critical=True), Pool((spread,) * others, others))


def _pool_marks(pool: Pool, unit: int, knows: Floats) -> Floats:
    """[level, marks in units]: the chances of the marks from one pool, over all draws."""
    import numpy as np

    every, most = len(pool.questions), pool.drawn
    marks = np.zeros((most + 1, len(knows), most * unit + 1))
    marks[0, :, 0] = 1.0
    for seen, spread in enumerate(pool.questions, start=1):
        # In turn each question is taken with the chance that a draw takes it after so many taken before it.
        fresh = np.zeros_like(marks)
        for taken in range(max(0, most - (every - seen + 1)), min(seen, most + 1)):
            chance = (most - taken) / (every - seen + 1)
            if chance < 1:
                fresh[taken] += (1 - chance) * marks[taken]
            if chance > 0:
                _add_question(fresh[taken + 1], chance * marks[taken], spread, unit, knows, critical=pool.critical)
        marks = fresh
    found: Floats = marks[most]
    return found


def _add_question(
    into: Floats, marks: Floats, spread: Spread, unit: int, knows: Floats, *, critical: bool
) -> None:
    into[:, unit:] += knows * marks[:, : marks.shape[1] - unit]
    for share, chance in spread:
        if critical and share < 1:
            continue
        by = int(share * unit)
        into[:, by:] += (1 - knows) * float(chance) * marks[:, : marks.shape[1] - by]


def _joined(one: Floats, other: Floats) -> Floats:
    """The chances of the sum of two independent marks, level by level."""
    import numpy as np

    return np.array([np.convolve(first, then) for first, then in zip(one, other, strict=True)])
