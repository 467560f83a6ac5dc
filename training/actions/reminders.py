"""Who gets a daily mail, at an address that is confirmed, and is it sent once only?"""

from __future__ import annotations

import secrets
from datetime import date, datetime, timedelta

from django.db import transaction
from django.utils.crypto import salted_hmac
from django.utils.translation import gettext

from procedures.records.checked import check_row
from procedures.records.refused import Refused
from training.models import AddressMail, MailWish, Reminder, User
from training.models.reminders import AGAIN, TAKEN

KEPT_FOR = timedelta(days=90)
LONGEST = 300  # letters of what a mail server said
# Mails about addresses within a day: enough to mistype twice, too few to fill a mailbox.
WITHIN = timedelta(days=1)
MOST_OF_PERSON, MOST_TO_ADDRESS = 5, 3


@transaction.atomic
def set_wish(*, person: User, address: str, is_wanted: bool, now: datetime) -> MailWish:
    """Where this person wants the daily mail, and whether; another address than before waits to be
    confirmed. Raises Refused for an address that is none.
    """
    User.objects.select_for_update(no_key=True).get(pk=person.pk)
    wish = MailWish.objects.filter(person=person).first()
    if wish is None or wish.address != address:
        wish = MailWish(person=person, address=address, mark=secrets.token_urlsafe(16))
    wish.is_wanted, wish.changed_at = is_wanted, now
    check_row(wish, validate_unique=False)
    wish.save()
    return wish


@transaction.atomic
def confirm_address(*, wish: MailWish, now: datetime) -> None:
    """The link that was sent there was opened: the daily mail may go there. Raises Refused where it
    was used already, or where the address has changed since.
    """
    rows = MailWish.objects.filter(pk=wish.pk, mark=wish.mark, confirmed_at__isnull=True)
    if not wish.mark or not rows.update(confirmed_at=now, mark=""):
        raise Refused(gettext("This link was used already, or the address has changed since."))


@transaction.atomic
def count_address_mail(*, person: User, address: str, now: datetime) -> AddressMail:
    """One more mail about an address goes out. Raises Refused where there were too many within a
    day, of this person or to this address.
    """
    User.objects.select_for_update(no_key=True).get(pk=person.pk)
    AddressMail.objects.filter(at__lte=now - WITHIN).delete()
    address_hash = _hash_address(address)
    rows, there = AddressMail.objects.all(), AddressMail.objects.filter(address_hash=address_hash)
    if rows.filter(person=person).count() >= MOST_OF_PERSON or there.count() >= MOST_TO_ADDRESS:
        raise Refused(gettext("Too many mails about addresses today. Try again tomorrow."))
    return AddressMail.objects.create(person=person, address_hash=address_hash, at=now)


@transaction.atomic
def note_link(*, wish: MailWish, sent: AddressMail, is_gone: bool, now: datetime) -> None:
    """The link has gone out; or it surely has not, and then it does not count."""
    if is_gone:
        MailWish.objects.filter(pk=wish.pk, mark=wish.mark).update(asked_at=now)
    else:
        sent.delete()


def _hash_address(address: str) -> str:
    """One for all ways of writing an address that reach one mailbox at most shops of mail."""
    local, _, domain = address.lower().rpartition("@")
    bare = f"{local.partition('+')[0]}@{domain}"
    return salted_hmac("training.address-mail", bare, algorithm="sha256").hexdigest()


@transaction.atomic
def stop_mail(*, wish: MailWish, now: datetime) -> None:
    """No daily mail any more, until the person wants it again; the address stays."""
    MailWish.objects.filter(pk=wish.pk, is_wanted=True).update(is_wanted=False, changed_at=now)


@transaction.atomic
def take_day(*, person: User, day: date, now: datetime) -> bool:
    """Whether this run, and no other, sends this person's mail of the day. What failed before is
    taken up again.
    """
    # `get_or_create` and the unique row: of two runs at once the second finds the first one's.
    row, is_new = Reminder.objects.get_or_create(person=person, day=day, defaults={"at": now})
    if is_new:
        Reminder.objects.filter(person=person, day__lt=day - KEPT_FOR).delete()
        return True
    # In one statement, so that of two runs at once only one takes it up.
    again = Reminder.objects.filter(pk=row.pk, state__in=AGAIN)
    return bool(again.update(state=TAKEN, at=now, told=""))


@transaction.atomic
def note_end(*, person: User, day: date, state: str, told: str = "", now: datetime) -> None:
    """How it ended: sent, nothing to say, failed or unclear, with what the mail server said."""
    rows = Reminder.objects.filter(person=person, day=day, state=TAKEN)
    rows.update(state=state, told=told[:LONGEST], at=now)
