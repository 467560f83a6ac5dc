"""How likely does somebody pass, where a critical question answered wrong has one second try?

Exact, as `odds` is. First answers alone make the marks; "every critical one right" asks for the
first answer or the second. Questions that count for the same step make a group, and a second try
is a question of the group that was not asked: a critical one where there is one, each as likely.
With a chance p for each answer and a second try for each, a critical question satisfies the rule
with 1 − (1 − p)²; but a wrong first answer costs its marks. So it is not enough to raise p: what
is summed is how many marks the first answers lose (all that would fail is left out), and beside
it how many second tries are needed in each group.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import comb, lcm, prod
from typing import TYPE_CHECKING

from procedures.writeup.remarks import Unreadable, remark
from quizzes.psychometrics.guessing import Spread
from quizzes.psychometrics.mastery import chance_of_at_least

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Lost = dict[int, Floats]  # by how many units of marks are lost: the chance for each level

PotCounts = tuple[int, ...]  # how many of each pot
# As floats 240 MB: what the largest table may take.
MOST_CELLS = 30_000_000


class TooLarge(Unreadable):
    """The quiz asks so many questions of so many pots that nobody would wait for it."""


@dataclass(frozen=True, slots=True)
class Item:
    """One question of a write-up: what guessing gets, in which pot it lies (each question of a pot
    is as likely to be asked as any other), and whether it is critical.
    """

    spread: Spread
    pot: int
    critical: bool


ItemGroup = tuple[
    Item, ...
]  # they count for one step; a question that counts for none is by itself


def chance_of_passing_alike(
    options: int, questions: int, critical: int, need: int, levels: Sequence[Fraction | float]
) -> tuple[float, ...]:
    """The chance to get so many of the questions right, each with so many options, at the first
    try, and so many critical ones of them at the first or the second; for each share known.
    """
    found = []
    for level in map(float, levels):
        p = level + (1 - level) / options
        others = questions - critical
        found.append(
            sum(
                comb(critical, first)
                * p**first
                * ((1 - p) * p) ** (critical - first)
                * chance_of_at_least(need - first, others, p)
                for first in range(critical + 1)
                if need - first <= others
            )
        )
    return tuple(min(1.0, chance) for chance in found)


def chance_of_passing_twice(
    writeups: Sequence[Sequence[ItemGroup]],
    draws: Mapping[tuple[PotCounts, ...], Fraction],
    percent: int,
    levels: Sequence[Fraction | float],
) -> tuple[float, ...]:
    """The chance to pass at this pass mark, for each share of the bank known. `draws` says how many
    questions of each pot of each write-up are asked, with the chance of each; every set of so many
    is as likely. Raises TooLarge.
    """
    groups = tuple(map(tuple, writeups))
    return _passing_twice(groups, tuple(draws.items()), percent, tuple(levels))


@lru_cache(maxsize=64)  # a page of a quiz is opened again and again, and nothing in it has changed
def _passing_twice(
    writeups: tuple[tuple[ItemGroup, ...], ...],
    of_draws: tuple[tuple[tuple[PotCounts, ...], Fraction], ...],
    percent: int,
    levels: tuple[Fraction | float, ...],
) -> tuple[float, ...]:
    import numpy as np

    draws = dict(of_draws)
    unit = lcm(*(share.denominator for item in _items(writeups) for share, _ in item.spread), 1)
    may_lose = {draw: unit * sum(map(sum, draw)) * (100 - percent) // 100 for draw in draws}
    most_lost = max(may_lose.values())
    knows = np.array([float(level) for level in levels])
    tables = [
        _Table(groups, [draw[place] for draw in draws], unit, most_lost, knows).filled()
        for place, groups in enumerate(writeups)
    ]
    passes = np.zeros(len(knows))
    for draw, chance in draws.items():
        lost = np.zeros((len(knows), most_lost + 1))
        lost[:, 0] = 1.0
        for table, counts in zip(tables, draw, strict=True):
            lost = np.array(
                [
                    np.convolve(one, then)[: most_lost + 1]
                    for one, then in zip(lost, table[counts], strict=True)
                ]
            )
        ways = prod(
            comb(size, count)
            for groups, counts in zip(writeups, draw, strict=True)
            for size, count in zip(_sizes(groups, len(counts)), counts, strict=True)
        )
        passes += float(chance / ways) * lost[:, : may_lose[draw] + 1].sum(axis=1)
    return tuple(float(min(chance, 1.0)) for chance in passes)


def _items(writeups: Sequence[Sequence[ItemGroup]]) -> Iterator[Item]:
    return (item for groups in writeups for group in groups for item in group)


def _sizes(groups: Sequence[ItemGroup], pots: int) -> list[int]:
    return [sum(item.pot == pot for group in groups for item in group) for pot in range(pots)]


class _Table:
    """The marks lost in one write-up, by how many questions of each pot are asked."""

    def __init__(
        self,
        groups: Sequence[ItemGroup],
        draws: Sequence[PotCounts],
        unit: int,
        most_lost: int,
        knows: Floats,
    ) -> None:
        self.groups, self.unit, self.most_lost, self.knows = groups, unit, most_lost, knows
        self.pots = len(draws[0])
        self.most = [max(counts[pot] for counts in draws) for pot in range(self.pots)]
        sizes = _sizes(groups, self.pots)
        # As many of each pot as this are not asked in any draw.
        self.spare = [size - min(counts[pot] for counts in draws) for pot, size in enumerate(sizes)]
        if prod(most + 1 for most in self.most) * len(knows) * (most_lost + 1) > MOST_CELLS:
            raise TooLarge(remark("too-many-draws"))

    def filled(self) -> Floats:
        """[counts of each pot …, level, units lost], summed over every set of questions."""
        import numpy as np

        shape = (*(most + 1 for most in self.most), len(self.knows), self.most_lost + 1)
        table = np.zeros(shape)
        # Before any question: nothing asked, nothing lost, for certain.
        table.reshape(-1, *shape[-2:])[0, :, 0] = 1.0
        for group in self.groups:
            after = np.zeros(shape)
            for counts, lost in self._of_group(group).items():
                into = after[tuple(slice(count, None) for count in counts)]
                kept = tuple(
                    slice(0, most + 1 - count)
                    for most, count in zip(self.most, counts, strict=True)
                )
                for units, chance in lost.items():
                    into[..., units:] += (
                        table[kept][..., : self.most_lost + 1 - units] * chance[:, None]
                    )
            table = after
        return table

    def _of_group(self, group: ItemGroup) -> dict[PotCounts, Lost]:
        """By how many of each pot are asked of the group: the units lost with the chances of these,
        where every critical question was right at the first or the second try.
        """
        import numpy as np

        nothing = (0,) * self.pots
        # counts, critical ones wrong, critical and other ones taken as second tries
        found: dict[tuple[PotCounts, int, int, int], Lost] = {
            (nothing, 0, 0, 0): {0: np.ones(len(self.knows))}
        }
        for item in group:
            after: dict[tuple[PotCounts, int, int, int], Lost] = defaultdict(dict)
            for state, lost in found.items():
                for then, units, chance in self._goes_on(state, item, group):
                    into = after[then]
                    for before, so_far in lost.items():
                        # What has lost more fails in every draw, so it needs no cell.
                        if before + units <= self.most_lost:
                            into[before + units] = into.get(before + units, 0.0) + so_far * chance
            found = dict(after)
        return self._with_second_tries(group, found)

    def _goes_on(
        self, state: tuple[PotCounts, int, int, int], item: Item, group: ItemGroup
    ) -> Iterator[tuple[tuple[PotCounts, int, int, int], int, Floats]]:
        """What may become of one question: asked, taken as a second try, or neither."""
        counts, wrong, critical, others = state
        asked = (*counts[: item.pot], counts[item.pot] + 1, *counts[item.pot + 1 :])
        right = self.knows + (1 - self.knows) * float(dict(item.spread).get(Fraction(1), 0))
        if asked[item.pot] <= self.most[item.pot]:
            yield (asked, wrong, critical, others), 0, right
            for share, chance in item.spread:
                if share < 1:
                    units = int((1 - share) * self.unit)
                    then = (asked, wrong + item.critical, critical, others)
                    yield then, units, (1 - self.knows) * float(chance)
        # Neither asked nor tried again, for certain, at every level known.
        yield state, 0, self.knows * 0 + 1.0
        if critical + others < sum(one.critical for one in group):
            then = (counts, wrong, critical + item.critical, others + (not item.critical))
            yield then, 0, right

    def _with_second_tries(
        self, group: ItemGroup, found: Mapping[tuple[PotCounts, int, int, int], Lost]
    ) -> dict[PotCounts, Lost]:
        """What is left of these where each wrong critical question had its second try."""
        of_pot = {item.pot: item.critical for item in group}
        there = [sum(item.critical is critical for item in group) for critical in (True, False)]
        kept: dict[PotCounts, Lost] = defaultdict(dict)
        for (counts, wrong, critical, others), lost in found.items():
            asked = [
                sum(count for pot, count in enumerate(counts) if of_pot.get(pot) is is_critical)
                for is_critical in (True, False)
            ]
            left = [many - out for many, out in zip(there, asked, strict=True)]
            # One second try for each wrong one, and others only once no critical one is left.
            if critical + others != wrong or (others and critical != left[0]):
                continue
            if any(self._is_short(group, counts)):
                continue
            ways = comb(left[0], critical) * comb(left[1], others)
            for units, chance in lost.items():
                kept[counts][units] = kept[counts].get(units, 0.0) + chance / ways
        return kept

    def _is_short(self, group: ItemGroup, counts: PotCounts) -> Iterator[bool]:
        """For each pot whether more of the group are left out than any draw leaves out."""
        for pot, spare in enumerate(self.spare):
            yield sum(item.pot == pot for item in group) - counts[pot] > spare
