"""Which days fall below what is wanted without one person, or without any two, and on whom does the
shop lean most?

A day that is below with everybody there does not fall. Without two, a day falls where one of them
was the last that it could spare none of, or both were there and it could spare one; counting by
these cases is exact for all pairs at the price of one look at each day (inclusion and exclusion).
"""

from collections import Counter
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from itertools import combinations

from training.cover.gaps import DayCover


@dataclass(frozen=True, slots=True)
class Lean:
    """So many days of a workshop and level fall below what is wanted without these people."""

    people: tuple[str, ...]
    falls: int


def days_without(days: Iterable[DayCover], gone: Collection[str]) -> tuple[DayCover, ...]:
    """Return the same days with these people not there."""
    return tuple(
        replace(one, there=tuple(who for who in one.there if who not in gone)) for one in days
    )


def days_broken(days: Iterable[DayCover], gone: Collection[str]) -> tuple[DayCover, ...]:
    """Return the days that are enough as they are and too few without these people, as they then
    are.
    """
    # A day that is short already says nothing of whom the shop leans on.
    enough = [one for one in days if not one.missing]
    return tuple(one for one in days_without(enough, gone) if one.missing)


def people_leaned_on(days: Iterable[DayCover], size: int) -> tuple[Lean, ...]:
    """Return everybody (size 1), or every two of those who are there on some day (size 2), without
    whom some day falls; the heaviest first. Raises ValueError for another size.
    """
    if size not in (1, 2):
        raise ValueError("Only one person or two are counted.")
    falls = Counter[tuple[str, ...]]()
    alone = Counter[str]()
    everybody = set[str]()
    for one in days:
        everybody.update(one.there)
        spare = len(one.there) - one.wanted
        # By cases, since trying each pair would walk the days once for every two people of the
        # shop.
        if spare == 0:
            alone.update(one.there)
        if (
            spare in (0, 1)
            # a day that falls without either is counted once for both, and one that can spare one
            # needs both
        ):
            falls.update(dict.fromkeys(combinations(sorted(one.there), 2), 1 if spare else -1))
    if size == 1:
        falls = Counter({(person,): count for person, count in alone.items()})
    else:
        falls = Counter(
            {
                pair: falls[pair] + alone[pair[0]] + alone[pair[1]]
                for pair in combinations(sorted(everybody), 2)
            }
        )
    heaviest = sorted(falls.items(), key=lambda item: (-item[1], item[0]))
    return tuple(Lean(people, count) for people, count in heaviest if count > 0)
