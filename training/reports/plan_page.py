"""Which training brings the cover to what is wanted, what does each piece of it do, and what does
no plan reach?
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from training.cover.gaps import DayCover, cover, days_between
from training.cover.plan import Ground, Line, Plan, PlannedLine, best_plan, closes, why_short
from training.cover.release import Standings
from training.cover.rota import Rota, Wanted
from training.cover.tasks import capacity_of, tasks_of
from training.models import Planned
from training.records.gathering import day_text, gather
from training.reports.cover import Short, called, counted, rota_of, short_days, wanted_of
from training.reports.who_may import shop_levels
from training.standing.entitlement import Asking
from training.standing.evidence import Shop

WHY = {
    "people": "too few people are at work there, whoever they are",
    "time": "nobody more can be ready by then",
    "hours": "there are not the hours, people are away, or the hours are spent better elsewhere",
}
Titles = Callable[[str], str]


@dataclass(frozen=True, slots=True)
class PlanAsked:
    """For how many weeks, with how many hours a day of learners and of seniors, how many levels at
    once, and without which line.
    """

    weeks: int
    own_a_day: float
    senior_a_day: float
    at_once: int
    without: str = ""


@dataclass(frozen=True, slots=True)
class LineShown:
    """One line as people read it; `key` names it in an address."""

    key: str
    name: str
    title: str
    when: str
    hours: str
    senior_hours: str
    closes: str


@dataclass(frozen=True, slots=True)
class Unreached:
    """Days that stay short for one reason."""

    why: str
    short: tuple[Short, ...]


@dataclass(frozen=True, slots=True)
class PlanPage:
    """The plan with what it does; `digest` stands for exactly what would be accepted, `accepted` is
    what is in force.
    """

    first: date
    until: date
    before: str
    after: str
    hours: str
    lines: tuple[LineShown, ...]
    planned: tuple[PlannedLine, ...]
    unreached: tuple[Unreached, ...]
    without: str
    more_missing: str
    digest: str
    accepted: tuple[Planned, ...]
    is_proven: bool


def plan_page(asked: PlanAsked, *, on: date, now: datetime) -> PlanPage | None:
    """The plan for the weeks from the next Monday on; None where the shop says nowhere how many it
    wants. Raises NoAnswerError.
    """
    wanted = wanted_of()
    if not wanted:
        return None
    shop, rota = gather(), rota_of()
    titles = dict(shop_levels(shop, on))

    def title(level: str) -> str:
        return titles.get(level, level)

    ground = ground_of(asked, Asking(shop, now), rota, wanted, on)
    plan = best_plan(ground, leave_out={_key(asked.without)} if asked.without else ())
    whole = best_plan(ground) if asked.without else plan
    # what follows by itself is nobody's to do
    planned = tuple(_planned(ground, line) for line in plan.lines if line.task.weeks)
    return PlanPage(
        first=ground.first,
        until=ground.holds_from(asked.weeks - 1) - timedelta(days=1),
        before=str(sum(day.missing for day in ground.days)),
        after=str(plan.missing),
        hours=f"{plan.hours:g}",
        lines=tuple(_shown(ground, plan, line, shop, title) for line in plan.lines),
        planned=planned,
        unreached=tuple(_unreached(ground, plan, rota, shop, title)),
        without=_said(asked.without, shop, title),
        more_missing=counted(plan.missing - whole.missing, "person-day", "person-days"),
        digest=hashlib.sha256(repr(planned).encode()).hexdigest(),
        accepted=tuple(
            Planned.objects.select_related("person", "level").order_by("until", "person__name")
        ),
        is_proven=plan.is_proven and whole.is_proven,
    )


def ground_of(asked: PlanAsked, asking: Asking, rota: Rota, wanted: Wanted, on: date) -> Ground:
    """What the plan stands on: the standings as they will be if nothing more is done, and everybody
    on the rota but owners.
    """
    first = on + timedelta(days=7 - on.weekday())
    until = first + timedelta(weeks=asked.weeks, days=-1)
    people = [
        person.login
        for person in asking.shop.people
        if person.trade != "owner" and rota.workshops_of(person.login)
    ]
    tasks = tasks_of(asking, people, dict.fromkeys(level for _, level in wanted), on, until)
    held = Standings(asking, on, until)
    capacity = capacity_of(
        asking,
        rota,
        dict.fromkeys(task.level for task in tasks),
        first,
        asked.weeks,
        own_a_day=asked.own_a_day,
        senior_a_day=asked.senior_a_day,
        at_once=asked.at_once,
    )
    days = tuple(cover(rota, wanted, days_between(on, until), held.is_alone))
    return Ground(first, asked.weeks, tasks, days, rota.is_at_work, capacity)


def _planned(ground: Ground, line: Line) -> PlannedLine:
    begins = ground.first + timedelta(weeks=min(line.begins, line.ends))
    return PlannedLine(*line.task.key, begins, ground.holds_from(line.ends) - timedelta(days=1))


def _shown(ground: Ground, plan: Plan, line: Line, shop: Shop, title: Titles) -> LineShown:
    days, planned = closes(ground, plan, line), _planned(ground, line)
    follows = not line.task.weeks
    return LineShown(
        key="/".join(line.task.key),
        name=called(shop, line.task.person),
        title=title(line.task.level),
        when=f"follows by itself, from {day_text(ground.holds_from(line.ends))}"
        if follows
        else f"{day_text(planned.first)} to {day_text(planned.until)}",
        hours=f"{line.task.hours:g}",
        senior_hours=f"{line.task.senior_hours:g}",
        closes=counted(len(days), "day", "days"),
    )


def _unreached(
    ground: Ground, plan: Plan, rota: Rota, shop: Shop, title: Titles
) -> Iterator[Unreached]:
    """What stays short, by the reason why."""
    owners = {person.login for person in shop.people if person.trade == "owner"}
    by_reason: dict[str, list[DayCover]] = {}
    for day in plan.days:
        if day.missing:
            at_work = len(set(rota.at_work(day.workshop, day.day)) - owners)
            by_reason.setdefault(why_short(ground, day, at_work), []).append(day)
    for reason, days in by_reason.items():
        yield Unreached(WHY[reason], short_days(days, title, shop))


def _key(text: str) -> tuple[str, str]:
    person, _, level = text.partition("/")
    return person, level


def _said(text: str, shop: Shop, title: Titles) -> str:
    person, level = _key(text)
    return f"{called(shop, person)} at {title(level)}" if text else ""
