"""How does somebody get a card, and how is it withdrawn?"""

from __future__ import annotations

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext

from procedures.records.refused import Refused
from training.access import acts
from training.models import Card, User


@transaction.atomic
def make_card(*, person: User, by: User, now: datetime) -> Card:
    """A new card; the one before, perhaps lost, leads nowhere from now on. Raises Refused for
    somebody else's, but for the owner.
    """
    _check(person, by)
    # Two presses at once: the second waits and ends the card of the
    # first. No key, so that rows which name the person need not wait.
    User.objects.select_for_update(no_key=True).get(pk=person.pk)
    _end(person, by, now)
    # No entry in the book: a card says nothing itself, its code asks the standing.
    return Card.objects.create(person=person, made_at=now, made_by=by)


@transaction.atomic
def withdraw_card(*, person: User, by: User, now: datetime) -> None:
    """The card of this person leads nowhere from now on. Raises Refused for somebody else's, but
    for the owner, and where there is none.
    """
    _check(person, by)
    if not _end(person, by, now):
        raise Refused(gettext("There is no card to withdraw."))


def _check(person: User, by: User) -> None:
    if by != person:
        acts.MAKE_CARDS_OF_OTHERS.check(by, person)


def _end(person: User, by: User, now: datetime) -> int:
    return Card.objects.filter(person=person, ended_at__isnull=True).update(
        ended_at=now, ended_by=by
    )
