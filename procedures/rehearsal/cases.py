"""In which combinations of options is something so?

A set of combinations is a decision diagram: a node asks for one variant and has one child for each
option; equal nodes are one node. So a set costs what its own variants cost, however many other
variants the write-up has: only options that meet in a fact or a part are ever combined (Bryant
1986, "Graph-based algorithms for Boolean function manipulation", with as many branches as the
variant has options).
"""

from collections.abc import Collection, Iterator, Sequence

NONE = 0
ALL = 1
MOST_VARIANTS = 100  # each variant is one level of recursion
# The next three bound memory and time: options that meet everywhere have exponential diagrams.
MOST_NODES = 200_000
MOST_STEPS = 1_000_000
MOST_TRIES = 200_000


class TooManyCases(Exception):
    """The options of the write-up meet in more ways than can be worked through."""


class Cases:
    """All combinations of options, and sets of them by number: NONE, ALL, and whatever has been
    made from options.
    """

    def __init__(self, sizes: Sequence[int]) -> None:
        """One size for each variant: how many options it has. Raises TooManyCases, as every method
        does.
        """
        if len(sizes) > MOST_VARIANTS:
            raise TooManyCases
        self._sizes = tuple(sizes)
        self._starts = tuple(sum(self._sizes[:variant]) for variant in range(len(self._sizes)))
        # NONE and ALL ask for no variant, so they stand below the last one.
        self._nodes: list[tuple[int, tuple[int, ...]]] = [(len(sizes), ()), (len(sizes), ())]
        self._numbers: dict[tuple[int, tuple[int, ...]], int] = {}
        self._known: dict[tuple[str, int, int], int] = {}

    def option(self, variant: int, options: Collection[int]) -> int:
        """The combinations in which the variant has one of the options, all by number."""
        return self._node(
            variant,
            tuple(ALL if option in options else NONE for option in range(self._sizes[variant])),
        )

    def both(self, one: int, other: int) -> int:
        """The combinations in both sets."""
        if one == other or other == ALL:
            return one
        if one == NONE or other == NONE:
            return NONE
        if one == ALL:
            return other
        # In one order, so that both ways to ask share what is remembered.
        return self._apply("both", min(one, other), max(one, other))

    def either(self, one: int, other: int) -> int:
        """The combinations in at least one of the sets."""
        if one == other or other == NONE:
            return one
        if one == ALL or other == ALL:
            return ALL
        if one == NONE:
            return other
        # In one order, so that both ways to ask share what is remembered.
        return self._apply("either", min(one, other), max(one, other))

    def without(self, one: int, other: int) -> int:
        """The combinations in the first set and not in the second."""
        if one in (NONE, other) or other == ALL:
            return NONE
        if other == NONE:
            return one
        return self._apply("without", one, other)

    def smallest(self, shown: int, among: int) -> tuple[tuple[int, int], ...]:
        """The fewest options, as (variant, option), such that every combination of `among` that has
        them is in `shown`.

        At least one combination of `among` has them. With several such sets it is the one whose
        options, numbered through all variants and sorted, come first. `shown` must hold a
        combination of `among`.
        """
        hidden = self.without(among, shown)
        tries = iter(range(MOST_TRIES))
        # From the fewest on, so that the first that is found is the smallest.
        for size in range(len(self._must_be_named(hidden, among)), len(self._sizes) + 1):
            found = self._smallest(hidden, among, -1, size, tries)
            if found is not None:
                return found
        raise ValueError("Nothing is shown in any combination.")

    def _smallest(
        self, hidden: int, among: int, last: int, size: int, tries: Iterator[int]
    ) -> tuple[tuple[int, int], ...] | None:
        """The first way to choose `size` options of variants after `last` that leaves nothing
        hidden, or None.
        """
        if next(tries, None) is None:
            raise TooManyCases
        if hidden == NONE:
            return ()
        named = self._must_be_named(hidden, among)
        if size < max(1, len(named)) or (named and named[0] <= last):
            return None
        # An option of a variant that the hidden set does not ask for can't make it smaller.
        for variant in sorted(self._asked(hidden)):
            if variant <= last:
                continue
            if named and variant > named[0]:
                return None
            for option in range(self._sizes[variant]):
                left = self._fixed(among, variant, option)
                if left == NONE:
                    continue
                found = self._smallest(
                    self._fixed(hidden, variant, option), left, variant, size - 1, tries
                )
                if found is not None:
                    return ((variant, option), *found)
        return None

    def _must_be_named(self, hidden: int, among: int) -> list[int]:
        """The variants with an option whose combinations are all there and all hidden: whoever
        leaves nothing hidden names them.

        Where some combinations of the option are not there, other options could keep clear of it,
        so it proves nothing.
        """
        shown = self.without(among, hidden)
        return [
            variant
            for variant in sorted(self._asked(hidden))
            if any(
                self._fixed(shown, variant, option) == NONE
                and self._fixed(among, variant, option) == ALL
                for option in range(self._sizes[variant])
            )
        ]

    def _asked(self, cases: int) -> set[int]:
        """The variants on which it depends whether a combination is in the set."""
        asked: set[int] = set()
        seen: set[int] = set()
        waiting = [cases]
        while waiting:
            number = waiting.pop()
            if number > ALL and number not in seen:
                seen.add(number)
                variant, children = self._nodes[number]
                asked.add(variant)
                waiting.extend(children)
        return asked

    def _fixed(self, cases: int, variant: int, option: int) -> int:
        """The set as it looks when the variant has the option."""
        here, children = self._nodes[cases]
        if here > variant:
            return cases
        if here == variant:
            return children[option]
        key = ("fixed", cases, self._starts[variant] + option)
        if key not in self._known:
            self._known[key] = self._node(
                here, tuple(self._fixed(child, variant, option) for child in children)
            )
        return self._known[key]

    def _apply(self, what: str, one: int, other: int) -> int:
        key = (what, one, other)
        if key not in self._known:
            if len(self._known) >= MOST_STEPS:
                raise TooManyCases
            step = getattr(self, what)
            (first, ones), (second, others) = self._nodes[one], self._nodes[other]
            variant = min(first, second)
            size = self._sizes[variant]
            pairs = zip(
                ones if first == variant else (one,) * size,
                others if second == variant else (other,) * size,
                strict=True,
            )
            self._known[key] = self._node(
                variant, tuple(step(left, right) for left, right in pairs)
            )
        return self._known[key]

    def _node(self, variant: int, children: tuple[int, ...]) -> int:
        # A variant on which nothing depends takes no node: equal sets then have equal numbers.
        if children.count(children[0]) == len(children):
            return children[0]
        key = (variant, children)
        if key not in self._numbers:
            if len(self._nodes) >= MOST_NODES:
                raise TooManyCases
            self._numbers[key] = len(self._nodes)
            self._nodes.append(key)
        return self._numbers[key]
