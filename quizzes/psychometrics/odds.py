"""How likely does somebody pass a quiz as it stands, who knows so much of the bank and guesses the
rest?

Exact, by adding up the marks question by question (convolution), for every draw that the quiz can
make; nothing is simulated. Somebody who knows a share of the bank knows each question with that
chance, by itself, and has it wholly right; the others are guessed. Terms are chances, never
negative, so that floats lose nothing to cancellation.

Somebody who has sat once before has met questions and knows them: a part says how many of its
questions those are, each set of so many being as likely, and a pool how many of them are drawn
again. They come after all others, and are wholly right.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import comb, lcm
from typing import TYPE_CHECKING

from quizzes.psychometrics.guessing import Spread, spread_of_one

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# what people know of the bank
LEVELS = tuple(Fraction(percent, 100) for percent in range(50, 100, 5))
CURVE = tuple(Fraction(percent, 100) for percent in range(0, 101, 5))
ABLE = Fraction(9, 10)  # an able mechanic knows so much of the bank
MOST_GUESSERS = 0.01  # warned of above: 1 guesser in 100 passes
# warned of above: half of those who know only what the first sitting asked pass the second
MOST_SAT_ONCE = 0.5
MOST_ABLE_FAIL = 0.2  # warned of above: 1 able mechanic in 5 fails


@dataclass(frozen=True, slots=True)
class DrawnPart:
    """Questions (by what guessing gets) of which so many are drawn, each as likely; critical ones
    must be wholly right. So many of them were `met` before; `drawn` counts the others, and only
    those are guessed.
    """

    questions: tuple[Spread, ...]
    drawn: int = 0
    critical: bool = False
    met: int = 0

    @property
    def left(self) -> int:
        """How many that were not met can still be drawn."""
        return len(self.questions) - self.met - self.drawn


@dataclass(frozen=True, slots=True)
class Pool:
    """Parts of a bank, and how many more are drawn from what all of them have left, each as likely;
    and how many of those met before, which are known.
    """

    parts: tuple[DrawnPart, ...]
    more: int = 0
    known: int = 0

    def __post_init__(self) -> None:
        left, met = [part.left for part in self.parts], [part.met for part in self.parts]
        counts = (self.more, self.known, sum(left) - self.more, sum(met) - self.known, *left, *met)
        if min((0, *counts, *(part.drawn for part in self.parts))) < 0:
            message = "A quiz can't draw more questions than there are."
            raise ValueError(message)

    @property
    def asked(self) -> int:
        return self.more + self.known + sum(part.drawn for part in self.parts)


def count_needed(questions: int, percent: int) -> int:
    """The fewest whole marks that reach a pass mark in percent, in whole numbers (56 % of 25 is 14,
    not 15).
    """
    # Upward division in whole numbers; 0.56 · 25 as floats is a little above 14.
    return -(-questions * percent // 100)


def least_marks(questions: int, percent: int) -> Fraction:
    """The sum of marks, parts of marks included, that reaches a pass mark in percent; exact."""
    return Fraction(questions * percent, 100)


def chance_of_passing(
    pools: Sequence[Pool], least: Fraction | int, levels: Sequence[Fraction | float]
) -> tuple[float, ...]:
    """The chance to get at least these marks with every critical question right, for each share of
    the bank known.
    """
    unit = _unit(pools)
    marks = _all_marks(pools, unit, tuple(float(level) for level in levels))
    # A critical question that is not right is left out of the sums altogether: what remains are the
    # ways to pass.
    first = max(int(-(-Fraction(least) * unit // 1)), 0)
    return tuple(float(min(chance, 1.0)) for chance in marks[:, first:].sum(axis=1))


def make_alike(options: int, questions: int, critical: int = 0) -> tuple[Pool, ...]:
    """A quiz of questions with so many options each, one right; so many of them critical. Raises
    ValueError for no quiz.
    """
    if options < 1 or questions < 1 or not 0 <= critical <= questions:
        message = (
            "A quiz has at least one question, each at least one option, and no more critical "
            "ones than questions."
        )
        raise ValueError(message)
    spread, others = spread_of_one(Fraction(1, options)), questions - critical
    return (
        Pool(
            (
                DrawnPart((spread,) * critical, critical, critical=True),
                DrawnPart((spread,) * others, others),
            )
        ),
    )


def _unit(pools: Sequence[Pool]) -> int:
    """The smallest number in whose parts all marks are whole; critical questions give all or
    nothing.
    """
    # Without the critical ones fewer parts of a mark have to be told apart: smaller tables.
    parts = [part for pool in pools for part in pool.parts if not part.critical]
    return lcm(
        1,
        *(share.denominator for part in parts for spread in part.questions for share, _ in spread),
    )


def _all_marks(pools: Sequence[Pool], unit: int, levels: tuple[float, ...]) -> Floats:
    import numpy as np

    marks = np.ones((len(levels), 1))
    for pool in pools:
        marks = _joined(marks, _pool_marks(pool, unit, levels))
    return marks


@lru_cache(maxsize=64)
def _pool_marks(pool: Pool, unit: int, levels: tuple[float, ...]) -> Floats:
    """[level, marks in units]: the chances of the marks from one pool, over all its draws."""
    import numpy as np

    # By how many of the further ones are drawn so far: in how many ways, times the chances of their
    # marks.
    found: dict[int, Floats] = {0: np.ones((len(levels), 1))}
    for part in pool.parts:
        left = part.left
        each = _part_marks(part, min(part.drawn + pool.more, part.drawn + left), unit, levels)
        after: dict[int, Floats] = {}
        for before, marks in found.items():
            for more in range(min(left, pool.more - before) + 1):
                joined = comb(left, more) * _joined(marks, each[more])
                known = after.get(before + more)
                after[before + more] = joined if known is None else known + joined
        found = after
    every = sum(part.left for part in pool.parts)
    # What is known adds its marks for certain.
    return np.pad(found[pool.more] / comb(every, pool.more), ((0, 0), (pool.known * unit, 0)))


@lru_cache(maxsize=64)
def _part_marks(
    part: DrawnPart, most: int, unit: int, levels: tuple[float, ...]
) -> tuple[Floats, ...]:
    """For `part.drawn` questions of the part, and for one more each up to `most`: the chances of
    their marks.

    Which of the part's questions were met is as likely to be any of them, so that those drawn from
    the others are, all in all, any of the part's questions as likely as any other.
    """
    import numpy as np

    knows, every = np.array(levels)[:, None], len(part.questions)
    sums = np.zeros((most + 1, len(knows), most * unit + 1))  # over all draws of so many
    sums[0, :, 0] = 1.0
    for seen, spread in enumerate(part.questions, start=1):
        # A critical question that is not right makes no way to pass.
        shares = [
            (int(share * unit), (1 - knows) * float(chance))
            for share, chance in spread
            if not (part.critical and share < 1)
        ]
        # Fewer than this many so far could not become enough with the questions that are left.
        # Downward: each row is made from the one below it while that lacks this question.
        for taken in range(min(seen, most) - 1, max(part.drawn - 1 - (every - seen), 0) - 1, -1):
            _add_question(sums[taken + 1], sums[taken], unit, knows, shares)
    return tuple(
        sums[many, :, : many * unit + 1] / comb(every, many) for many in range(part.drawn, most + 1)
    )


def _add_question(
    into: Floats, marks: Floats, unit: int, knows: Floats, shares: Sequence[tuple[int, Floats]]
) -> None:
    into[:, unit:] += knows * marks[:, : marks.shape[1] - unit]
    for by, chances in shares:
        into[:, by:] += chances * marks[:, : marks.shape[1] - by]


def _joined(one: Floats, other: Floats) -> Floats:
    """The chances of the sum of two independent marks, level by level."""
    import numpy as np

    return np.array([np.convolve(first, then) for first, then in zip(one, other, strict=True)])
