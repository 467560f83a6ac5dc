"""Has the person read the current revision of each write-up of the level?"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from training.standing.evidence import LevelRules, RevisionFact, Shop
from training.standing.known import Known
from training.standing.naming import name_entry, supports
from training.standing.results import OWN_DOING, Asks, Reason, Step, Support
from training.standing.rules.rule import HOLDS, Case, Finding, Rule, fails, holds


def unread_revisions(
    known: Known, person: str, rules: LevelRules, day: date
) -> tuple[RevisionFact, ...]:
    """Return the current revision of each write-up of the level that the person has not read by the
    day; a write-up with none has nothing to be read.
    """
    return tuple(
        current
        for current in known.current(rules, day)
        if not _is_read(known, person, current, day)
    )


def _is_read(known: Known, person: str, revision: RevisionFact, day: date) -> bool:
    for row in known.readings(person, revision.writeup):
        # Exactly the current one: "the highest number released by t" has no later one to stand for
        # it.
        if row.revision == revision.number and row.on <= day:
            return True
    return False


class Readings(Rule):
    """`not-read`: the current revision of each write-up of the level is read."""

    name = "readings"
    steps = {"not-read": Step("read", "person", OWN_DOING)}
    yardstick = "14 CFR 65.103(b): no work without knowing the current instructions"

    def look(self, case: Case) -> Finding:
        unread = unread_revisions(case.known, case.person, case.rules, case.day)
        if unread:
            return fails(lambda: _why(case, unread))
        return holds(lambda: _support(case)) if case.rules.writeups else HOLDS

    def asks(self, case: Case) -> Asks | None:
        titles = tuple(case.known.title(name) for name in case.rules.writeups)
        return Asks("readings", (("titles", titles),)) if titles else None

    def tell_terms(self, rules: LevelRules, shop: Shop) -> tuple[Asks, ...]:
        titles = tuple(shop.titles.get(name, name) for name in rules.writeups)
        return (Asks("read-first", (("titles", titles),)),) if titles else ()

    def days(self, case: Case, until: date) -> Iterator[date]:
        for writeup in case.rules.writeups:
            # A release takes the worth of an older reading away, and with it being watched.
            yield from (revision.released for revision in case.known.revisions(writeup))
            yield from (row.on for row in case.known.readings(case.person, writeup))


def _why(case: Case, unread: tuple[RevisionFact, ...]) -> Reason:
    told = tuple((case.known.title(row.writeup), row.number) for row in unread)
    named = tuple(name_entry(case.known, row) for row in unread)
    return Reason("not-read", (("revisions", told),), named)


def _support(case: Case) -> tuple[Support, ...]:
    found = [
        row
        for current in case.known.current(case.rules, case.day)
        for row in case.known.readings(case.person, current.writeup)
        if row.on <= case.day and row.revision == current.number
    ]
    return supports(case.known, sorted(found, key=lambda row: row.on))
