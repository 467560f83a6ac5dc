"""Which service levels does the shop have, and what do they ask today?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import QuerySet
from django.utils.translation import gettext

from procedures.models import WriteUp
from procedures.records.days.reader import say_day
from procedures.records.statements import prepare_once
from training.models import Level, LevelRules, User
from training.records.gathering import gather
from training.records.levels import title_of
from training.reports.at_bench import rules_in_force
from training.reports.who_may import shop_levels
from training.standing.terms import TERMS


@dataclass(frozen=True, slots=True)
class LevelTable:
    """Levels across, rules down, each in a few words; "–" where a level does not ask."""

    levels: tuple[tuple[str, str], ...]
    rows: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    """Each rule with, for each level, the level's title and what it asks."""


def level_table(on: date) -> LevelTable:
    """What every level asks on a day, a line for each term; the levels in the order in which they
    were added.
    """
    shop = gather()
    levels = shop_levels(shop, on)
    titles = dict(levels) | dict(WriteUp.objects.values_list("name", "title"))
    found = [rules_in_force(shop, name, on) for name, _title in levels]
    rows = tuple(
        (
            gettext(term.label),
            tuple(
                (title, _said(getattr(rules, name), titles) if rules else "–")
                for (_name, title), rules in zip(levels, found, strict=True)
            ),
        )
        for name, term in TERMS.items()
        if term.kind != "words"
    )
    return LevelTable(levels, rows)


def _said(asked: object, titles: Mapping[str, str]) -> str:
    """What a level says in one term, in a few words; "–" where it asks nothing."""
    match asked:
        case True:
            return gettext("yes")
        case date():
            return say_day(asked)
        case tuple():
            return "; ".join(titles.get(name, name) for name in asked) or "–"
        case _:
            return str(asked or "–")


def level_titles() -> dict[str, str]:
    """Every level's title by its name, as its newest rules say; one query."""
    return dict(_ask_titles())


@prepare_once
def _ask_titles() -> QuerySet[Any]:
    return LevelRules.objects.order_by("pk").values_list("level__name", "title")


def pass_mark_of(quiz: str, on: date) -> int | None:
    """The pass mark that the level of this quiz asks on a day; None where no level asks for it."""
    level = Level.objects.filter(quiz__name=quiz).first()
    rules = rules_in_force(gather(), level.name, on) if level else None
    return rules.pass_percent or None if rules else None


def level_title(level: str, on: date) -> str:
    """The level's title on a day."""
    return title_of(gather(), level, on)


@dataclass(frozen=True, slots=True)
class UndoableRules:
    """The newest version of a level's rules, saved on the site today; there are earlier ones."""

    pk: int
    level: str
    title: str


def undoable_rules(person: User, level: str = "") -> tuple[UndoableRules, ...]:
    """What can be undone today, of one level or of all; one query."""
    newest: dict[str, list[LevelRules]] = {}
    rows = LevelRules.objects.select_related("level").order_by("pk")
    for row in rows.filter(level__name=level) if level else rows:
        newest.setdefault(row.level.name, []).append(row)
    today = person.workshop.today()
    return tuple(
        UndoableRules(versions[-1].pk, name, versions[-1].title)
        for name, versions in newest.items()
        if len(versions) > 1
        # One that was brought in by nobody of the site is not a slip of today.
        and versions[-1].by_id
        and person.workshop.day_of(versions[-1].recorded_at) == today
    )
