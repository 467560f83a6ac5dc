"""How does somebody get the address of a calendar, and what are calendar programs told next?"""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from datetime import date, datetime, timedelta

from django.db import transaction
from django.utils.translation import gettext

from procedures.records.refused import Refused
from training.access import acts
from training.models import CalendarAddress, CalendarEvent, User
from training.models.programs import digest_of
from training.records.occasions import Occasion

# So long a calendar program may have been switched off and still hear of it.
KEPT_FOR = timedelta(days=60)
CONTENT = ("first", "until", "summary", "details")


@transaction.atomic
def make_address(*, person: User, is_shop: bool, now: datetime) -> str:
    """The secret of a new address, which is shown once; the one before leads nowhere from now on.
    Raises Refused for the shop's calendar, but for an owner.
    """
    if is_shop:
        acts.KEEP_PEOPLE.check(person)
    # Two presses at once: the second waits and ends the address of the first.
    User.objects.select_for_update(no_key=True).get(pk=person.pk)
    _end(person, is_shop, now)
    secret = secrets.token_urlsafe(32)
    CalendarAddress.objects.create(
        person=person, is_shop=is_shop, digest=digest_of(secret), made_at=now
    )
    return secret


@transaction.atomic
def end_address(*, person: User, is_shop: bool, now: datetime) -> None:
    """The address leads nowhere from now on. Raises Refused where there is none."""
    if not _end(person, is_shop, now):
        raise Refused(gettext("There is no address to stop."))


def _end(person: User, is_shop: bool, now: datetime) -> int:
    rows = CalendarAddress.objects.filter(person=person, is_shop=is_shop, ended_at__isnull=True)
    return rows.update(ended_at=now)


@transaction.atomic
def tell_calendar(
    *, person: User | None, occasions: Sequence[Occasion], today: date, now: datetime
) -> None:
    """What a calendar program is told from now on: what is new, what changed, what fell away.
    `person` is nobody for the shop's calendar. Writes nothing where nothing changed.
    """
    rows = {row.key: row for row in CalendarEvent.objects.filter(person=person)}
    wanted = {occasion.key: occasion for occasion in occasions}
    # Two programs that ask at once write the same rows; whoever comes second changes nothing.
    CalendarEvent.objects.bulk_create(
        [
            CalendarEvent(person=person, changed_at=now, **occasion.as_columns())
            for key, occasion in wanted.items()
            if key not in rows
        ],
        ignore_conflicts=True,
    )
    for key, row in rows.items():
        if key in wanted:
            _change(row, wanted[key], now)
        else:
            _drop(row, today, now)


def _change(row: CalendarEvent, occasion: Occasion, now: datetime) -> None:
    told = {name: getattr(row, name) for name in CONTENT}
    meant = {name: getattr(occasion, name) for name in CONTENT}
    if told != meant or row.is_cancelled:
        _rewrite(row, now, is_cancelled=False, **meant)


def _drop(row: CalendarEvent, today: date, now: datetime) -> None:
    """What is over happened, so it is not cancelled; both are forgotten after a while."""
    if row.is_cancelled:
        is_old = row.changed_at < now - KEPT_FOR
    elif row.until < today:
        is_old = row.until < today - KEPT_FOR
    else:
        _rewrite(row, now, is_cancelled=True)
        return
    if is_old:
        row.delete()


def _rewrite(row: CalendarEvent, now: datetime, **columns: object) -> None:
    # By its number: of two programs that ask at once only one counts it up.
    CalendarEvent.objects.filter(pk=row.pk, sequence=row.sequence).update(
        sequence=row.sequence + 1, changed_at=now, **columns
    )
