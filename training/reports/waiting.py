"""Who and what waits for a senior?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Exists, OuterRef, QuerySet

from procedures.access import acts as procedure_acts
from procedures.models import Revision
from procedures.records.statements import prepare_objects
from procedures.records.wording.pieces import join_or
from training.access import acts
from training.models import Observation, StandDown, User, Void, VoidAsked
from training.models.people import is_staying
from training.standing.answer import standings
from training.standing.evidence import Person, Shop
from training.standing.rules.here import has_left
from training.standing.signing import find_least_missing


@dataclass(frozen=True, slots=True)
class Waiting:
    """Somebody who waits for this senior: for what (observe or sign-off), at which level."""

    person: Person
    level: str
    title: str
    what: str


def people_waiting(
    shop: Shop, user: User, levels: tuple[tuple[str, str], ...], on: date, now: datetime
) -> Iterator[Waiting]:
    """Those without a standing alone who lack nothing but this senior's eye or name."""
    logins = [
        person.login
        for person in shop.people
        if person.login != user.login and not has_left(person, on) and person.trade != "owner"
    ]
    people = {person.login: person for person in shop.people}
    found = standings(shop, [level for level, _ in levels], on, now, {}, people=logins)
    for level, title in levels:
        for login in logins:
            # Below “watched” something is missing that no senior can give by eye or name.
            if found[login, level] != "watched":
                continue
            least = find_least_missing(shop, user.login, login, level, on, now)
            if least is None:
                continue
            missing = {reason.code for reason in least}
            # These two only an observer can give; anything else is the person's own to do.
            if missing <= {"not-observed", "change-not-shown"}:
                yield Waiting(people[login], level, title, "observe" if missing else "sign off")


def reviews_waiting(user: User) -> Iterator[Revision]:
    """Revisions in review that this person may release: of which they wrote no word."""
    yield from (row for row in _ask_in_review() if user.pk not in _hands_of(row))


@dataclass(frozen=True, slots=True)
class DraftOfOwn:
    """A draft of this person's that waits for somebody: for them, where it was sent back, else for
    one of those who may release it; `releasers` is empty where nobody can.
    """

    row: Revision
    is_sent_back: bool
    releasers: str


def own_drafts_waiting(user: User, on: date) -> Iterator[DraftOfOwn]:
    """What this person wrote and is sent back, then what is in review; three queries at most."""
    for row in _ask_sent_back():
        if user.pk in _hands_of(row):
            yield DraftOfOwn(row, True, "")
    own = [row for row in _ask_in_review() if user.pk in _hands_of(row)]
    able = tuple(User.objects.able_to(procedure_acts.READ_EXAMPLE.permission, on)) if own else ()
    for row in own:
        names = [one.name for one in able if one.pk not in _hands_of(row)]
        yield DraftOfOwn(row, False, join_or(names))


@prepare_objects
def _ask_sent_back() -> QuerySet[Revision]:
    rows = Revision.objects.open().filter(sent_to_review_at__isnull=True)
    return rows.exclude(sent_back_because="").select_related("writeup").order_by("pk")


@prepare_objects
def _ask_in_review() -> QuerySet[Revision]:
    rows = Revision.objects.open().filter(sent_to_review_at__isnull=False)
    return rows.select_related("writeup", "author").order_by("pk")


def _hands_of(revision: Revision) -> set[int | None]:
    """Everybody who changed a word of it, by their keys: none of them may release it."""
    return {revision.author_id, *revision.writers}


def voids_waiting(user: User) -> Iterator[VoidAsked]:
    """Voids that wait for a second person, whom this one can be."""
    yield from _ask_voids_of_others(user.pk)


@prepare_objects
def _ask_voids_of_others(pk: int) -> QuerySet[VoidAsked]:
    rows = VoidAsked.objects.filter(decided__isnull=True).exclude(by=pk).exclude(person=pk)
    return rows.select_related("person", "by")


@dataclass(frozen=True, slots=True)
class VoidOfOwn:
    """A void that this person asked for and nobody has decided; `deciders` is empty where nobody
    can.
    """

    row: VoidAsked
    deciders: str


def own_voids_waiting(user: User, on: date) -> Iterator[VoidOfOwn]:
    """Voids that this person asked for, with who could decide each; two queries at most."""
    rows = _ask_own_voids(user.pk)
    able = tuple(User.objects.able_to(acts.DECIDE_VOID.permission, on)) if rows else ()
    for row in rows:
        yield VoidOfOwn(row, join_or([one.name for one in able if one not in (user, row.person)]))


@prepare_objects
def _ask_own_voids(pk: int) -> QuerySet[VoidAsked]:
    rows = VoidAsked.objects.filter(decided__isnull=True, by=pk)
    return rows.select_related("person").order_by("pk")


def open_stand_downs() -> list[StandDown]:
    """Stand-downs that nobody has lifted, the oldest first."""
    return _ask_open_stand_downs()


@prepare_objects
def _ask_open_stand_downs() -> QuerySet[StandDown]:
    rows = StandDown.objects.filter(lift__isnull=True).select_related("person", "level", "by")
    return rows.order_by("happened_on", "pk")


def observations_to_show_again(user: User, on: date) -> list[Observation]:
    """Observations that were not right, of people who work here, which nobody has signed as shown
    again and after which nobody saw the person do the level right. Void ones are left out, as the
    standing leaves them out."""
    return _ask_to_show_again(user.pk, on)


@prepare_objects
def _ask_to_show_again(pk: int, on: date) -> QuerySet[Observation]:
    rows = Observation.objects.filter(right=False, shown_again__isnull=True).filter(
        is_staying(on, "person__")
    )
    void = Void.objects.filter(
        kind=Observation.KIND,
        person=OuterRef("person"),
        about=OuterRef("level__name"),
        happened_on=OuterRef("happened_on"),
        recorded_at__gte=OuterRef("recorded_at"),
    )
    right = Observation.objects.filter(
        right=True,
        person=OuterRef("person"),
        level=OuterRef("level"),
        recorded_at__gt=OuterRef("recorded_at"),
    )
    return (
        rows.exclude(person=pk)
        .exclude(Exists(void))
        .exclude(Exists(right.exclude(Exists(void))))
        .select_related("person", "observer", "level")
        .order_by("happened_on", "pk")
    )
