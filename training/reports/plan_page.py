"""Which training brings the cover to what is wanted, what does each piece of it do, and what does
no plan reach?
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from training.cover.effect import closes
from training.cover.gaps import DayCover
from training.cover.options import PlanSpan
from training.cover.plan import Ground, Line, Plan, PlannedLine, WhyShort
from training.models import Planned
from training.records.wording.pieces import join_and
from training.reports.cover import Short, Titles, describe_days, name_of, say_days, short_days
from training.reports.plan import Drafted, PlanAsked, draft_plan
from training.reports.who_may import shop_levels
from training.standing.evidence import Shop

WHY = {
    "people": _("Too few people work there."),
    "time": _("Too few people can be ready by then."),
    "senior": _("Nobody who may teach and sign is at work there in time."),
    "hours": _("There are not enough hours, or they are better used on other days."),
}


@dataclass(frozen=True, slots=True)
class LineShown:
    """One line as people read it; `key` names it in an address. `begins` is its first week, counted
    from 0, `length` how many it takes, `before` and `after` how many weeks lie on its sides.
    """

    key: str
    name: str
    title: str
    kind: str
    when: str
    seniors: str
    hours: str
    senior_hours: str
    closes: str
    begins: int
    length: int
    before: int
    after: int


@dataclass(frozen=True, slots=True)
class Unreached:
    """Days that stay short for one reason."""

    why: str
    short: tuple[Short, ...]


@dataclass(frozen=True, slots=True)
class PlanPage:
    """The plan with what it does; `digest` stands for exactly what would be accepted, `accepted` is
    what is in force, `cut` what the standing did not bear out.
    """

    first: date
    until: date
    before: str
    after: str
    hours: str
    lines: tuple[LineShown, ...]
    weeks: tuple[date, ...]
    gone: str
    planned: tuple[PlannedLine, ...]
    unreached: tuple[Unreached, ...]
    without: str
    more_missing: str
    digest: str
    accepted: tuple[Planned, ...]
    is_proven: bool
    cut: int
    cut_said: str

    @property
    def calendar(self) -> tuple[LineShown, ...]:
        """The lines person by person, each from the earliest week on."""
        return tuple(sorted(self.lines, key=lambda line: (line.name, line.begins)))


def plan_page(asked: PlanAsked, *, on: date, now: datetime) -> PlanPage | None:
    """The plan for the weeks from the next Monday on; None where the shop says nowhere how many it
    wants. Raises NoAnswerError.
    """
    # From the next Monday: what is left of this week is planned already.
    span = PlanSpan(on, on + timedelta(days=7 - on.weekday()), asked.weeks)
    made = draft_plan(asked, span, today=on, now=now)
    if made is None:
        return None
    shop, ground = made.shop, made.ground
    titles = dict(shop_levels(shop, on))

    def title(level: str) -> str:
        return titles.get(level, level)

    plan = made.plan(asked.left_out)
    whole = made.plan() if asked.without else plan
    planned = tuple(_first_of_each(ground, plan))
    return PlanPage(
        first=ground.first,
        until=ground.holds_from(asked.weeks - 1) - timedelta(days=1),
        before=str(sum(day.missing for day in ground.days)),
        after=str(plan.missing),
        hours=f"{plan.hours:g}",
        lines=tuple(_shown(ground, plan, line, shop, title, asked.weeks) for line in plan.lines),
        weeks=tuple(ground.first + timedelta(weeks=week) for week in range(asked.weeks)),
        gone=join_and([name_of(shop, who) for who in asked.gone]),
        planned=planned,
        unreached=tuple(_unreached(made, plan, title)),
        without=_describe_left_out(asked, shop, title),
        more_missing=say_days(plan.missing - whole.missing),
        # Of logins, levels and days alone, so that the same plan has the same text.
        digest=hashlib.sha256(repr(planned).encode()).hexdigest(),
        accepted=tuple(
            Planned.objects.select_related("person", "level").order_by("until", "person__name")
        ),
        is_proven=(plan.is_proven or bool(plan.cut)) and (whole.is_proven or bool(whole.cut)),
        cut=plan.cut,
        cut_said=say_days(plan.cut),
    )


def _first_of_each(ground: Ground, plan: Plan) -> Iterator[PlannedLine]:
    """The lines that are accepted: where somebody renews one level twice, the first of them."""
    found: dict[tuple[str, str], PlannedLine] = {}
    for line in plan.lines:
        found.setdefault(line.key, _planned(ground, line))
    yield from found.values()


def _planned(ground: Ground, line: Line) -> PlannedLine:
    begins = ground.first + timedelta(weeks=line.option.begins)
    return PlannedLine(*line.key, begins, ground.holds_from(line.option.ends) - timedelta(days=1))


def _shown(
    ground: Ground, plan: Plan, line: Line, shop: Shop, title: Titles, weeks: int
) -> LineShown:
    days, planned = closes(ground, plan, line), _planned(ground, line)
    return LineShown(
        key="/".join(line.key),
        name=name_of(shop, line.task.person),
        title=title(line.task.level),
        kind=gettext("Renew") if line.task.is_renewal else gettext("Learn"),
        when=describe_days(planned.first, planned.until),
        seniors=", ".join(name_of(shop, who) for who in line.seniors),
        hours=f"{line.option.hours:g}",
        senior_hours=f"{line.task.senior_hours:g}",
        closes=say_days(len({day.day for day in days})),
        begins=line.option.begins,
        length=line.option.ends - line.option.begins + 1,
        before=line.option.begins,
        after=weeks - line.option.ends - 1,
    )


def _unreached(made: Drafted, plan: Plan, title: Titles) -> Iterator[Unreached]:
    """What stays short, by the reason why."""
    by_reason: dict[WhyShort, list[DayCover]] = {}
    for day, why in made.unmet(plan):
        by_reason.setdefault(why, []).append(day)
    for why, days in by_reason.items():
        yield Unreached(str(WHY[why]), short_days(days, title, made.shop))


def _describe_left_out(asked: PlanAsked, shop: Shop, title: Titles) -> str:
    return "".join(
        gettext("{name} at {title}").format(name=name_of(shop, who), title=title(level))
        for who, level in asked.left_out
    )
