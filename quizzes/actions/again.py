"""How does a senior clear the way to the next sitting, and how does a sitter take more time?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TypeVar

from django.db import transaction
from django.utils.translation import gettext

from procedures.access.acts import Person
from procedures.records.above import moment, record
from procedures.records.checked import check_row
from procedures.records.refused import Refused, refuse_if
from quizzes.access import acts
from quizzes.models import GoneThrough, MoreTime, Sitting, Talk
from quizzes.records.retry import missed_steps

Row = TypeVar("Row", GoneThrough, Talk)


@dataclass(frozen=True, slots=True)
class Signature:
    """The sentence that was signed, the name under it, and the digest of what was shown."""

    meaning: str
    printed_name: str
    shown_digest: str


@transaction.atomic
def record_gone_through(
    *,
    sitting: Sitting,
    steps: Sequence[tuple[str, str]],
    by: Person,
    signature: Signature,
    on: date,
    now: datetime | None = None,
) -> GoneThrough:
    """The signed statement that each missed step was gone through again; with its record book
    entry.

    Raises Refused for one's own sitting, one that was passed or is open, and where a missed step is
    left out.
    """
    now = moment(now)
    refuse_if(acts.CLEAR_THE_WAY.why_not(by, sitting, on))
    # With so few answers most steps were not missed but never asked, so nobody went through them.
    if sitting.is_cut_short():
        raise Refused(
            gettext(
                "There is nothing to go through: this sitting was ended before half of its "
                "questions were answered. Wait for the day on which the next one can start."
            )
        )
    missing = [step for step in missed_steps(sitting) if step not in set(steps)]
    if missing:
        raise Refused(
            gettext("Nothing was signed. Go through each missed step and tick it. These are left:"),
            [step for _, step in missing],
        )
    row = GoneThrough(
        sitting=sitting, steps=[list(step) for step in steps], **_signed(by, signature, on, now)
    )
    return _kept(GoneThrough.KIND, row)


@transaction.atomic
def record_talk(
    *,
    sitting: Sitting,
    note: str,
    by: Person,
    signature: Signature,
    on: date,
    now: datetime | None = None,
) -> Talk:
    """The talk after sittings in a row that were not passed; with its record book entry.

    Raises Refused for one's own sitting, one that was passed or is open, and without a word on what
    came out.
    """
    now = moment(now)
    refuse_if(acts.CLEAR_THE_WAY.why_not(by, sitting, on))
    if not note.strip():
        raise Refused(gettext("Say in one sentence what you agreed in the talk."))
    return _kept(
        Talk.KIND, Talk(sitting=sitting, note=note.strip(), **_signed(by, signature, on, now))
    )


@transaction.atomic
def take_more_time(*, sitting: Sitting, now: datetime) -> MoreTime:
    """As many minutes more as the quiz gives, written down with the sitting. It is always granted,
    as often as it is asked for (WCAG 2.2, 2.2.1), also when the time is over. Raises Refused for a
    sitting that has ended or has no time set.
    """
    # Held, or time granted beside the end of the sitting would change what is sealed.
    kept = Sitting.objects.select_for_update().filter(pk=sitting.pk).first()
    if kept is None or not kept.is_open():
        raise Refused(gettext("This sitting has ended, so nothing in it can be changed."))
    ends = kept.ends_at()
    if not kept.minutes or ends is None:
        raise Refused(gettext("This sitting has no time limit. Take the time that you need."))
    # After the end the new minutes count from now, or they would be over before they began.
    late = max(0, -int((ends - now).total_seconds() // 60))
    return MoreTime.objects.create(sitting=kept, minutes=kept.minutes + late, recorded_at=now)


def _signed(by: Person, signature: Signature, on: date, now: datetime) -> dict[str, object]:
    return {
        "by_id": by.pk,
        "meaning": signature.meaning,
        "printed_name": signature.printed_name,
        "shown_digest": signature.shown_digest,
        "happened_on": on,
        "recorded_at": now,
        "once": True,
    }


def _kept(kind: str, row: Row) -> Row:
    check_row(row)
    row.save()
    record(kind, row)
    return row
