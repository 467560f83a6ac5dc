"""For which step does each question count, so that another about the same step can be its second
try?

A question may stand on several steps. It counts for one of them, so that the questions of a bank
fall into groups that share none: the groups are made so that each critical question has another one
beside it, where the bank has any. What the odds say is exact because of that.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Protocol

StepOf = tuple[str, str]  # write-up, id


class OnSteps(Protocol):
    """A question with the steps that it stands on."""

    @property
    def key(self) -> int: ...
    @property
    def writeup(self) -> str: ...
    @property
    def critical(self) -> bool: ...
    @property
    def steps(self) -> frozenset[str]: ...


def by_step(bank: Sequence[OnSteps]) -> dict[int, StepOf | None]:
    """The step for which each question (key) counts; None for one that stands on no step that a
    critical question stands on. It depends on the bank alone, not on its order.
    """
    ordered = sorted(bank, key=lambda one: one.key)
    at_stake = {(one.writeup, step) for one in ordered if one.critical for step in one.steps}
    fits = {
        one.key: [
            step for step in ((one.writeup, name) for name in sorted(one.steps)) if step in at_stake
        ]
        for one in ordered
    }
    found: dict[int, StepOf | None] = dict.fromkeys(fits)
    many: Counter[StepOf] = Counter()
    standing = Counter(step for steps in fits.values() for step in steps)
    # Critical ones go where most questions stand; the others then where the fewest count so far.
    for one in sorted(ordered, key=lambda one: (not one.critical, len(fits[one.key]), one.key)):
        if fits[one.key]:
            step = min(
                fits[one.key],
                key=lambda step: (-standing[step] if one.critical else many[step], step),
            )
            found[one.key] = step
            many[step] += 1
    _pair_lonely(ordered, fits, found, many)
    return found


def _pair_lonely(
    bank: Iterable[OnSteps],
    fits: dict[int, list[StepOf]],
    found: dict[int, StepOf | None],
    many: Counter[StepOf],
) -> None:
    """Moves questions so that a critical one that is alone at its step gets another beside it."""
    rows = list(bank)
    for one in rows:
        alone = found[one.key]
        if not one.critical or alone is None or many[alone] != 1:
            continue
        with_others = [step for step in fits[one.key] if many[step]]
        joined = max(with_others, key=lambda step: (many[step], step))
        if joined != alone:
            _move(one.key, joined, found, many)
            continue
        for other in rows:
            left = found[other.key]
            if left is None or left == alone or alone not in fits[other.key]:
                continue
            if many[left] > 2 or not any(row.critical and found[row.key] == left for row in rows):
                _move(other.key, alone, found, many)
                break


def _move(key: int, step: StepOf, found: dict[int, StepOf | None], many: Counter[StepOf]) -> None:
    was = found[key]
    if was is not None:
        many[was] -= 1
    found[key] = step
    many[step] += 1
