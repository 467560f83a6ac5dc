"""Who would have been off, when and for how long, had a level asked something else?

The shop's own record is read under the rules as they were and under other numbers for one level.
Everything follows from them, also which signer was entitled on the day of signing. Somebody is
*off* at a level on a day when there is a sign-off of theirs that counts by then, they are here, and
the standing is not alone: who was never signed off is not off.
"""

from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime

from training.standing.days import Span, spans
from training.standing.entitlement import Asked, Asking, as_question, asking_of
from training.standing.evidence import LevelRules, Shop


@dataclass(frozen=True, slots=True)
class OtherRules:
    """The numbers that stand in place of a level's own, in every version of its rules; each is a
    term of a level.
    """

    valid_months: int
    practice_jobs: int
    practice_months: int
    grace_days: int


@dataclass(frozen=True, slots=True)
class OffDays:
    """When a person was off at a level, and the days in all."""

    person: str
    spans: tuple[Span, ...]

    @property
    def days(self) -> int:
        """Return the days off in all."""
        return sum(span.days for span in self.spans)


def shop_under(shop: Shop, level: str, other: OtherRules) -> Shop:
    """Return the shop as if the level had always asked these numbers; what else its rules ask stays
    as it was.
    """
    return replace(
        shop,
        levels=tuple(
            _asking(rules, other) if rules.level == level else rules for rules in shop.levels
        ),
    )


def _asking(rules: LevelRules, other: OtherRules) -> LevelRules:
    # In every version: the question is what the shop would look like had it always asked so.
    return replace(rules, **asdict(other))


def off_days(
    shop: Shop, level: str, first: date, until: date, known_at: datetime, people: Iterable[str]
) -> tuple[OffDays, ...]:
    """Return for each person the spans of days off from the first day until the last, both
    included.

    The question names no option of a fork. `known_at` is aware.
    """
    asking = asking_of(shop, known_at)
    return tuple(
        OffDays(person, tuple(_off(asking, person, level, first, until))) for person in people
    )


def _off(asking: Asking, person: str, level: str, first: date, until: date) -> Iterable[Span]:
    signed = asking.known.signoffs(person, level)
    row = asking.known.person(person)
    if not signed or row is None:
        return
    # Before the first sign-off nobody was off: one who is learning lacks nothing.
    began = max(filter(None, (first, signed[0].on, row.started)))
    # Whoever has left is not off either; the days here are what the owner weighs.
    ended = min(filter(None, (until, row.left)))
    if began > ended:
        return
    last: Span | None = None
    for span in spans(asking, Asked(person, level, began, as_question({})), ended):
        if span.standing == "alone":
            if last is not None:
                yield last
            last = None
        else:  # watched and no are both off: one span
            last = Span(last.first if last else span.first, span.until, span.standing)
    if last is not None:
        yield last
