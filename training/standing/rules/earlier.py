"""Does the person hold every level that comes first?"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from training.standing.evidence import LevelRules, Shop
from training.standing.levels import version_on
from training.standing.results import EARLIER_LEVELS, Args, Asks, EntryName, Reason, Step
from training.standing.rules.rule import HOLDS, Case, Finding, Rule, fails


class Earlier(Rule):
    """`earlier-level`: the person is alone at each level that this one names as earlier, for the
    same question; for being watched, at least watched there.
    """

    name = "earlier"
    steps = {"earlier-level": Step("earlier-level-first", "person", EARLIER_LEVELS, of_level=False)}
    # Signed before the earlier level is held, a sign-off would not count on the day it is given.
    bars_signing = True
    asks_other_levels = True
    # Last of all: it asks whole other levels, with sign-offs and signers of their own.
    cost = 4

    # Two demands of one form: alone asks for alone at earlier levels, watched for watched at least.
    def __init__(self, *, watched: bool) -> None:
        self._watched = watched

    def look(self, case: Case) -> Finding:
        if case.book.in_a_circle(case.asked.level):
            # Nobody can hold it: whoever asked on would come back here.
            return fails(lambda: Reason("earlier-level", (("circle", case.rules.title),)))
        if next(self._lacking(case), None) is None:
            return HOLDS
        return fails(lambda: self._why(case))

    def _lacking(self, case: Case) -> Iterator[str]:
        # The question stays, and so does `as_signer`: a signer's day is one at every level.
        holds_at = case.asking.watched if self._watched else case.asking.alone
        return (
            level for level in case.rules.earlier if not holds_at(case.asked._replace(level=level))
        )

    def _why(self, case: Case) -> Reason:
        told, evidence = list[Args](), dict[EntryName, None]()
        # A folder may name one level twice.
        for level in dict.fromkeys(self._lacking(case)):
            there = case.asking.case(case.asked._replace(level=level))
            # Another day's rules may name a level that the shop has never set up: told, not raised.
            if there is None:
                told.append((("unknown", level),))
                continue
            # One reason is enough here: the page of that level tells the others.
            first = next(case.asking.own_reasons(there), None)
            word = "watched" if case.asking.watched(there.asked) else "no"
            named: Args = (("title", there.rules.title), ("standing", word), ("reason", first))
            told.append(named)
            evidence |= dict.fromkeys(first.evidence if first else ())
        return Reason("earlier-level", (("levels", tuple(told)),), tuple(evidence))

    def asks(self, case: Case) -> Asks | None:
        if not case.rules.earlier:
            return None
        rules = case.book.rules
        titles = tuple(
            rules[level].title if level in rules else level for level in case.rules.earlier
        )
        return Asks("earlier", (("titles", titles),))

    def tell_terms(self, rules: LevelRules, shop: Shop) -> tuple[Asks, ...]:
        if not rules.earlier:
            return ()
        # The level's own page tells what holds from now on, so that titles are today's, not those
        # of a case.
        titles = tuple(_newest_title(shop, level) for level in rules.earlier)
        return (Asks("held-first", (("titles", titles),)),)


def _newest_title(shop: Shop, level: str) -> str:
    versions = shop.files.versions.get(level)
    return version_on(versions, date.max).title if versions else level
