"""Which marks does somebody get for one question by guessing alone?

A spread lists every share of the marks with its chance, exactly. What a guesser does is stated with
each kind.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from functools import lru_cache
from itertools import permutations
from math import comb, factorial, perm
from typing import TypeAlias

# (share of the marks, its chance), chances sum to 1
Spread: TypeAlias = tuple[tuple[Fraction, Fraction], ...]

NOTHING: Spread = ((Fraction(0), Fraction(1)),)  # an amount is not guessed


def spread_of_one(chance: Fraction) -> Spread:
    """All of the marks with this chance, else none: one option of several, or a spot that holds
    this share of a drawing.

    Raises ValueError for what is no chance.
    """
    if not 0 <= chance <= 1:
        message = f"{chance} is no chance."
        raise ValueError(message)
    return _spread({Fraction(1): chance, Fraction(0): 1 - chance})


def spread_of_some(right: int, wrong: int) -> Spread:
    """Options ticked by the toss of a coin, at least one: (right picks − wrong picks) / right ones,
    not below 0.
    """
    found: Counter[Fraction] = Counter()
    for good in range(right + 1):
        for bad in range(wrong + 1):
            found[max(Fraction(0), Fraction(good - bad, right))] += comb(right, good) * comb(
                wrong, bad
            )
    found[Fraction(0)] -= 1  # nothing ticked is no answer
    return _spread(
        {share: Fraction(many, 2 ** (right + wrong) - 1) for share, many in found.items()}
    )


# Up to 5,040 orders are walked for each question, and odds ask for the same ones again.
@lru_cache(maxsize=512)
def spread_of_order(
    steps: tuple[str, ...], demanded: tuple[tuple[str, str], ...], right_orders: int
) -> Spread:
    """Any order, each as likely: right ones get all, others (pairs kept − pairs broken) / pairs
    demanded, not below 0.

    `demanded` are the pairs (a, b) of which a stands before b in every right order; of the orders
    that keep them all, `right_orders` are right, and any other one counts as if it broke one more
    pair.
    """
    broken: Counter[int] = Counter()
    for order in permutations(steps):
        place = {step: at for at, step in enumerate(order)}
        broken[sum(place[first] > place[then] for first, then in demanded)] += 1
    found = Counter({Fraction(1): right_orders})
    found[max(Fraction(0), Fraction(len(demanded) - 1, len(demanded) + 1))] += (
        broken.pop(0) - right_orders
    )
    for many, orders in broken.items():
        found[max(Fraction(0), Fraction(len(demanded) - 2 * many, len(demanded)))] += orders
    return _spread(
        {share: Fraction(orders, factorial(len(steps))) for share, orders in found.items()}
    )


def spread_of_pairs(many: int, on_offer: int) -> Spread:
    """Partners taken by lot, none twice, one for each of `many`: a share for each that fits (as
    fixed points of a shuffle).

    Raises ValueError where there are fewer partners than places.
    """
    if not 0 < many <= on_offer:
        message = "There must be a partner for each."
        raise ValueError(message)
    ways = perm(on_offer, many)
    return _spread(
        {
            Fraction(fits, many): Fraction(
                comb(many, fits) * _no_fit(many - fits, on_offer - fits), ways
            )
            for fits in range(many + 1)
        }
    )


def spread_of_pairs_each(many: int, on_offer: int) -> Spread:
    """The same where a partner may be taken more than once, so that each is guessed by itself."""
    ways = on_offer**many
    return _spread(
        {
            Fraction(fits, many): Fraction(comb(many, fits) * (on_offer - 1) ** (many - fits), ways)
            for fits in range(many + 1)
        }
    )


def _no_fit(many: int, on_offer: int) -> int:
    """Ways to give each of `many` another partner than its own, none twice (inclusion and
    exclusion).
    """
    return sum(
        (-1) ** fits * comb(many, fits) * perm(on_offer - fits, many - fits)
        for fits in range(many + 1)
    )


def _spread(chances: dict[Fraction, Fraction]) -> Spread:
    return tuple(sorted((share, chance) for share, chance in chances.items() if chance))
