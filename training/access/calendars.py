"""Which calendar lies at a secret address, and does it still?"""

from __future__ import annotations

from training.access import acts
from training.models import CalendarAddress
from training.models.programs import digest_of

# Calendar programs ask a few times a day; a phone, a tablet and a computer that are set up at once
# stay below it.
MOST_A_MINUTE = 20
LONGEST = 200  # letters of a secret


def calendar_at(secret: str) -> CalendarAddress | None:
    """The address with this secret, ended or not; None for one that was never made."""
    if not 0 < len(secret) <= LONGEST:
        return None
    rows = CalendarAddress.objects.select_related("person__workshop")
    return rows.filter(digest=digest_of(secret)).first()


def is_open(row: CalendarAddress) -> bool:
    """Whether the calendar is still handed out there: to somebody who may sign in, and the shop's
    only to an owner.
    """
    # Asked each time: whoever has left, or owns the shop no more, keeps the address in a phone.
    if row.ended_at or not row.person.may_sign_in():
        return False
    return not row.is_shop or acts.KEEP_PEOPLE.is_open_to(row.person)
