"""How does somebody come to a password of their own making, and whose hand was in it?"""

from __future__ import annotations

import secrets
from base64 import b32encode
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib.auth.hashers import make_password
from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.crypto import salted_hmac
from django.utils.translation import gettext

from procedures.records.refused import Refused
from procedures.records.statements import prepare_once
from training.access import acts
from training.actions.people import put_password
from training.models import AccountChange, KnownDevice, OneTimeLink, Session, User
from training.records.clock import moment
from training.records.keeping import record

LINK_LASTS = timedelta(hours=24)
OWN_FOR = timedelta(hours=1)  # so long a password must have been the person's own before it signs
CODE_BYTES = 10  # 80 bits: NIST SP 800-63B-4, 3.1.2.2, asks for throttling below 64 only


def bare_code(code: str) -> str:
    """A code however it was typed: capitals, spaces and hyphens do not matter."""
    # Codes are typed from paper, and some keyboards put in dashes and spaces of their own.
    return "".join(letter for letter in code.lower() if letter.isascii() and letter.isalnum())


def looks_like_code(code: str) -> bool:
    """Whether this could be the code of a link at all."""
    # Base32 holds five bits in a letter. Anything else need not be looked for.
    return len(bare_code(code)) == CODE_BYTES * 8 // 5


def code_hash(code: str) -> str:
    """What is kept of a code."""
    # Keyed: a stolen backup alone does not open a link that is still good.
    return salted_hmac("training.links", bare_code(code), algorithm="sha256").hexdigest()


@transaction.atomic
def give_link(*, person: User, by: User | None, now: datetime | None = None) -> str:
    """The code of a new link, in groups of four; it is shown once. Earlier links of the person end.

    `by` is None at the terminal. The password stays as it is until the link is used. Raises Refused
    for oneself, without the right, and for somebody who may not sign in.
    """
    now = moment(now)
    if by:
        acts.GIVE_LINK.check(by, person)
    if not person.may_sign_in():
        raise Refused(
            gettext("{name} may not sign in. First allow it on this person’s page.").format(
                name=person.name
            )
        )
    OneTimeLink.objects.filter(person=person).delete()
    # Base32 has no 0 and no 1, which would be read as o and l.
    bare = b32encode(secrets.token_bytes(CODE_BYTES)).decode().lower()
    OneTimeLink.objects.create(
        person=person, code_hash=code_hash(bare), by=by, made_at=now, ends_at=now + LINK_LASTS
    )
    tell(person, AccountChange.LINK_GIVEN, by, now)
    return "-".join(bare[place : place + 4] for place in range(0, len(bare), 4))


@transaction.atomic
def use_link(*, code: str, password: str, now: datetime | None = None) -> User:
    """The person, with the password chosen; the link is used up. Signing waits an hour from now on.

    Raises Refused for a link that is unknown, used or ended, all in the same words, and for a
    password that is too easy.
    """
    now = moment(now)
    link = (
        OneTimeLink.objects.select_related("person__workshop", "by")
        .filter(code_hash=code_hash(code), ends_at__gt=now)
        .first()
    )
    # One sentence for all: which links there ever were is nobody's to find out.
    if link is None or not link.person.may_sign_in():
        raise Refused(
            gettext(
                "This link does not work any more. It was used already, or it is older than "
                "a day. Ask the owner for a new one."
            )
        )
    person = link.person
    put_password(person, password)
    _keep_password(person)
    # Whose hand: whoever gave the link could have used it too, and from here the hour runs.
    tell(person, AccountChange.LINK_USED, link.by, now)
    return person


@transaction.atomic
def set_password_at_terminal(*, person: User, password: str, now: datetime | None = None) -> None:
    """A password set by somebody else's hand: at the first sign-in the person must choose another.
    Raises Refused for an easy one.
    """
    now = moment(now)
    put_password(person, password)
    _keep_password(person)
    tell(person, AccountChange.AT_TERMINAL, None, now)


@transaction.atomic
def choose_password(
    *, person: User, password: str, now: datetime, device: int | None = None, session: str = ""
) -> User:
    """The person, with a password of their own making; only this device stays known, and only this
    session stays.

    Raises Refused for an easy one.

    Where somebody else had set the one before, the hour until the first signature begins now, and a
    further change moves it by nothing.
    """
    # One's own change of one's own password is no entry: no other hand was in it.
    was_set = must_choose(person)
    if was_set:
        now = moment(now)  # the head of the book is locked before any row
    kept = User.objects.select_for_update().get(pk=person.pk)
    put_password(kept, password)
    _keep_password(kept, device, session)
    if was_set:
        tell(kept, AccountChange.OWN_CHOSEN, kept, now)
    return kept


@transaction.atomic
def give_demo_password(*, password: str) -> None:
    """One password for everybody of a demo shop. It is printed, so nothing is given away by one
    hash for all; a hash of its own for each, slow as it is meant to be, took half of the loading.
    """
    User.objects.filter(workshop__is_demo=True).update(password=make_password(password))


def must_choose(person: User) -> bool:
    """Whether the password is one that somebody else has set."""
    return any(what == AccountChange.AT_TERMINAL for what, _ in _ask_last_password(person.pk))


@prepare_once
def _ask_last_password(person: int) -> QuerySet[Any]:
    """What the newest entry says on the person's password in which somebody else had a hand, or
    which answers such a one, and when.

    The record book holds these; a column beside the password could be changed without anybody
    seeing it.
    """
    about = AccountChange.objects.filter(person_id=person, what__in=AccountChange.PASSWORDS)
    return about.order_by("-pk").values_list("what", "recorded_at")[:1]


def check_own_hand(person: User, now: datetime) -> None:
    """Raises Refused within the hour after a password that somebody else had set, and says from
    when on signing works.
    """
    # No such entry: nobody but the person ever had a hand in it.
    what, changed_at = next(iter(_ask_last_password(person.pk)), (None, None))
    if changed_at is None:
        return
    if what == AccountChange.AT_TERMINAL:
        raise Refused(
            gettext(
                "Somebody else set your password. First choose one of your own. You can sign "
                "one hour after that."
            )
        )
    free = changed_at + OWN_FOR
    if now < free:
        # Rounded up to the minute, or the time told would be one at which it is refused again.
        at = timezone.localtime(free + timedelta(seconds=59), ZoneInfo(person.workshop.time_zone))
        raise Refused(
            gettext(
                "You cannot sign yet, because you chose this password with the help of somebody "
                "else. You can sign from {time} on."
            ).format(time=f"{at:%H:%M}")
        )


def tell(person: User, what: str, by: User | None, now: datetime) -> None:
    """The entry of the record book; call it inside the transaction of what it tells."""
    row = AccountChange(person=person, what=what, by=by, recorded_at=now)
    row.full_clean()
    row.save()
    record(AccountChange.KIND, row)


def _keep_password(person: User, device: int | None = None, session: str = "") -> None:
    """Saves it. With the old password go the links, the sessions, and the devices that were known
    by it.
    """
    person.save(update_fields=["password"])
    OneTimeLink.objects.filter(person=person).delete()
    # Whoever knew the old password must be out by the time the new one is in.
    Session.objects.filter(person=person).exclude(pk=session).delete()
    KnownDevice.objects.filter(person=person).exclude(pk=device or 0).delete()
