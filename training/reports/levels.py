"""Which service levels does the shop have, and what do they ask today?"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from django.utils.functional import Promise
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from procedures.models import WriteUp
from training.models import LevelRules
from training.records.gathering import gather
from training.records.sheets import title_of
from training.records.wording.asks import say_months
from training.reports.at_bench import rules_in_force
from training.reports.who_may import shop_levels
from training.standing import evidence

Rules = evidence.LevelRules
Titles = dict[str, str]


@dataclass(frozen=True, slots=True)
class LevelTable:
    """Levels across, rules down, each in a few words; "–" where a level does not ask."""

    levels: tuple[tuple[str, str], ...]
    rows: tuple[tuple[str | Promise, tuple[tuple[str, str], ...]], ...]
    """Each rule with, for each level, the level's title and what it asks."""


def level_table(on: date) -> LevelTable:
    """What every level asks on a day; the levels in the order in which they were added."""
    shop = gather()
    levels = shop_levels(shop, on)
    titles = dict(levels) | dict(WriteUp.objects.values_list("name", "title"))
    found = [rules_in_force(shop, name, on) for name, _title in levels]
    rows = tuple(
        (
            label,
            tuple(
                (title, (say(rules, titles) if rules else "") or "–")
                for (_name, title), rules in zip(levels, found, strict=True)
            ),
        )
        for label, say in ASKED
    )
    return LevelTable(levels, rows)


def level_titles() -> dict[str, str]:
    """Every level's title by its name, as its newest rules say; one query."""
    return dict(LevelRules.objects.order_by("pk").values_list("level__name", "title"))


def level_title(level: str, on: date) -> str:
    """The level's title on a day."""
    return title_of(gather(), level, on)


def _listed(names: tuple[str, ...], titles: Titles) -> str:
    return "; ".join(titles.get(name, name) for name in names)


def _watched(rules: Rules, titles: Titles) -> str:
    del titles
    if rules.watched_jobs and rules.watched_per_option:
        return gettext("{number}, one for each option").format(number=rules.watched_jobs)
    return str(rules.watched_jobs or "")


def _observed(rules: Rules, titles: Titles) -> str:
    del titles
    if rules.observers > 1:
        return gettext("{number}, by {observers} people").format(
            number=rules.observations, observers=rules.observers
        )
    return str(rules.observations or "")


def _practised(rules: Rules, titles: Titles) -> str:
    del titles
    if not rules.practice_jobs:
        return ""
    text = ngettext("{number} job in {months}", "{number} jobs in {months}", rules.practice_jobs)
    return text.format(number=rules.practice_jobs, months=say_months(rules.practice_months))


ASKED: tuple[tuple[str | Promise, Callable[[Rules, Titles], str]], ...] = (
    (_("Needs first"), lambda rules, titles: _listed(rules.earlier, titles)),
    (_("Write-ups"), lambda rules, titles: _listed(rules.writeups, titles)),
    (
        _("Pass mark of the quiz"),
        lambda rules, _titles: f"{rules.pass_percent} %" if rules.pass_percent else "",
    ),
    (_("Supervised jobs"), _watched),
    (_("Observations"), _observed),
    (_("Signed off for"), lambda rules, _titles: say_months(rules.valid_months)),
    (_("Stays current with"), _practised),
    (
        _("Days to catch up after a new revision"),
        lambda rules, _titles: str(rules.grace_days or ""),
    ),
)
