"""How does an appointment end earlier than it said?"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext

from procedures.records.days.reader import say_day
from procedures.records.refused import Refused
from training.access import acts
from training.actions.entries import write_down
from training.models import Appointment, AppointmentEnd, User
from training.records.clock import moment


@transaction.atomic
def end_appointment(
    *, appointment: Appointment, until: date, by: User, now: datetime | None = None
) -> AppointmentEnd:
    """An earlier last day of an appointment, today or later: what was signed before stays signed.
    So that it is the last day indeed, others of the person and level that would carry it on end
    too, each by an entry of its own.

    Raises Refused without the right, for a day that is over, and for one that is not earlier than
    the last day there is.
    """
    now = moment(now)
    acts.APPOINT.check(by)
    # By `now` and not the clock: it is the instant of the entry, and its day must be the same.
    today = by.workshop.day_of(now)
    if until < today:
        raise Refused(
            gettext("Choose today or a later day. Everything signed until today stays signed.")
        )
    # As it is, earlier ends and all: an end that changes nothing would only fill the record.
    last = last_day(appointment)
    if last is not None and until >= last:
        raise Refused(
            gettext("This appointment ends on {day} anyway. Choose an earlier day.").format(
                day=say_day(last)
            )
        )
    ended, *_others = [
        write_down(
            AppointmentEnd(
                appointment=row,
                until=until,
                by=by,
                happened_on=today,
                recorded_at=now,
                recorded_by=by,
            )
        )
        for row in (appointment, *_carrying_on(appointment, until))
    ]
    return ended


def _carrying_on(appointment: Appointment, until: date) -> Iterator[Appointment]:
    """Other appointments of the person for the level that run beyond a day: those that have begun
    by it, and those within this one, which no page shows beside it.
    """
    mine = last_day(appointment) or date.max
    same = Appointment.objects.filter(person=appointment.person_id, level=appointment.level_id)
    for row in same.exclude(pk=appointment.pk).order_by("pk"):
        last = last_day(row) or date.max
        if last > until and (row.happened_on <= until or _is_within(row, last, appointment, mine)):
            yield row


def _is_within(row: Appointment, last: date, outer: Appointment, outer_last: date) -> bool:
    return outer.happened_on <= row.happened_on and last <= outer_last


def last_day(appointment: Appointment) -> date | None:
    """The last day of an appointment as it is now; None where it has no end."""
    ends = [
        *appointment.ends.values_list("until", flat=True),
        # The earliest holds, as in `Known.appointments`.
        *([appointment.until] if appointment.until else []),
    ]
    return min(ends, default=None)
