"""Which people, levels and entries may this person see, and what may be done with them?"""

from __future__ import annotations

from typing import TypeVar

from django.core.exceptions import PermissionDenied
from django.db.models import Prefetch, QuerySet
from django.http import Http404, HttpRequest

from procedures.records.statements import prepare_objects
from training.access import acts
from training.access.acts import Act
from training.models import (
    Appointment,
    Job,
    Level,
    Observation,
    SignOff,
    StandDown,
    User,
    VoidAsked,
)

Row = TypeVar("Row")


def who(request: HttpRequest) -> User:
    """The person who is signed in. Raises PermissionDenied for nobody (the sign-in middleware comes
    first).
    """
    if not isinstance(request.user, User):
        raise PermissionDenied
    return request.user


def must(user: User, act: Act) -> None:
    """Raises PermissionDenied for somebody who may not do this, with the act's sentence."""
    if hindrance := act.why_not(user):
        raise PermissionDenied(hindrance)


def person_seen_by(user: User, login: str) -> User:
    """This person, for themselves and for those who see everyone. Raises Http404 for others: they
    need not know.
    """
    # 404 also for people who are here: a 403 would tell who works in the shop.
    if user.login != login and not acts.SEE_EVERYONE.is_open_to(user):
        raise Http404
    return _only(_ask_person(login))


@prepare_objects
def _ask_person(login: str) -> QuerySet[User]:
    return User.objects.select_related("workshop").filter(login=login)


def person_for(user: User, login: str, act: Act) -> User:
    """This person, for somebody who may do something with them. Raises PermissionDenied, or Http404
    for nobody.
    """
    must(user, act)
    return person_seen_by(user, login)


def level_named(name: str) -> Level:
    """This level. Raises Http404 where there is none."""
    return _only(_ask_level(name))


@prepare_objects
def _ask_level(level_name: str) -> QuerySet[Level]:
    return Level.objects.select_related("quiz").filter(name=level_name)


def _only(rows: list[Row]) -> Row:
    if not rows:
        raise Http404
    return rows[0]


def job_to_confirm(user: User, pk: int) -> Job:
    """This job, for the person named as watching it. Raises Http404 for others: they need not
    know.
    """
    rows = Job.objects.select_related(
        "person__workshop", "watched_by", "revision__writeup", "confirmation"
    )
    try:
        return rows.prefetch_related(Prefetch("level", Level.objects.titled())).get(
            pk=pk, watched_by=user, needs_confirmation=True, taken_back__isnull=True
        )
    except Job.DoesNotExist:
        raise Http404 from None


def own_job(user: User, pk: int) -> Job:
    """This job, for the person who did it and wrote it down. Raises Http404 for others: they need
    not know.
    """
    # Both names: a job that a senior entered for somebody is not theirs to change.
    try:
        return Job.objects.select_related("level", "revision", "watched_by").get(
            pk=pk, person=user, recorded_by=user
        )
    except Job.DoesNotExist:
        raise Http404 from None


def appointment_to_end(user: User, pk: int) -> Appointment:
    """This appointment, for an owner. Raises PermissionDenied, or Http404 where there is none."""
    must(user, acts.APPOINT)
    try:
        return (
            Appointment.objects.select_related("person")
            .prefetch_related(Prefetch("level", Level.objects.titled()))
            .get(pk=pk)
        )
    except Appointment.DoesNotExist:
        raise Http404 from None


def standdown_to_lift(user: User, pk: int) -> StandDown:
    """This stand-down, for somebody who may lift one. Raises PermissionDenied, or Http404 where
    there is none.
    """
    must(user, acts.LIFT)
    try:
        rows = StandDown.objects.select_related("person", "by").prefetch_related(
            Prefetch("level", Level.objects.titled())
        )
        return rows.get(pk=pk)
    except StandDown.DoesNotExist:
        raise Http404 from None


def void_asked(user: User, pk: int) -> VoidAsked:
    """This void that was asked for, for somebody who may decide one. Raises PermissionDenied, or
    Http404 where there is none.
    """
    must(user, acts.DECIDE_VOID)
    try:
        return VoidAsked.objects.select_related(
            "person__workshop", "by", "decided__void", "decided__by"
        ).get(pk=pk)
    except VoidAsked.DoesNotExist:
        raise Http404 from None


def observation_seen_by(user: User, pk: int) -> Observation:
    """This observation, for the person it is about and for those who see everyone. Raises Http404
    for others.
    """
    rows = Observation.objects.select_related(
        "person__workshop", "observer", "revision__writeup", "shown_again__by"
    ).prefetch_related(Prefetch("level", Level.objects.titled()))
    try:
        row = rows.get(pk=pk)
    except Observation.DoesNotExist:
        raise Http404 from None
    if row.person_id != user.pk and not acts.SEE_EVERYONE.is_open_to(user):
        raise Http404
    return row


def sign_off_seen_by(user: User, pk: int) -> SignOff:
    """This sign-off, for the person it is about and for those who see everyone. Raises Http404 for
    others.
    """
    try:
        row = SignOff.objects.select_related("person__workshop", "level", "signer").get(pk=pk)
    except SignOff.DoesNotExist:
        raise Http404 from None
    if row.person_id != user.pk and not acts.SEE_EVERYONE.is_open_to(user):
        raise Http404
    return row
