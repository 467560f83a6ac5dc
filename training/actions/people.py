"""Who is added, changed or given a new password?"""

from __future__ import annotations

from datetime import date

from django.contrib.auth import password_validation
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext

from procedures.refused import Refused, refused_by
from training.clock import locked_head
from training.keeping import PERSON, record
from training.models import User, Workshop


def _check(row: User | Workshop) -> None:
    try:
        row.full_clean(exclude=["password"] if isinstance(row, User) else None)
    except ValidationError as error:
        raise refused_by(error) from error


@transaction.atomic
def open_workshop(*, name: str, time_zone: str, is_demo: bool = False) -> Workshop:
    """A new workshop. Raises Refused for a name that is taken or a time zone that is not known."""
    workshop = Workshop(name=name, time_zone=time_zone, is_demo=is_demo)
    _check(workshop)
    workshop.save()
    return workshop


@transaction.atomic
def add_person(
    *, login: str, name: str, trade: str, workshop: Workshop, started: date | None, left: date | None = None,
    password: str = "",
) -> User:
    """A new person, with a record book entry. Without a password the person cannot sign in yet. Raises Refused."""
    locked_head()  # before any row: whoever signs holds it first too
    person = User(login=login, name=name, trade=trade, workshop=workshop, started=started, left=left)
    _put_password(person, password)
    _check(person)
    person.save()
    record(PERSON, person)
    return person


@transaction.atomic
def change_person(
    *, person: User, name: str, trade: str, workshop: Workshop, started: date | None, left: date | None,
    is_active: bool, password: str = "",
) -> User:
    """The person as changed, with a record book entry; an empty password leaves the old one.

    Raises Refused where the last open owner would be gone, or for a password that is too easy.
    """
    locked_head()
    person.name, person.trade, person.workshop = name, trade, workshop
    person.started, person.left, person.is_active = started, left, is_active
    _check(person)
    others = User.objects.filter(trade="owner", is_active=True, left__isnull=True).exclude(pk=person.pk)
    stays_owner = trade == "owner" and is_active and left is None
    if not stays_owner and not others.exists():
        raise Refused(gettext("The shop would be left without an owner. Make somebody else owner first."))
    if password:
        _put_password(person, password)
    person.save()
    record(PERSON, person)
    return person


@transaction.atomic
def set_password(*, person: User, password: str) -> None:
    """A new password for somebody, set by the owner. Raises Refused for one that is too easy."""
    _put_password(person, password)
    person.save(update_fields=["password"])


def _put_password(person: User, password: str) -> None:
    if not password:
        person.set_unusable_password()
        return
    try:
        password_validation.validate_password(password, person)
    except ValidationError as error:
        raise refused_by(error) from error
    person.set_password(password)
