"""Which service levels does the shop have, and what do they ask today?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from training.models import LevelRules
from training.records.gathering import gather
from training.records.sheets import title_of
from training.reports.at_bench import rules_in_force
from training.reports.person import asks_of
from training.reports.who_may import shop_levels


@dataclass(frozen=True, slots=True)
class ListedLevel:
    """One level with what it asks, in sentences."""

    name: str
    title: str
    asks: tuple[str, ...]


def level_list(on: date) -> tuple[ListedLevel, ...]:
    """Every level, in the order in which they were added."""
    shop = gather()
    return tuple(
        ListedLevel(name, title, tuple(asks_of(shop, rules_in_force(shop, name, on))))
        for name, title in shop_levels(shop, on)
    )


def level_titles() -> dict[str, str]:
    """Every level's title by its name, as its newest rules say; one query."""
    return dict(LevelRules.objects.order_by("pk").values_list("level__name", "title"))


def level_title(level: str, on: date) -> str:
    """The level's title on a day."""
    return title_of(gather(), level, on)
