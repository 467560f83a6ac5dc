"""Which plan brings the cover to what is wanted, fed back into the standing before it is shown?"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from urllib.parse import urlencode

from training.cover.effect import explain_short
from training.cover.gaps import DayCover
from training.cover.options import PlanSpan, ground_of
from training.cover.pace import shop_at_usual_pace
from training.cover.plan import Ground, Hours, Key, Plan, WhyShort
from training.cover.programme import best_plan
from training.cover.promise import plan_with_promise
from training.cover.rota import Rota, Wanted
from training.records.gathering import gather
from training.reports.cover import rota_of, wanted_of
from training.standing.entitlement import Asking, asking_of
from training.standing.evidence import Shop


@dataclass(frozen=True, slots=True)
class PlanAsked:
    """For how many weeks, with how many hours a day of learners and of seniors, how many levels at
    once, without which line, whether the usual pace of jobs goes on, and without whom (as if they
    were never at work).
    """

    weeks: int
    own_a_day: float
    senior_a_day: float
    at_once: int
    without: str = ""
    at_pace: bool = False
    gone: tuple[str, ...] = ()

    @property
    def gone_named(self) -> tuple[tuple[str, str], ...]:
        """Without whom, by the names of the form's fields."""
        return tuple(zip(("gone", "and_gone"), self.gone, strict=False))

    @property
    def forecast(self) -> str:
        """The forecast as the form names it."""
        return "pace" if self.at_pace else "nothing"

    @property
    def as_query(self) -> str:
        """What was asked, but for the line left out, as the query of an address."""
        return urlencode(
            {
                "weeks": self.weeks,
                "own": self.own_a_day,
                "senior": self.senior_a_day,
                "at_once": self.at_once,
                "forecast": self.forecast,
                **dict(self.gone_named),
            }
        )

    @property
    def left_out(self) -> tuple[Key, ...]:
        """The person and level that are to be done without."""
        person, _, level = self.without.partition("/")
        return ((person, level),) if self.without else ()


@dataclass(frozen=True, slots=True)
class Drafted:
    """What a plan is made on: the shop as it is forecast, its rota, and the ground."""

    shop: Shop
    asking: Asking
    rota: Rota
    ground: Ground

    def plan(self, leave_out: Collection[Key] = ()) -> Plan:
        """The best plan, with the cover that it may promise. Raises NoAnswerError."""
        return plan_with_promise(self.asking, self.ground, best_plan(self.ground, leave_out))

    def unmet(self, plan: Plan) -> list[tuple[DayCover, WhyShort]]:
        """Every day that stays short, with the reason."""
        owners = {person.login for person in self.shop.people if person.trade == "owner"}
        return [
            (
                day,
                explain_short(
                    self.ground,
                    day,
                    sum(
                        self.ground.is_at_work(who, day.workshop, day.day)
                        for who in set(self.rota.at_work(day.workshop, day.day)) - owners
                    ),
                ),
            )
            for day in plan.days
            if day.missing
        ]


def draft_plan(asked: PlanAsked, span: PlanSpan, *, today: date, now: datetime) -> Drafted | None:
    """What a plan of some weeks is made on; None where the shop says nowhere how many it wants. A
    pace of jobs goes on from today.
    """
    wanted = wanted_of()
    if not wanted:
        return None
    shop = gather()
    if asked.at_pace:
        # From today: what is done before the plan begins keeps people in practice too.
        shop = shop_at_usual_pace(shop, today, span.until, now)
    return draft(shop, rota_of(asked.gone), wanted, asked, span, now)


def draft(
    shop: Shop, rota: Rota, wanted: Wanted, asked: PlanAsked, span: PlanSpan, now: datetime
) -> Drafted:
    """The same for a shop that is at hand, as it is forecast."""
    asking = asking_of(shop, now)
    hours = Hours(asked.own_a_day, asked.senior_a_day, asked.at_once)
    return Drafted(shop, asking, rota, ground_of(asking, rota, wanted, span, hours))
