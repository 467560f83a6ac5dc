"""Who gets a daily mail, and is it sent once only?"""

from __future__ import annotations

from datetime import date, datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction

from procedures.records.refused import make_refusal
from training.models import MailWish, Reminder, User
from training.models.reminders import AGAIN, TAKEN

KEPT_FOR = timedelta(days=90)
LONGEST = 300  # letters of what a mail server said


@transaction.atomic
def set_wish(*, person: User, address: str, is_wanted: bool, now: datetime) -> MailWish:
    """Where this person wants the daily mail, and whether. Raises Refused for an address that is
    none.
    """
    wish = MailWish(person=person, address=address, is_wanted=is_wanted, changed_at=now)
    try:
        wish.full_clean(validate_unique=False)
    except ValidationError as error:
        raise make_refusal(error) from error
    MailWish.objects.update_or_create(
        person=person, defaults={"address": wish.address, "is_wanted": is_wanted, "changed_at": now}
    )
    return wish


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
