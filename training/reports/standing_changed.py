"""What has changed in who may do what since a day, and why?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from training.records.gathering import gather
from training.reports.who_may import shop_levels
from training.standing.changed import Change, changes_between


@dataclass(frozen=True, slots=True)
class ChangedPerson:
    """One person with each level at which the standing differs."""

    login: str
    name: str
    changes: tuple[tuple[str, Change], ...]


@dataclass(frozen=True, slots=True)
class ChangedPage:
    """The comparison of two days, both as known at one moment."""

    since: date
    on: date
    people: tuple[ChangedPerson, ...]
    count: str


def changed_page(*, since: date, on: date, known_at: datetime) -> ChangedPage:
    """Each person at each level whose standing on the day is not what it was on the earlier one."""
    shop = gather()
    titles = dict(shop_levels(shop, on))
    found: dict[str, list[tuple[str, Change]]] = {}
    # Both days by one knowledge: what was entered late is no change of the days between.
    rows = changes_between(shop, since, on, known_at, {})
    for row in rows:
        found.setdefault(row.person, []).append((titles[row.level], row))
    names = {person.login: person.name for person in shop.people}
    people = sorted(
        (ChangedPerson(login, names[login], tuple(rows)) for login, rows in found.items()),
        key=lambda p: p.name,
    )
    return ChangedPage(since, on, tuple(people), str(len(rows)))
