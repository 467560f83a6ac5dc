"""Who is added or changed?"""

from __future__ import annotations

from datetime import date

from django.contrib.auth import password_validation
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext

from procedures.records.checked import check_row
from procedures.records.refused import Refused, make_refusal
from procedures.writeup.letters import put_in_one_line
from training.access import acts
from training.access.logins import is_taken_by_site
from training.models import Session, User, Workshop, roles
from training.records.clock import lock_head
from training.records.keeping import PERSON, record


@transaction.atomic
def open_workshop(*, name: str, time_zone: str, is_demo: bool = False) -> Workshop:
    """A new workshop. Raises Refused for a name that is taken or a time zone that is not known."""
    lock_head()
    # Two names that look the same are then the same, or the second is refused as taken.
    workshop = Workshop(name=put_in_one_line(name), time_zone=time_zone, is_demo=is_demo)
    check_row(workshop)
    workshop.save()
    record(Workshop.KIND, workshop)
    return workshop


@transaction.atomic
def add_person(
    *,
    login: str,
    name: str,
    trade: str,
    workshop: Workshop,
    started: date | None,
    left: date | None = None,
    owner: bool = False,
    by: User | None = None,
    password: str = "",
) -> User:
    """A new person, with a record book entry that names who added them; nobody where it was done at
    the terminal. The trade `owner` is an owner who does no bench work.

    Without a password the person cannot sign in until given a link. Raises Refused.
    """
    lock_head()  # before any row: whoever signs holds it first too
    # Only for new ones: the record book holds the logins there are.
    if is_taken_by_site(login):
        raise Refused(
            gettext(
                "This site uses “{login}” for itself. Choose another login, such as first.mechanic."
            ).format(login=login)
        )
    person = User(
        login=login,
        name=put_in_one_line(name),
        trade=trade,
        owner=owner or trade == roles.OWNER,
        workshop=workshop,
        started=started,
        left=left,
        changed_by=by,
    )
    put_password(person, password)
    # After the password, without which `full_clean` refuses the row.
    check_row(person)
    person.save()
    record(PERSON, person)
    return person


@transaction.atomic
def change_person(
    *,
    person: User,
    by: User,
    name: str,
    trade: str,
    owner: bool,
    workshop: Workshop,
    started: date | None,
    left: date | None,
    is_active: bool,
) -> User:
    """The person as changed, with a record book entry that names who did it.

    Raises Refused without the right, and where no owner would be left who can sign in. Two owners
    who let each other go at one moment come one after the other, and the second one has no right
    any more.
    """
    lock_head()
    # Behind the lock: what the page had may be older than what somebody else has changed since.
    kept = User.objects.select_related("workshop").get(pk=person.pk)
    # Of two owners who let each other go, the second has no right left.
    acts.KEEP_PEOPLE.check(by)
    was_owner = _is_lasting_owner(kept)
    kept.name, kept.trade, kept.owner = put_in_one_line(name), trade, owner
    kept.workshop, kept.changed_by = workshop, by
    kept.started, kept.left, kept.is_active = started, left, is_active
    check_row(kept)
    if was_owner and not _is_lasting_owner(kept) and not _other_owner(kept):
        raise Refused(
            gettext("The shop needs an owner who can sign in. First make somebody else an owner.")
        )
    kept.save()
    # ASVS 7.4.2: with the account its sessions end at once.
    if not kept.may_sign_in():
        Session.objects.filter(person=kept).delete()
    record(PERSON, kept)
    return kept


def put_password(person: User, password: str) -> None:
    """Sets it on the row, which is not saved; an empty one is none. Raises Refused for one that is
    too easy.
    """
    if not password:
        person.set_unusable_password()
        return
    try:
        password_validation.validate_password(password, person)
    except ValidationError as error:
        raise make_refusal(error) from error
    person.set_password(password)


def _is_lasting_owner(person: User) -> bool:
    """Whether this is an owner with an open account and no last day."""
    # No last day at all: one in the future would leave the shop without an owner by itself.
    return person.owner and person.is_active and person.left is None


def _other_owner(person: User) -> bool:
    owners = User.objects.filter(owner=True, is_active=True, left__isnull=True).exclude(
        pk=person.pk
    )
    # An owner who was never given a link cannot sign in to help anybody.
    return any(owner.has_usable_password() for owner in owners)
