"""Which instant does a write stand under, and is the machine's clock right?

Whoever writes into the record book locks its head first and takes the instant only then. So all
writers stand in one queue, each sees what the one before wrote, and no entry is older than the one
before it.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext

from procedures.records.days.reader import say_moment
from procedures.records.refused import Refused
from training.models.book import BookHead, newest_instant
from training.records.book.chain import START

# A clock that is kept right over the network steps back by less; the instant after the newest is
# then taken.
STEP = timedelta(seconds=2)
# The finest that both databases keep.
TICK = timedelta(microseconds=1)


class ClockBehind(Refused):
    """A write that waits until the clock is right."""


def lock_head() -> BookHead:
    """The head of the record book, held until the transaction ends. Raises RuntimeError outside of
    one.
    """
    # Without a transaction the lock would be gone before the write it is for.
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError(
            "The record book is written inside the transaction of the write that it records."
        )
    # SQLite knows no row locks: there IMMEDIATE has let only one writer in already.
    head, _ = BookHead.objects.select_for_update().get_or_create(pk=1, defaults={"digest": START})
    return head


def moment(given: datetime | None = None) -> datetime:
    """The instant for everything that this transaction writes; from here on to its end nobody else
    writes an entry.

    `given` is for tests and for records that are brought in: it comes back as it is. Raises
    ClockBehind where the clock shows a time before the newest entry.
    """
    lock_head()
    # Under the lock, so that no entry can come between the newest and this instant.
    return given or instant_after(newest_instant())


def urgent_moment(given: datetime | None = None) -> datetime:
    """The instant for what cannot wait until the clock is right (a stand-down): never before the
    newest entry.
    """
    lock_head()
    now, newest = given or timezone.now(), newest_instant()
    # After the newest and not as the clock says: the order of the record holds in this case too.
    return now if newest is None or now >= newest else newest + TICK


def instant_after(newest: datetime | None) -> datetime:
    """Now, where the newest entry is not later. Raises ClockBehind."""
    now = timezone.now()
    if newest is None or now >= newest:
        return now
    # A step back by the network's time is nobody's fault, and nobody should be stopped by it.
    if newest - now <= STEP:
        return newest + TICK
    raise ClockBehind(say_behind(now, newest))


def say_behind(now: datetime, newest: datetime) -> str:
    """What is wrong with the clock, and what to do."""
    shown, wanted = (say_moment(instant, seconds=True) for instant in (now, newest))
    return gettext(
        "Nothing was saved. The clock of this machine shows {shown}, but the newest "
        "entry was written on {wanted}. Set the clock right. If the clock is right "
        "now, it was ahead before: wait until {wanted}, or tell the owner."
    ).format(shown=shown, wanted=wanted)


def clock_fault() -> str:
    """What the owner is told where the machine's clock is behind the record book; nothing where it
    is not.

    A clock that was set ahead and then right again leaves entries in the future. They stay, since
    nobody can tell which of their days are wrong, and the site waits for their time: to write
    before them would put the order of the record in doubt.
    """
    newest, now = newest_instant(), timezone.now()
    # The same measure as for a write: whoever may write need not be alarmed.
    if newest is None or newest - now <= STEP:
        return ""
    shown, wanted = (say_moment(instant, seconds=True) for instant in (now, newest))
    return gettext(
        "The clock of this machine is behind: it shows {shown}, but the newest entry "
        "was written on {wanted}. Until then the site saves only stand-downs, and "
        "every answer is for that time. Set the clock right. If the clock is right "
        "now, it was ahead before, and some entries have a wrong day: wait until "
        "{wanted}, or restore the last good backup."
    ).format(shown=shown, wanted=wanted)
