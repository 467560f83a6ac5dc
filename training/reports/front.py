"""How does the shop show itself, and may everybody see who may do what today?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import QuerySet
from django.urls import reverse

from procedures.records.statements import prepare_once
from training.models import PersonPhoto, ShopFront, User
from training.records.gathering import gather
from training.reports.cover import rota_of
from training.reports.who_may import shop_levels
from training.standing.answer import standings
from training.standing.rules.here import has_left


@dataclass(frozen=True, slots=True)
class FrontShown:
    """The shop's name and the address of its logo; both may be empty."""

    name: str = ""
    logo: str = ""
    all_may_look: bool = False


@dataclass(frozen=True, slots=True)
class TodayTable:
    """Who may do what on a day in one workshop: the titles of the levels; each person's name,
    whether they are away, and the title and the standing of each level.
    """

    titles: tuple[str, ...]
    rows: tuple[tuple[str, bool, tuple[tuple[str, str], ...]], ...]


def front_shown() -> FrontShown:
    """What each page shows of the shop; one query, which leaves the picture out."""
    for name, digest, all_may_look in _ask_front():
        logo = reverse("training:logo", args=[digest]) if digest else ""
        return FrontShown(name, logo, all_may_look)
    return FrontShown()


@prepare_once
def _ask_front() -> QuerySet[Any]:
    rows = ShopFront.objects.values_list("name", "digest", "all_may_look")
    return rows.filter(pk=ShopFront.ONLY)


def has_photo(person: User) -> bool:
    """Whether there is a photo of this person."""
    return PersonPhoto.objects.filter(person=person).exists()


def today_table(workshop: str, on: date, now: datetime) -> TodayTable:
    """Who may do what on a day, of those at the bench of a workshop: names and blocks only, those
    who are away last. Somebody who was stopped looks like somebody who is not yet ready: that is
    between them and the shop.
    """
    shop = gather()
    levels = shop_levels(shop, on)
    rota = rota_of()
    away = {one.login for one in shop.people if rota.presence(one.login, on, workshop) is False}
    people = sorted(
        (
            one
            for one in shop.people
            if one.workshop == workshop and one.trade != "owner" and not has_left(one, on)
        ),
        key=lambda one: (one.login in away, one.name),
    )
    names = [level for level, _ in levels]
    found = standings(shop, names, on, now, {}, [one.login for one in people])
    return TodayTable(
        tuple(title for _, title in levels),
        tuple(
            (
                one.name,
                one.login in away,
                tuple((title, found[one.login, level]) for level, title in levels),
            )
            for one in people
        ),
    )
