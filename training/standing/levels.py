"""Which rules hold on a day, which levels come before which, and on what days do the rules
change?
"""

from bisect import bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from training.standing.evidence import LevelRules, NotInShopError


@dataclass(frozen=True, slots=True, eq=False)
class RuleBook:
    """The rules of all levels in one stretch of days in which none of them changes."""

    rules: Mapping[str, LevelRules]
    before: Mapping[str, frozenset[str]]
    """Every level that comes before one, through any number of steps; a level in a circle comes
    before itself.
    """
    fed_by: Mapping[str, tuple[str, ...]]
    """The levels whose jobs count for a level: itself and each that it comes before."""

    def of(self, level: str) -> LevelRules:
        """Return the rules of a level; raises NotInShopError when the shop has no such level."""
        if level not in self.rules:
            raise NotInShopError(f"There is no level {level!r} in this shop.")
        return self.rules[level]

    def in_a_circle(self, level: str) -> bool:
        """Say whether a level asks, through its earlier levels, for itself; nobody can then hold
        it.
        """
        return level in self.before.get(level, ())


class RuleBooks:
    """The rule books of a shop, by day. A day before a level's first version is read by that first
    version.
    """

    def __init__(self, versions: Mapping[str, list[LevelRules]]) -> None:
        self._versions = versions
        self.changes = tuple(
            sorted({v.from_day for vs in versions.values() for v in vs if v.from_day is not None})
        )
        # By stretch and not by day: a question over 50 years meets only a handful of books.
        self._books: dict[int, RuleBook] = {}

    def on(self, day: date) -> RuleBook:
        """Return the rules that hold on a day."""
        # bisect_right, since a version holds on its first day already.
        stretch = bisect_right(self.changes, day) if self.changes else 0
        book = self._books.get(stretch)
        if book is None:
            book = self._books[stretch] = _rule_book(
                version_on(vs, day) for vs in self._versions.values()
            )
        return book

    def between(self, first: date, until: date) -> tuple[RuleBook, ...]:
        """Return the rule books of a day and of every later one up to another."""
        return (self.on(first), *(self.on(day) for day in self.changes if first < day <= until))


def version_on(versions: list[LevelRules], day: date) -> LevelRules:
    """Return the version of one level that holds on a day; `versions` are in the order of their
    first days.
    """
    # A day before the first version is read by it: the shop's paper is older than its rules here.
    chosen = versions[0]
    for version in versions:
        if version.from_day is None or version.from_day <= day:
            chosen = version
    return chosen


def _rule_book(versions: Iterable[LevelRules]) -> RuleBook:
    rules = {version.level: version for version in versions}
    before = {level: _all_before(level, rules) for level in rules}
    feeding = {
        # `other != level`: in a circle a level comes before itself, and its jobs would count twice.
        level: [other for other in rules if other != level and level in before[other]]
        for level in rules
    }
    fed_by = {level: (level, *others) for level, others in feeding.items()}
    return RuleBook(rules, before, fed_by)


def _all_before(level: str, rules: Mapping[str, LevelRules]) -> frozenset[str]:
    found: set[str] = set()
    waiting = list(rules[level].earlier)
    while waiting:
        earlier = waiting.pop()
        # Also what ends the walk where levels ask for each other in a circle.
        if earlier not in found:
            found.add(earlier)
            # A folder may name an earlier level that the shop
            # has not; the rule then fails, nothing raises.
            waiting.extend(rules[earlier].earlier if earlier in rules else ())
    return frozenset(found)
