"""What stands behind one person's answer at one level, and who may do what about it?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import F, Prefetch, QuerySet

from training.access import acts
from training.models import Appointment, Level, StandDown, User
from training.records.gathering import gather
from training.records.levels import title_of
from training.records.wording.asks import RuleInWords, say_rule
from training.records.wording.presence import say_presence
from training.reports.confirming import JobUnconfirmed, jobs_unconfirmed
from training.reports.cover import rota_of
from training.reports.fresh_jobs import FreshJob, fresh_jobs
from training.reports.happened import Happened, entries_of
from training.standing.answer import Answer, answers
from training.standing.entitlement import Asked, as_question, asking_of
from training.standing.rules.here import is_here
from training.standing.signing import find_least_missing, is_alone_for_some_fork
from training.standing.told import explain


@dataclass(frozen=True, slots=True)
class OnePage:
    """The one-person answer with its reasons, the entries it rests on, and the buttons this reader
    has.
    """

    person: User
    level: Level
    title: str
    answer: Answer
    rules: tuple[RuleInWords, ...]
    yardstick: str
    entries: tuple[Happened, ...]
    standdowns: tuple[StandDown, ...]
    may_observe: bool
    may_sign: bool
    may_found: bool
    may_lift: bool
    may_stand_down: bool
    may_enter_job: bool
    may_ask_for_void: bool
    unconfirmed: tuple[JobUnconfirmed, ...]
    fresh: tuple[FreshJob, ...]
    """What the reader can still change or take back, on their own page."""
    is_own: bool
    is_past: bool
    presence: str
    """At work on the day, away or not on the rota, in words."""

    @property
    def last_day(self) -> date | None:
        """The last day of working alone."""
        return self.answer.last_day


def one_page(
    *,
    user: User,
    person: User,
    level: Level,
    on: date,
    known_at: datetime,
    variant: Mapping[str, str],
    today: date,
    now: datetime,
) -> OnePage | None:
    """The page for one answer; None for a level that has no rules yet."""
    shop = gather()
    if not any(rules.level == level.name for rules in shop.levels):
        return None
    asking = asking_of(shop, known_at)
    given = answers(shop, level.name, on, known_at, variant, [person.login], asking)[0]
    standdowns = tuple(open_standdowns(person, level))
    other = user.pk != person.pk
    works_here = other and is_here(person, today)
    # As of today and now, whatever day the page is asked about: a button acts now.
    asked_now = (user.login, person.login, level.name, today, now)
    return OnePage(
        person=person,
        level=level,
        title=title_of(shop, level.name, on),
        answer=given,
        rules=tuple(
            say_rule(told)
            for told in explain(asking, Asked(person.login, level.name, on, as_question(variant)))
        ),
        yardstick=yardstick_of(level, on),
        entries=entries_of(shop, person.login, level.name, known_at),
        standdowns=standdowns,
        may_observe=works_here
        and acts.OBSERVE.is_open_to(user, person)
        # Whoever judges work must be able to do it alone (inspired by 14 CFR 65.81(a)).
        and is_alone_for_some_fork(shop, user.login, level.name, today, now),
        may_sign=works_here
        and acts.SIGN.is_open_to(user, person)
        and find_least_missing(shop, *asked_now) == (),
        may_found=is_here(person, today) and acts.FOUND.is_open_to(user, person),
        may_lift=acts.LIFT.is_open_to(user, person),
        may_stand_down=other and acts.STAND_DOWN.is_open_to(user, person) and not standdowns,
        may_enter_job=other and acts.ENTER_FOR_OTHERS.is_open_to(user, person),
        may_ask_for_void=acts.ASK_FOR_VOID.is_open_to(user, person),
        unconfirmed=jobs_unconfirmed(person, today, level),
        fresh=() if other else fresh_jobs(user, now),
        is_own=not other,
        is_past=on < today,
        presence=say_presence(rota_of().presence(person.login, on)),
    )


@dataclass(frozen=True, slots=True)
class Appointed:
    """One appointment as it is now: its last day, and whether the owner can still end it
    earlier.
    """

    row: Appointment
    last: date | None
    may_be_ended: bool


def appointments_of(person: User, on: date) -> tuple[Appointed, ...]:
    """Every appointment of a person, the latest first, with its level by title; a fixed number of
    queries. One whose days all lie within another one of the level is left out: it shows once.
    """
    rows = Appointment.objects.filter(person=person).select_related("by").order_by("-happened_on")
    found = []
    for row in rows.prefetch_related(Prefetch("level", Level.objects.titled()), "ends"):
        last = min(
            [*(end.until for end in row.ends.all()), *([row.until] if row.until else [])],
            default=None,
        )
        found.append(Appointed(row, last, last is None or last > on))
    return tuple(
        one for place, one in enumerate(found) if not _is_within_another(one, place, found)
    )


def _is_within_another(one: Appointed, place: int, found: Sequence[Appointed]) -> bool:
    """Whether another appointment of the level holds on all its days; of two alike the later one
    in the list is left out.
    """
    mine = (one.row.happened_on, one.last or date.max)
    for other_place, other in enumerate(found):
        theirs = (other.row.happened_on, other.last or date.max)
        covers = theirs[0] <= mine[0] and mine[1] <= theirs[1]
        is_other = other_place != place and other.row.level_id == one.row.level_id
        # Of two that are alike one must stay, and each covers the other.
        if is_other and covers and (theirs != mine or other_place < place):
            return True
    return False


def yardstick_of(level: Level, on: date) -> str:
    """The published rule that the owner wrote beside the version of the level's rules that holds on
    a day; or nothing.
    """
    rows = level.rules.order_by(F("from_day").asc(nulls_first=True), "pk").values_list(
        "from_day", "yardstick"
    )
    chosen = ""
    for place, (first, text) in enumerate(rows):
        if place == 0 or first is None or first <= on:
            chosen = text
    return chosen


def open_standdowns(person: User, level: Level | None = None) -> QuerySet[StandDown]:
    """Stand-downs of a person that nobody has lifted, of one level (and of all) or any."""
    rows = StandDown.objects.filter(person=person, lift__isnull=True).select_related("by")
    rows = rows.prefetch_related(Prefetch("level", Level.objects.titled()))
    return rows.filter(level__isnull=True) | rows.filter(level=level) if level else rows
