"""From which questions does a quiz draw how many, whatever the seed?

`draws.draw` takes every critical question, and then in turn from the write-up with the fewest questions so far. So the
number from each write-up is fixed, and within it each question is as likely as any other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from quizzes.marking.draws import Candidate


@dataclass(frozen=True, slots=True)
class Pot:
    """Questions (by key) of which so many are drawn, each as likely."""

    keys: tuple[int, ...]
    drawn: int
    critical: bool


def pots(bank: Sequence[Candidate], size: int) -> tuple[Pot, ...]:
    """The critical ones, all of them, and the others of each write-up with how many of them come."""
    critical = tuple(one.key for one in bank if one.critical)
    others: dict[str, list[int]] = {}
    for one in bank:
        if not one.critical:
            others.setdefault(one.writeup, []).append(one.key)
    asked = {name: sum(one.critical and one.writeup == name for one in bank) for name in others}
    drawn = dict.fromkeys(others, 0)
    for _ in range(size - len(critical)):
        waiting = [name for name in others if drawn[name] < len(others[name])]
        if not waiting:
            break
        drawn[min(waiting, key=lambda name: (asked[name] + drawn[name], name))] += 1
    return (
        Pot(critical, len(critical), critical=True),
        *(Pot(tuple(keys), drawn[name], critical=False) for name, keys in others.items()),
    )
