"""What stands in somebody's own calendar, and in the shop's?

A person's own says nothing of others. The shop's, for owners, names everybody. Neither gives a
reason for an absence, since an address may end up where it was not meant to.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext

from training.access import acts
from training.models import Absence, CalendarAddress, CalendarEvent, Planned, User
from training.models.people import is_staying
from training.records.gathering import gather
from training.records.occasions import Occasion
from training.records.wording.steps import say_step
from training.reports.who_may import shop_levels
from training.standing.answer import Answer, answers
from training.standing.evidence import Person, Shop
from training.standing.known import Known
from training.standing.rules.here import has_left

PAST = timedelta(days=30)  # so long what is over stays in the calendar
WATCHED = frozenset({"observe", "show-again"})

Spans = dict[tuple[str, str], tuple[date, date]]


@dataclass(frozen=True, slots=True)
class AddressesShown:
    """The open addresses of a person: of the own calendar, and of the shop's for an owner."""

    own: CalendarAddress | None
    shop: CalendarAddress | None
    may_have_shop: bool


def addresses_of(person: User) -> AddressesShown:
    """Which calendar addresses this person has now; one query."""
    rows = CalendarAddress.objects.filter(person=person, ended_at__isnull=True)
    found = {row.is_shop: row for row in rows}
    may = acts.KEEP_PEOPLE.is_open_to(person)
    return AddressesShown(found.get(False), found.get(True) if may else None, may)


def told_events(person: User | None) -> tuple[CalendarEvent, ...]:
    """What calendar programs are told, as it was kept; of the shop's calendar for nobody."""
    return tuple(CalendarEvent.objects.filter(person=person))


def own_occasions(person: User, on: date, now: datetime) -> tuple[Occasion, ...]:
    """What stands in this person's own calendar, and nothing about anybody else."""
    shop = gather()
    one = shop.files.people.get(person.login)
    people = (one,) if one and person.works_at_bench else ()
    found = (*_of_standing(shop, people, on, now, is_own=True), *_away((person,), on, is_own=True))
    return tuple(sorted(found, key=lambda one: (one.first, one.key)))


def shop_occasions(on: date, now: datetime) -> tuple[Occasion, ...]:
    """What stands in the calendar of the shop: the same of everybody who has not left."""
    shop = gather()
    people = [one for one in shop.people if not has_left(one, on)]
    rows = User.objects.filter(is_staying(on))
    found = (*_of_standing(shop, people, on, now, is_own=False), *_away(rows, on, is_own=False))
    return tuple(sorted(found, key=lambda one: (one.first, one.key)))


def _of_standing(
    shop: Shop, people: tuple[Person, ...] | list[Person], on: date, now: datetime, *, is_own: bool
) -> Iterator[Occasion]:
    """What runs out, what is to be observed and what is planned."""
    logins = [person.login for person in people]
    planned, known = _planned(logins), Known(shop, now)
    for level, title in shop_levels(shop, on):
        for person, given in zip(people, answers(shop, level, on, now, {}, logins), strict=True):
            about = level if is_own else f"{person.login}/{level}"
            words = _Words(title, "" if is_own else person.name)
            span = planned.get((person.login, level))
            if span and any(row.on >= span[0] for row in known.signoffs(person.login, level)):
                span = None  # it was done since it began
            yield from _runs_out(given, about, words)
            yield from _to_observe(given, span, about, words)
            if span:
                yield Occasion(f"plan/{about}", *span, words.planned(), _next(given))


def _planned(logins: list[str]) -> Spans:
    rows = Planned.objects.filter(person__login__in=logins)
    return {
        (login, level): (first, until)
        for login, level, first, until in rows.values_list(
            "person__login", "level__name", "first", "until"
        )
    }


def _runs_out(given: Answer, about: str, words: _Words) -> Iterator[Occasion]:
    if given.lapses_on is not None:
        last = given.lapses_on - timedelta(days=1)
        yield Occasion(f"runs-out/{about}", last, last, words.runs_out(), _next(given))


def _to_observe(
    given: Answer, span: tuple[date, date] | None, about: str, words: _Words
) -> Iterator[Occasion]:
    """What a senior is to watch, by the day that the rules or the plan set for it."""
    for step in given.next:
        if step.code in WATCHED and (by := step.by or (span[1] if span else None)):
            yield Occasion(f"observe/{about}", by, by, words.to_observe(), say_step(step))
            return


def _next(given: Answer) -> str:
    return "\n".join(say_step(step) for step in given.next)


def _away(people: Iterable[User], on: date, *, is_own: bool) -> Iterator[Occasion]:
    rows = Absence.objects.filter(person__in=people, until__gte=on - PAST)
    for pk, name, first, until in rows.order_by("pk").values_list(
        "pk", "person__name", "first", "until"
    ):
        said = gettext("Away") if is_own else gettext("{name} is away").format(name=name)
        yield Occasion(f"away/{pk}", first, until, said)


@dataclass(frozen=True, slots=True)
class _Words:
    """The lines about one level; in the shop's calendar they name the person."""

    title: str
    name: str

    def runs_out(self) -> str:
        text = (
            gettext("{name}, {title}: last day signed off")
            if self.name
            else gettext("{title}: last day signed off")
        )
        return self._say(text)

    def to_observe(self) -> str:
        text = (
            gettext("{name}, {title}: observation due")
            if self.name
            else gettext("{title}: observation due")
        )
        return self._say(text)

    def planned(self) -> str:
        text = gettext("{name}, {title}: planned") if self.name else gettext("{title}: planned")
        return self._say(text)

    def _say(self, text: str) -> str:
        return text.format(title=self.title, name=self.name)
