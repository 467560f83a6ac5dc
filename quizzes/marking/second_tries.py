"""For which step does each question count, so that another about the same step can be its second
try?

A question may stand on several steps. It counts for one of them, so that the questions of a bank
fall into groups that share none: the groups are made so that each critical question has another one
beside it, where the bank has any. What the odds say is exact because of that.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
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


def find_steps(bank: Sequence[OnSteps]) -> dict[int, StepOf | None]:
    """The step for which each question (key) counts; None for one that stands on no step that a
    critical question stands on. It depends on the bank alone, not on its order.
    """
    # By key, so that the groups do not depend on the order in which rows were read.
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
    groups = _Groups(fits, found, {one.key for one in ordered if one.critical})
    for key in sorted(groups.critical):
        groups.pair(key)
    return found


class _Groups:
    """The questions by the step for which they count, as they are moved."""

    def __init__(
        self, fits: dict[int, list[StepOf]], found: dict[int, StepOf | None], critical: set[int]
    ) -> None:
        self.fits, self.found, self.critical = fits, found, critical

    def at(self, step: StepOf) -> list[int]:
        """The questions that count for a step."""
        return [key for key, where in self.found.items() if where == step]

    def pair(self, key: int) -> None:
        """Another question beside a critical one that is alone, where one can be had."""
        alone = self.found[key]
        if alone is None or len(self.at(alone)) > 1 or self._feed(alone, {alone}):
            return
        joined = max(self.fits[key], key=lambda step: (len(self.at(step)), step))
        if self.at(joined):
            self.found[key] = joined

    def _feed(self, step: StepOf, asked: set[StepOf]) -> bool:
        """Moves a question to this step from one that can spare it, or that is fed itself."""
        for key, where in self.found.items():
            if where is None or where in asked or step not in self.fits[key]:
                continue
            # As in an augmenting path: a step that cannot spare one may, once it is fed itself.
            if self._can_spare(where, key) or self._feed(where, asked | {where}):
                self.found[key] = step
                return True
        return False

    def _can_spare(self, step: StepOf, key: int) -> bool:
        """Whether no critical question is alone at a step without this one."""
        left = [other for other in self.at(step) if other != key]
        return len(left) != 1 or left[0] not in self.critical
