"""What does each person find on their bench: what is next, who waits, who may today and what is
new?
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import ngettext

from procedures.access import acts as procedure_acts
from procedures.models import Revision
from quizzes.access import acts as quiz_acts
from quizzes.records.recalling import count_due
from quizzes.reports.waiting import tell_questions_waiting
from training.access import acts
from training.models import Observation, StandDown, User, VoidAsked, roles
from training.records.gathering import gather
from training.records.wording.presence import say_closed
from training.reports.at_bench import LevelAtBench, levels_at_bench
from training.reports.confirming import (
    JobToConfirm,
    JobUnconfirmed,
    jobs_to_confirm,
    jobs_unconfirmed,
)
from training.reports.cover import Short, rota_of
from training.reports.first_thing import FirstThing, first_thing
from training.reports.fresh_jobs import FreshJob, fresh_jobs
from training.reports.owner_view import (
    LevelToday,
    Since,
    Soon,
    changes_since,
    lapses_soon,
    levels_today,
    quizzes_without_wait,
    short_weeks,
)
from training.reports.waiting import (
    DraftOfOwn,
    VoidOfOwn,
    Waiting,
    observations_to_show_again,
    open_stand_downs,
    own_drafts_waiting,
    own_voids_waiting,
    people_waiting,
    reviews_waiting,
    voids_waiting,
)
from training.reports.who_may import is_closed, shop_levels
from training.standing.evidence import Shop


@dataclass(frozen=True, slots=True)
class Home:
    """The page behind the address of the site. What a person has no part in is empty, or None."""

    on: date
    first: FirstThing | None
    refreshers: str
    levels: tuple[LevelAtBench, ...]
    waiting: tuple[Waiting, ...]
    reviews: tuple[Revision, ...]
    own_drafts: tuple[DraftOfOwn, ...]
    questions: tuple[str, ...]
    voids: tuple[VoidAsked, ...]
    own_voids: tuple[VoidOfOwn, ...]
    to_confirm: tuple[JobToConfirm, ...]
    unconfirmed: tuple[JobUnconfirmed, ...]
    fresh: tuple[FreshJob, ...]
    to_show_again: tuple[Observation, ...]
    standdowns: tuple[StandDown, ...]
    today: tuple[LevelToday, ...]
    closed: str
    since: Since | None
    short: tuple[Short, ...] | None
    soon: tuple[Soon, ...]
    no_wait: tuple[tuple[str, str], ...]
    is_senior: bool


def home_page(user: User, *, on: date, now: datetime, since: date | None) -> Home:
    """What this person needs first: what is next, for those who work on forks; who and what waits,
    for those who sign and release; how the shop stands, for those who see everyone, and for an
    owner what changed since the last visit: since the day before it, so that what happened later on
    its own day is not passed over."""
    # Once for the whole page: every part below reads from the same evidence.
    shop = gather()
    levels = shop_levels(shop, on)
    works, owns = user.works_at_bench, acts.KEEP_PEOPLE.is_open_to(user)
    sees_all = acts.SEE_EVERYONE.is_open_to(user)
    asks, writes = quiz_acts.WRITE.is_open_to(user), procedure_acts.WRITE.is_open_to(user)
    rota = rota_of()
    own = tuple(levels_at_bench(shop, user, levels, on, now)) if works else ()
    return Home(
        on=on,
        first=first_thing(own) if own else None,
        refreshers=_refreshers(user, on) if works else "",
        levels=own,
        waiting=tuple(people_waiting(shop, user, levels, on, now))
        if _may_be_asked_to_sign(user, shop)
        else (),
        reviews=tuple(reviews_waiting(user))
        if procedure_acts.READ_EXAMPLE.is_open_to(user)
        else (),
        questions=tuple(tell_questions_waiting(user.pk, on)) if asks else (),
        own_drafts=tuple(own_drafts_waiting(user, on)) if writes else (),
        voids=tuple(voids_waiting(user)) if acts.ASK_FOR_VOID.is_open_to(user) else (),
        own_voids=tuple(own_voids_waiting(user, on)) if acts.ASK_FOR_VOID.is_open_to(user) else (),
        to_confirm=jobs_to_confirm(user),
        unconfirmed=jobs_unconfirmed(user, on) if works else (),
        fresh=fresh_jobs(user, now),
        to_show_again=tuple(observations_to_show_again(user, on))
        if acts.OBSERVE.is_open_to(user)
        else (),
        standdowns=tuple(open_stand_downs()) if acts.STAND_DOWN.is_open_to(user) else (),
        today=tuple(levels_today(shop, levels, on, now, rota)) if sees_all else (),
        closed=say_closed(on) if sees_all and is_closed(rota, on, shop.people) else "",
        since=changes_since(shop, levels, since - timedelta(days=1), on, now)
        if owns and since
        else None,
        short=short_weeks(shop, levels, on, now, rota) if owns else None,
        soon=tuple(lapses_soon(shop, levels, on, now)) if sees_all else (),
        no_wait=quizzes_without_wait(shop, levels, on) if owns else (),
        # By the role and not by a permission: an owner has those of a senior too.
        is_senior=user.trade == roles.SENIOR,
    )


def _may_be_asked_to_sign(user: User, shop: Shop) -> bool:
    """Whether people can wait for this one's signature: every senior, and an owner who was
    appointed.
    """
    is_appointed = any(row.person == user.login for row in shop.appointments)
    return user.trade == roles.SENIOR or (user.owner and is_appointed)


def _refreshers(user: User, on: date) -> str:
    """How many questions this person is about to forget, in words; empty for none."""
    due = count_due(user.pk, on)
    text = ngettext("{due} practice question is due", "{due} practice questions are due", due)
    return text.format(due=due) if due else ""
