"""What does a number of right answers say about how much somebody really knows?

Here each question is answered right with the true level, by itself (the binomial model), and there
is no guessing apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import comb, fsum

LONGEST = 300  # questions


@dataclass(frozen=True, slots=True)
class Shortest:
    """A quiz length with its pass mark, and the chances that the two true levels are told
    rightly.
    """

    questions: int
    need: int
    able_pass: float
    weak_fail: float


def chance_of_at_least(right: int, questions: int, level: Fraction | float) -> float:
    """The chance of at least so many right answers, each right with this chance; exact sums of
    positive terms.
    """
    p = float(level)
    # Sums of rounded terms can end a hair above 1.
    return min(
        1.0,
        fsum(
            comb(questions, k) * p**k * (1 - p) ** (questions - k)
            for k in range(max(right, 0), questions + 1)
        ),
    )


def _tails(questions: int, level: Fraction | float) -> list[float]:
    """The chance of at least 0, 1, 2 … right answers."""
    # The tails of every pass mark in one call; summing them one by one is quadratic.
    from scipy.stats import binom

    return [float(one) for one in binom.sf(range(-1, questions), questions, float(level))]


@lru_cache(maxsize=64)  # each quiz is asked the same, where nobody asks for other levels
def shortest_quiz(weak: Fraction, able: Fraction, sure: Fraction) -> Shortest | None:
    """The fewest questions with a pass mark at which the able pass and the weak fail, each with at
    least this chance.

    The problem is that of R. R. Wilcox (J. Educ. Stat. 1, 1976). Of several pass marks, the one
    with the larger of the smaller chances. None where even `LONGEST` questions are too few. Raises
    ValueError unless weak is below able.
    """
    if not 0 <= weak < able <= 1:
        message = "The weak level must lie below the able one, both from 0 to 1."
        raise ValueError(message)
    for questions in range(1, LONGEST + 1):
        by_need = zip(_tails(questions, able), _tails(questions, weak), strict=True)
        found = [
            Shortest(questions, need, pass_able, 1 - pass_weak)
            for need, (pass_able, pass_weak) in enumerate(by_need)
        ]
        best = max(found, key=lambda one: min(one.able_pass, one.weak_fail))
        if min(best.able_pass, best.weak_fail) >= sure:
            return best
    return None


def chance_of_mastery(
    right: int, questions: int, mark: Fraction | float, prior: tuple[float, float] = (1.0, 1.0)
) -> float:
    """The chance that the true level is at least the mark, after so many right answers, from a beta
    prior.

    The prior (1, 1) holds every true level for as likely before the quiz; (0.5, 0.5) is that of
    Jeffreys. With (1, 1) it is the chance that questions + 1 tries at the mark give at most `right`
    right ones.
    """
    if prior == (1.0, 1.0):
        return 1 - chance_of_at_least(right + 1, questions + 1, mark)
    from scipy.special import betaincc

    return float(betaincc(prior[0] + right, prior[1] + questions - right, float(mark)))
