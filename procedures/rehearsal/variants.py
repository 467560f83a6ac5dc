"""Which combinations of options are there, and which steps apply to one?"""

from collections.abc import Mapping, Sequence
from itertools import product
from math import prod

from procedures.rehearsal.cases import ALL, NONE, Cases, TooManyCases
from procedures.writeup.model import Condition, Step, WriteUp
from procedures.writeup.names import make_plain

MOST_LISTED = 100_000


def agrees(only_if: Sequence[Condition], combination: Mapping[str, str]) -> bool:
    """Do all conditions hold for this combination? A variant that it does not name meets no
    condition.
    """
    chosen = {make_plain(variant): make_plain(option) for variant, option in combination.items()}
    return all(
        chosen.get(make_plain(condition.variant), "")
        in {make_plain(option) for option in condition.options}
        for condition in only_if
    )


def steps_for(writeup: WriteUp, combination: Mapping[str, str]) -> tuple[Step, ...]:
    """The steps that apply to this combination, in the order of the text."""
    return tuple(step for step in writeup.steps if agrees(step.only_if, combination))


def combinations(writeup: WriteUp) -> tuple[dict[str, str], ...]:
    """Every combination of options that a fork can have, by the order of the header.

    Raises TooManyCases when there are more than 100,000 to list; rehearsing does not need the list.
    """
    if prod(len(variant.options) for variant in writeup.variants) > MOST_LISTED:
        raise TooManyCases
    names = [variant.name for variant in writeup.variants]
    every = (
        dict(zip(names, chosen, strict=True))
        for chosen in product(*(variant.options for variant in writeup.variants))
    )
    return tuple(
        each for each in every if not any(agrees(never.conditions, each) for never in writeup.never)
    )


class Choices:
    """The options of a write-up as cases: which combinations meet a condition, and how a set of
    options is written.
    """

    def __init__(self, writeup: WriteUp) -> None:
        """Raises TooManyCases."""
        asked = {
            make_plain(condition.variant) for step in writeup.steps for condition in step.only_if
        }
        asked |= {
            make_plain(condition.variant)
            for never in writeup.never
            for condition in never.conditions
        }
        # A variant that nothing asks for cannot change anything, so it takes no part.
        self._variants = tuple(
            variant for variant in writeup.variants if make_plain(variant.name) in asked
        )
        self._places = {
            make_plain(variant.name): place for place, variant in enumerate(self._variants)
        }
        self.cases = Cases([len(variant.options) for variant in self._variants])
        self.there_are = ALL
        for never in writeup.never:
            self.there_are = self.cases.without(self.there_are, self.meeting(never.conditions))
        self._written: dict[int, dict[str, str]] = {}

    def meeting(self, conditions: Sequence[Condition]) -> int:
        """The combinations in which all conditions hold; an option that the header does not have
        never holds.
        """
        met = ALL
        for condition in conditions:
            met = self.cases.both(met, self._one(condition))
        return met

    def _one(self, condition: Condition) -> int:
        place = self._places.get(make_plain(condition.variant))
        if place is None:
            return NONE
        wanted = {make_plain(option) for option in condition.options}
        options = self._variants[place].options
        return self.cases.option(
            place, [index for index, option in enumerate(options) if make_plain(option) in wanted]
        )

    def written(self, shown: int) -> dict[str, str]:
        """The fewest options that every combination showing it … has: empty when all show it, or
        when none can.
        """
        there = self.cases.both(shown, self.there_are)
        if there == NONE:
            return {}
        if there not in self._written:
            fewest = self.cases.smallest(there, self.there_are)
            self._written[there] = {
                self._variants[place].name: self._variants[place].options[option]
                for place, option in fewest
            }
        return self._written[there]
