"""Which questions does a sitting ask, and in which order are its options and steps shown?

Everything comes from one `random.Random(seed)`, so that a sitting's draw can be made again from its seed and its bank.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations
from random import Random

from quizzes.marking.marks import Orders

TRIES = 200


@dataclass(frozen=True, slots=True)
class Candidate:
    """One question that could be asked."""

    key: int
    writeup: str
    critical: bool


def draw(bank: Sequence[Candidate], size: int, chance: Random) -> tuple[int, ...]:
    """Keys of the questions asked, in their order: every critical one, and others up to `size`, spread over the write-ups."""
    drawn = [one for one in bank if one.critical]
    waiting: dict[str, list[Candidate]] = {}
    for one in bank:
        if not one.critical:
            waiting.setdefault(one.writeup, []).append(one)
    for others in waiting.values():
        chance.shuffle(others)
    asked = {name: sum(one.writeup == name for one in drawn) for name in waiting}
    while len(drawn) < size and any(waiting.values()):
        # The write-up with the fewest questions so far gives the next one.
        name = min((name for name in waiting if waiting[name]), key=lambda name: (asked[name], name))
        drawn.append(waiting[name].pop())
        asked[name] += 1
    chance.shuffle(drawn)
    return tuple(one.key for one in drawn)


def mixed(count: int, chance: Random) -> list[int]:
    """The places 0 to count − 1 in a drawn order."""
    places = list(range(count))
    chance.shuffle(places)
    return places


def wrong_order(steps: Sequence[str], orders: Orders, chance: Random) -> tuple[str, ...]:
    """A drawn order of the steps that is not right. Raises ValueError where every order is right."""
    for _ in range(TRIES):
        tried = [steps[place] for place in mixed(len(steps), chance)]
        if not orders.is_right(tried):
            return tuple(tried)
    # Nearly all orders are right: look for a wrong one in turn.
    for order in permutations(steps):
        if not orders.is_right(order):
            return order
    message = "Every order of these steps is right."
    raise ValueError(message)
