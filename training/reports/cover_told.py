"""What are cover and plan in figures, for a command or another program to read?"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.utils.translation import gettext, ngettext

from procedures.records.days.reader import say_day
from procedures.records.refused import Refused
from training.cover.effect import closes
from training.cover.gaps import DayCover, cover, days_between
from training.cover.options import PlanSpan
from training.cover.pace import shop_at_usual_pace
from training.cover.plan import Line, Plan
from training.cover.release import Standings
from training.cover.without import days_without
from training.records.gathering import gather
from training.reports.cover import rota_of, wanted_of
from training.reports.plan import Drafted, PlanAsked, draft_plan
from training.standing.entitlement import asking_of
from training.standing.evidence import Shop

# Two years, one of them a leap year.
MOST_DAYS = 731
MOST_WEEKS = 26


@dataclass(frozen=True, slots=True)
class CoverSpan:
    """From which day to which, whether the usual pace of jobs goes on, and without whom."""

    first: date
    until: date
    at_pace: bool
    gone: tuple[str, ...]


def cover_told(asked: CoverSpan, *, on: date, now: datetime) -> list[dict[str, Any]]:
    """Every workshop, level and day on which somebody is wanted, in the order of the days. Raises
    Refused for a span that makes no sense and for somebody whom the shop does not have.
    """
    _check_span(asked)
    shop = gather()
    _check_people(shop, asked.gone)
    if asked.at_pace:
        shop = shop_at_usual_pace(shop, on, asked.until, now)
    held = Standings(asking_of(shop, now), asked.first, asked.until)
    span = days_between(asked.first, asked.until)
    days = cover(rota_of(), wanted_of(), span, held.is_alone)
    return [_day(one) for one in days_without(days, asked.gone)]


def _check_span(asked: CoverSpan) -> None:
    if asked.until < asked.first:
        raise Refused(
            gettext(
                "The last day, {until}, is before the first day, {first}. Choose a later last day."
            ).format(until=say_day(asked.until), first=say_day(asked.first))
        )
    if (asked.until - asked.first).days >= MOST_DAYS:
        raise Refused(gettext("Choose two years at most."))


def _check_people(shop: Shop, logins: Iterable[str]) -> None:
    for login in logins:
        if login not in shop.files.people:
            raise Refused(gettext("There is nobody with the login “{login}”.").format(login=login))


def _day(one: DayCover) -> dict[str, Any]:
    return {
        "workshop": one.workshop,
        "level": one.level,
        "day": one.day.isoformat(),
        "want": one.wanted,
        "have": list(one.there),
        "gap": one.missing,
    }


def plan_told(asked: PlanAsked, *, first: date, on: date, now: datetime) -> dict[str, Any]:
    """The best plan for some weeks from a first day on. `weeks` of a line are the first days of its
    weeks, the first of those `with` it signs. Raises Refused, and NoAnswerError.
    """
    if not 1 <= asked.weeks <= MOST_WEEKS:
        raise Refused(
            ngettext(
                "{weeks} is not possible. A plan is for {most} week.",
                "{weeks} is not possible. A plan is for 1 to {most} weeks.",
                MOST_WEEKS,
            ).format(most=MOST_WEEKS, weeks=asked.weeks)
        )
    if first < on:
        raise Refused(
            gettext("{first} is over. Choose today or a later day.").format(first=say_day(first))
        )
    if (first - on).days > MOST_DAYS:
        raise Refused(
            gettext("{first} is too far away. Choose a day within two years.").format(
                first=say_day(first)
            )
        )
    made = draft_plan(asked, PlanSpan(first, first, asked.weeks), today=on, now=now)
    if made is None:
        raise Refused(
            gettext("The site does not know how many people you need. Set it on the page Rota.")
        )
    plan = made.plan()
    before = sum(day.missing for day in made.ground.days)
    return {
        "status": _status(plan, before),
        "cost_hours": plan.hours,
        "gap_before": before,
        "gap_after": plan.missing,
        "lines": [_line(made, plan, line) for line in plan.lines],
        "unmet": [_unmet(day, why) for day, why in made.unmet(plan)],
    }


def _status(plan: Plan, before: int) -> str:
    """`cannot` where days are short and no training closes any, `feasible` where a better plan is
    not ruled out.
    """
    if before and not plan.lines and plan.is_proven:
        return "cannot"
    return "optimal" if plan.is_proven else "feasible"


def _line(made: Drafted, plan: Plan, line: Line) -> dict[str, Any]:
    option = line.option
    closed = {day.day.isoformat() for day in closes(made.ground, plan, line)}
    return {
        "login": line.task.person,
        "level": line.task.level,
        "kind": "renew" if line.task.is_renewal else "train",
        "weeks": [(made.ground.first + timedelta(weeks=week)).isoformat() for week in option.span],
        "hours": option.cost,
        "with": list(line.seniors),
        "closes": sorted(closed),
    }


def _unmet(day: DayCover, why: str) -> dict[str, Any]:
    return {
        "workshop": day.workshop,
        "level": day.level,
        "day": day.day.isoformat(),
        "gap": day.missing,
        "why": why,
    }
