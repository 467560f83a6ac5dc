"""How hard is each item, whoever answers it (Rasch's model, by conditional maximum likelihood)?

logit P(right) = ability − difficulty. Given a total score the ability drops out, so that the item
totals and the counts of scores are all that is needed, however many people there are (E. B.
Andersen, J. R. Stat. Soc. B 32, 1970). Difficulties sum to 0. The elementary symmetric functions
are taken as chances of a sum of independent answers at ability 0: sums of positive numbers only, so
that nothing cancels and nothing overflows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import exp
from typing import TYPE_CHECKING

from procedures.writeup.remarks import Remark, remark
from quizzes.psychometrics.responses import Counts

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

STEPS = 100
CLOSE = 1e-9  # the largest step of a difficulty at which it stands still

ALL_RIGHT = remark("all-have-right")
ALL_WRONG = remark("all-have-wrong")
APART = remark("items-apart")
TOO_FEW = remark("scores-tell-nothing")


@dataclass(frozen=True, slots=True)
class Difficulty:
    """The difficulty of one item in logits with its standard error; both None where `note` says why
    there is none.
    """

    item: str
    difficulty: float | None
    se: float | None
    note: Remark | None = None


@dataclass(frozen=True, slots=True)
class Fit:
    """Difficulties that sum to 0, their standard errors, and the conditional log-likelihood
    there.
    """

    difficulties: tuple[float, ...]
    errors: tuple[float, ...]
    log_likelihood: float


@dataclass(frozen=True, slots=True)
class ComparedItems:
    """Items (by place) that these people compare with each other, and how many people have each
    score within them.
    """

    places: tuple[int, ...]
    by_score: tuple[int, ...]


def difficulties(counts: Counts) -> tuple[Difficulty, ...]:
    """The difficulty of every item that has one; those that have one sum to 0."""
    totals = counts.right_by_score().sum(axis=1).tolist()
    by_score = counts.by_score().tolist()
    # Only people with some right and some wrong tell one item from another.
    if not sum(by_score[1:-1]):
        return tuple(Difficulty(item, None, None, TOO_FEW) for item in counts.items)
    found: dict[int, Difficulty] = {}
    parts = part_comparable(totals, by_score)
    large = [number for number, part in enumerate(parts) if len(part.places) > 1]
    for number, part in enumerate(parts):
        # Parts that nobody compares have no distance from each other, so no common scale.
        if large == [number]:
            fit = fit_difficulties([totals[place] for place in part.places], part.by_score)
            estimates = zip(part.places, fit.difficulties, fit.errors, strict=True)
            found |= {
                place: Difficulty(counts.items[place], at, error) for place, at, error in estimates
            }
        else:
            note = APART if len(large) != 1 else ALL_RIGHT if number < large[0] else ALL_WRONG
            found |= {
                place: Difficulty(counts.items[place], None, None, note) for place in part.places
            }
    return tuple(found[place] for place in range(len(counts.items)))


def part_comparable(totals: Sequence[int], by_score: Sequence[int]) -> tuple[ComparedItems, ...]:
    """The parts that the items fall into, from easy to hard; one part where every item has a finite
    estimate.

    Between two parts everybody has all of the easier part right before any of the harder one, so
    that their distance has no end. That is so behind the m easiest items exactly when their right
    answers are as many as could be: the sum of min(score, m) over the people. (The same as G. H.
    Fischer's condition, Psychometrika 46, 1981, from the counts alone.)
    """
    places = sorted(range(len(totals)), key=lambda place: -totals[place])
    edges, right = [0], 0
    for many, place in enumerate(places, start=1):
        right += totals[place]
        most = sum(people * min(score, many) for score, people in enumerate(by_score))
        if right == most or many == len(places):
            edges.append(many)
    return tuple(
        ComparedItems(tuple(sorted(places[low:high])), _within(by_score, low, high))
        for low, high in pairwise(edges)
    )


def fit_difficulties(totals: Sequence[int], by_score: Sequence[int]) -> Fit:
    """The maximum of the conditional likelihood, by Newton's method with the exact second
    derivatives.

    `totals` are right answers by item (at least two items), `by_score` people by score, 0 to all.
    Raises ValueError where there is no finite maximum (see `part_comparable`).
    """
    import numpy as np

    if len(part_comparable(totals, by_score)) != 1 or len(totals) < 2:
        message = "These counts have no finite maximum."
        raise ValueError(message)
    people = np.asarray(by_score, dtype=float)
    # Those with all right tell nothing of which item is harder; those with none have no right ones.
    right = np.asarray(totals, dtype=float) - people[-1]
    telling = people[1:-1].sum()
    # A half on both sides keeps the start finite; Newton's method only needs to begin near.
    at = np.log((telling - right + 0.5) / (right + 0.5))
    at -= at.mean()
    height = _log_likelihood(at, right, people)
    for _ in range(STEPS):
        expected, information = _derivatives(at, people)
        step = _solved(information, expected - right)
        at, height = _uphill(at, step, height, right, people)
        if abs(step).max() < CLOSE:
            break
    _, information = _derivatives(at, people)
    return Fit(
        tuple(at.tolist()), tuple(np.sqrt(np.diag(_covariance(information))).tolist()), height
    )


def ability(difficulties: Sequence[float], score: int) -> tuple[float, float]:
    """The ability (logits) at which this score is the expected one, and its standard error (maximum
    likelihood).

    Raises ValueError for none right and all right, where there is no finite estimate.
    """
    if not 0 < score < len(difficulties):
        message = "None right and all right have no finite ability."
        raise ValueError(message)
    # Forty logits beyond every item no score is left to expect, so the answer lies between.
    low, high = min(difficulties) - 40.0, max(difficulties) + 40.0
    # Halved 200 times, which is beyond the digits of a float.
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (
            (middle, high)
            if sum(_logistic(middle - b) for b in difficulties) < score
            else (low, middle)
        )
    chances = [_logistic(middle - b) for b in difficulties]
    return middle, sum(p * (1 - p) for p in chances) ** -0.5


def _logistic(x: float) -> float:
    # exp(710) is more than a float holds.
    return 1 / (1 + exp(-x)) if x > -700 else 0.0


def _within(by_score: Sequence[int], low: int, high: int) -> tuple[int, ...]:
    """People by score within the items from place `low` to `high` of the order from easy to
    hard.
    """
    found = [0] * (high - low + 1)
    for score, people in enumerate(by_score):
        found[min(max(score - low, 0), high - low)] += people
    return tuple(found)


def _uphill(
    at: Floats, step: Floats, height: float, right: Floats, people: Floats
) -> tuple[Floats, float]:
    """A step that does not go down: the whole one, or as often halved as it takes."""
    for _ in range(STEPS):
        there = _log_likelihood(at + step, right, people)
        # Near the top the likelihood is flat to the last digit, and a strict rise would never come.
        if there >= height - 1e-9 * abs(height):
            break
        step = step / 2
    return at + step, there


def _log_likelihood(at: Floats, right: Floats, people: Floats) -> float:
    import numpy as np

    chances = 1 / (1 + np.exp(at))
    sums = np.log(_sums(chances)[1:-1]) - np.log1p(-chances).sum()
    return float(-(at @ right) - people[1:-1] @ sums)


def _sums(chances: Floats) -> Floats:
    """The chance of each sum of independent answers: the elementary symmetric functions, each
    divided by the same number.
    """
    import numpy as np

    found = np.zeros(len(chances) + 1)
    found[0] = 1.0
    for chance in chances:
        found[1:] = found[1:] * (1 - chance) + found[:-1] * chance
        found[0] *= 1 - chance
    return found


def _derivatives(at: Floats, people: Floats) -> tuple[Floats, Floats]:
    """How many right answers of each item are expected, and their covariance, given everybody's
    score.
    """
    import numpy as np

    many = len(at)
    chances = 1 / (1 + np.exp(at))
    weights = np.zeros(many + 1)
    weights[1:-1] = people[1:-1] / _sums(chances)[1:-1]
    single, double = np.empty((many, many + 1)), np.empty((many, many))
    # By halves: each item's sums without itself cost many² log many, instead of many³, and no
    # division by a chance that may be near 0.
    start = np.zeros((many + 1, many + 1))
    start[:, 0] = 1.0

    def without(low: int, high: int, rest: Floats) -> None:
        """`rest[i]` are the sums over all items outside of low to high, and without item i; its
        last row is without none.
        """
        if high - low == 1:
            single[low] = rest[-1]
            double[low] = rest[:-1, : many - 1] @ weights[2:]
            return
        middle = (low + high) // 2
        without(low, middle, _times(rest, chances, range(middle, high)))
        without(middle, high, _times(rest, chances, range(low, middle)))

    without(0, many, start)
    # [item, score]: the chance to have the item right, given the score
    given = np.zeros((many, many + 1))
    given[:, 1:] = (
        chances[:, None]
        * single[:, :-1]
        * (weights[1:] / np.where(people[1:] > 0, people[1:], 1.0))
    )
    expected = given @ people
    both = chances[:, None] * chances * double
    both[np.diag_indices(many)] = expected
    return expected, both - (given * people) @ given.T


def _times(rest: Floats, chances: Floats, items: range) -> Floats:
    """The sums with these items added, except that row i stays without item i."""
    for item in items:
        kept = rest[item].copy()
        added = rest * (1 - chances[item])
        added[:, 1:] += rest[:, :-1] * chances[item]
        added[item] = kept
        rest = added
    return rest


def _solved(information: Floats, slope: Floats) -> Floats:
    """The Newton step among difficulties that sum to 0."""
    import numpy as np

    # The information is singular along (1, 1, … 1); a constant added fills that direction alone.
    step: Floats = np.linalg.solve(information + 1 / len(slope), slope).astype(np.float64)
    found: Floats = step - step.mean()
    return found


def _covariance(information: Floats) -> Floats:
    """The inverse among difficulties that sum to 0."""
    import numpy as np

    many = len(information)
    found: Floats = np.linalg.inv(information + 1 / many).astype(np.float64) - 1 / many
    return found
