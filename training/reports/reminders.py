"""What should somebody hear of who does not open the site?

A person's own reminder says nothing about others: what waits for them is counted, not named.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext, ngettext

from procedures.records.days.reader import say_day
from training.access import acts
from training.models import MailWish, Planned, Reminder, User
from training.records.gathering import gather
from training.records.wording.steps import say_step
from training.reports.at_bench import LevelAtBench
from training.reports.cover import Short, describe_days, rota_of
from training.reports.home import Home, home_page
from training.reports.owner_view import SOON, Soon, lapses_soon, short_weeks
from training.reports.who_may import shop_levels
from training.standing.answer import answers
from training.standing.rules.here import has_left

WEEK = timedelta(days=6)  # from today on: seven days


@dataclass(frozen=True, slots=True)
class Reminding:
    """What somebody is told today: sentences, and for an owner where the week is short."""

    on: date
    runs_out: tuple[str, ...]
    waits: tuple[str, ...]
    planned: tuple[str, ...]
    short: tuple[Short, ...]

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to tell, so that no mail goes out."""
        return not (self.runs_out or self.waits or self.planned or self.short)


@dataclass(frozen=True, slots=True)
class PrintedFor:
    """The part of the printed list for one person, to cut off and hand out."""

    login: str
    name: str
    workshop: str
    runs_out: tuple[str, ...]
    planned: tuple[str, ...]
    steps: tuple[tuple[str, tuple[str, ...]], ...]
    """What to do next, by the title of the level: the steps themselves may not name it."""

    def say_steps(self) -> list[str]:
        """Return each step as a line of its own, with its level."""
        line = gettext("{title}: {step}")
        return [
            line.format(title=title, step=step) for title, steps in self.steps for step in steps
        ]


def gather_reminder(user: User, *, on: date, now: datetime) -> Reminding:
    """What this person is told on a day."""
    page = home_page(user, on=on, now=now, since=None)
    short: tuple[Short, ...] | None = None
    if acts.KEEP_PEOPLE.is_open_to(user):
        shop = gather()
        short = short_weeks(shop, shop_levels(shop, on), on, now, rota_of(), WEEK)
    return Reminding(
        on=on,
        runs_out=tuple(_runs_out(page.levels, on)),
        waits=tuple(_waits(page)),
        planned=tuple(
            _say_planned(level.cell.title, *level.planned) for level in page.levels if level.planned
        ),
        short=short or (),
    )


def wishes() -> tuple[MailWish, ...]:
    """Everybody who wants the daily mail and may sign in, by login, their address confirmed or not
    yet; one query.
    """
    rows = MailWish.objects.filter(is_wanted=True).select_related("person__workshop")
    return tuple(wish for wish in rows.order_by("person__login") if wish.person.may_sign_in())


def last_reminder(person: User) -> Reminder | None:
    """How the newest mail to this person ended."""
    return Reminder.objects.filter(person=person).order_by("day").last()


def printed_list(*, on: date, now: datetime) -> tuple[PrintedFor, ...]:
    """For each person at the bench who has something to hear, what runs out, what is planned and
    what to do next; a fixed number of queries.
    """
    shop = gather()
    levels = shop_levels(shop, on)
    soon = tuple(lapses_soon(shop, levels, on, now))
    titles = dict(levels)
    planned = [
        (login, _say_planned(titles.get(level, level), first, until))
        for login, level, first, until in Planned.objects.order_by("first").values_list(
            "person__login", "level__name", "first", "until"
        )
    ]
    people = [one for one in shop.people if one.trade != "owner" and not has_left(one, on)]
    logins = [one.login for one in people]
    steps: dict[str, list[tuple[str, tuple[str, ...]]]] = {login: [] for login in logins}
    for level, title in levels:
        for given in answers(shop, level, on, now, {}, logins):
            if not any(step.code == "earlier-level-first" for step in given.next):
                # What is due in a year only hides what is due now.
                own = tuple(
                    say_step(step)
                    for step in given.next
                    if step.who == "person" and (step.by is None or step.by <= on + SOON)
                )
                if own:
                    steps[given.person].append((title, own))
    found = (
        PrintedFor(
            one.login,
            one.name,
            one.workshop,
            tuple(_say_soon(row) for row in soon if row.login == one.login),
            tuple(said for login, said in planned if login == one.login),
            tuple(steps[one.login]),
        )
        for one in sorted(people, key=lambda one: (one.workshop, one.name))
    )
    return tuple(one for one in found if one.runs_out or one.planned or one.steps)


def _runs_out(levels: tuple[LevelAtBench, ...], on: date) -> Iterator[str]:
    for level in levels:
        lapse = level.cell.answer.lapses_on
        if lapse is not None and lapse <= on + SOON:
            yield _say_runs_out(level.cell.title, lapse - timedelta(days=1))
            yield from (say_step(step) for step in level.cell.answer.next)


def _waits(page: Home) -> Iterator[str]:
    """One's own next thing, then what waits for this person, in numbers."""
    if page.first and page.first.way != "none":
        yield f"{page.first.text} {page.first.why}"
    if page.refreshers:
        yield page.refreshers
    people = len({one.person.login for one in page.waiting})
    for number, text in (
        (people, _say_people(people)),
        (len(page.to_confirm), _say_jobs(len(page.to_confirm))),
        (len(page.reviews), _say_reviews(len(page.reviews))),
        (len(page.voids), _say_cancelling(len(page.voids))),
        (len(page.to_show_again), _say_shown_again(len(page.to_show_again))),
    ):
        if number:
            yield text


def _say_people(number: int) -> str:
    return ngettext(
        "{number} person waits for an observation or a sign-off by you.",
        "{number} people wait for an observation or a sign-off by you.",
        number,
    ).format(number=number)


def _say_jobs(number: int) -> str:
    return ngettext(
        "{number} supervised job waits until you confirm it.",
        "{number} supervised jobs wait until you confirm them.",
        number,
    ).format(number=number)


def _say_reviews(number: int) -> str:
    return ngettext(
        "{number} write-up waits for a review.", "{number} write-ups wait for a review.", number
    ).format(number=number)


def _say_cancelling(number: int) -> str:
    return ngettext(
        "{number} request to cancel a wrong entry waits for a second person.",
        "{number} requests to cancel a wrong entry wait for a second person.",
        number,
    ).format(number=number)


def _say_shown_again(number: int) -> str:
    return ngettext(
        "{number} observation waits until the work is shown again.",
        "{number} observations wait until the work is shown again.",
        number,
    ).format(number=number)


def _say_soon(row: Soon) -> str:
    return _say_runs_out(row.title, row.last_day)


def _say_runs_out(title: str, last: date) -> str:
    return gettext("{title}: signed off until {day}.").format(title=title, day=say_day(last))


def _say_planned(title: str, first: date, until: date) -> str:
    days = describe_days(first, until)
    return gettext("{title}: planned for {days}.").format(title=title, days=days)
