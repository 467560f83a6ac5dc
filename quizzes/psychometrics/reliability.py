"""How far would the scores of these people come out the same on another such test?

Variances of items and of the total have the same divisor throughout, so that the ratio is right
(with 0/1 items alpha is then KR-20; Cronbach, Psychometrika 16, 1951). Everything undefined is
None.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

from quizzes.psychometrics.responses import Counts, moments, spread


@dataclass(frozen=True, slots=True)
class Whole:
    """The figures of a whole test; `sd` has the divisor n − 1, `sem` is sd · √(1 − alpha)."""

    people: int
    mean: float | None
    sd: float | None
    alpha: float | None
    sem: float | None


def whole_figures(counts: Counts) -> Whole:
    """The figures of the whole test. Raises ValueError where somebody was not asked every item."""
    if not counts.is_complete:
        message = "The figures of a test take everybody at every item."
        raise ValueError(message)
    people, total, squares = moments(counts.by_score().tolist())
    of_total = spread(people, total, squares)
    sd = sqrt(of_total / (people * (people - 1))) if people > 1 else None
    found = alpha(item_spreads(counts), of_total)
    # Alpha may be below 0 but never above 1, so the root is always of something.
    sem = sd * sqrt(1 - found) if sd is not None and found is not None else None
    return Whole(people, total / people if people else None, sd, found, sem)


def item_spreads(counts: Counts) -> list[int]:
    """The variance (divisor n) of right and wrong at each item, times n²."""
    rights = counts.right_by_score().sum(axis=1).tolist()
    return [
        spread(int(counts.by_score(item).sum()), right, right) for item, right in enumerate(rights)
    ]


def alpha(of_items: Sequence[int], of_total: int) -> float | None:
    """k/(k − 1) · (1 − Σ item variances / total variance), all with the same divisor; None for
    fewer than two items or without any spread.
    """
    many = len(of_items)
    if many < 2 or not of_total:
        return None
    return many * (of_total - sum(of_items)) / ((many - 1) * of_total)
