"""Who would have been off at a level under other numbers than its own, when and for how long?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from datetime import date, datetime

from django.utils.safestring import SafeString
from django.utils.translation import gettext

from training.records.gathering import gather
from training.records.levels import title_of
from training.reports.at_bench import rules_in_force
from training.reports.drawn import DrawnRow, DrawnSpan, drawing
from training.standing.other_rules import OffDays, OtherRules, off_days, shop_under


@dataclass(frozen=True, slots=True)
class Compared:
    """One person's days off under the level's own numbers and under the others."""

    name: str
    own: OffDays
    other: OffDays

    @property
    def own_days(self) -> str:
        """How many days off under the level's own numbers."""
        return str(self.own.days)

    @property
    def other_days(self) -> str:
        """How many days off under the others."""
        return str(self.other.days)


@dataclass(frozen=True, slots=True)
class OtherRulesPage:
    """The comparison, for everybody with a sign-off at the level."""

    title: str
    first: date
    until: date
    own: OtherRules
    other: OtherRules
    people: tuple[Compared, ...]
    drawing: SafeString | None

    @property
    def own_days(self) -> str:
        """The days off of all, under the level's own numbers."""
        return str(sum(row.own.days for row in self.people))

    @property
    def other_days(self) -> str:
        """The days off of all, under the others."""
        return str(sum(row.other.days for row in self.people))


def own_numbers(level: str, on: date) -> OtherRules | None:
    """The level's own numbers on a day; None for a level without rules."""
    rules = rules_in_force(gather(), level, on)
    if rules is None:
        return None
    return OtherRules(**{one.name: getattr(rules, one.name) for one in fields(OtherRules)})


def other_rules_page(
    *, level: str, own: OtherRules, other: OtherRules, first: date, until: date, known_at: datetime
) -> OtherRulesPage:
    """Days off from the first day until the last, the level's history read under both."""
    shop = gather()
    # Whoever was never signed off is off under any rules, and would only hide the others.
    signed = [person for person in shop.people if level in shop.files.signoffs.drawer(person.login)]
    people = sorted(signed, key=lambda person: person.name)
    logins = [person.login for person in people]
    as_is = off_days(shop, level, first, until, known_at, logins)
    changed = off_days(shop_under(shop, level, other), level, first, until, known_at, logins)
    rows = tuple(
        Compared(person.name, before, after)
        for person, before, after in zip(people, as_is, changed, strict=True)
    )
    title = title_of(shop, level, until)
    drawn = tuple(_rows(rows))
    picture_title = gettext(
        "Days not allowed to work alone at {title}: today’s rules and the trial rules"
    ).format(title=title)
    picture = drawing(drawn, first, until, title=picture_title) if drawn else None
    return OtherRulesPage(title, first, until, own, other, rows, picture)


def _rows(people: tuple[Compared, ...]) -> Iterator[DrawnRow]:
    """Two lines a person, for those who are off under either."""
    for row in people:
        # Whoever was never off has no bar to draw.
        if row.own.days or row.other.days:
            for name, off in ((row.name, row.own), (gettext("trial rules"), row.other)):
                yield DrawnRow(
                    name, tuple(DrawnSpan(span.first, span.until, "hatched") for span in off.spans)
                )
