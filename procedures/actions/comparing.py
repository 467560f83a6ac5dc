"""How does somebody decide that one change asks for more, or for less, than the comparison
suggests?
"""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext

from procedures.access import acts
from procedures.access.acts import Person
from procedures.models import AskedOfChange, Asks, Revision
from procedures.records.asking import Asked, find_base, list_asked, work_out_least
from procedures.records.refused import Refused, refuse_if
from procedures.writeup.asks import rank

LONGEST = 2000


@transaction.atomic
def ask_of_change(
    *, revision: Revision, step: str, asks: str, reason: str, by: Person, now: datetime, seen: str
) -> Revision:
    """The revision, asking from now on what its changes ask together.

    In a draft whoever writes may ask for more, or with a reason for less; who asks for less does
    not release it. In review whoever may release it may ask for more. `seen` is the digest of the
    change that was shown. Raises Refused for anything else.
    """
    kept = (
        Revision.objects.select_for_update(of=("self",))
        .select_related("writeup")
        .get(pk=revision.pk)
    )
    # Before who may: a refusal about a change that is there no more would send somebody astray.
    found = _change_as_seen(kept, step, seen)
    _must_be_asked(asks)
    asks_less = rank(asks) < rank(found.asks)
    refuse_if((acts.ASK_LESS if asks_less else acts.ASK_MORE).why_not(by, kept))
    lower, reason = rank(asks) < rank(found.change.asks), reason.strip()[:LONGEST]
    if kept.sent_to_review_at is not None:
        # what is to be released is no longer what somebody else may have open
        kept.changed_at = now
    if lower and not reason and found.decision is not None:
        reason = found.decision.reason
    if lower and not reason:
        raise Refused(gettext("Say why less is enough for this change. The reviewer reads it."))
    # Who lowers what is asked has changed what is to be released, and so does not release it.
    if lower and by.pk not in kept.writers and kept.sent_to_review_at is None:
        kept.writers = [*kept.writers, by.pk]
    AskedOfChange.objects.update_or_create(
        revision=kept,
        step=step,
        defaults={
            "asks": asks,
            "suggested": found.change.asks,
            "reason": reason if lower else "",
            "change": found.change.digest,
            "by_id": by.pk,
            "at": now,
        },
    )
    # The whole follows from its changes; nobody sets it against them here.
    kept.asks = work_out_least(kept)
    kept.save()
    return kept


def _change_as_seen(revision: Revision, step: str, seen: str) -> Asked:
    found = next(
        (one for one in list_asked(revision, find_base(revision)) if one.change.key == step), None
    )
    if found is None or found.change.digest != seen:
        raise Refused(gettext("This change is different now. Open the comparison again."))
    return found


def _must_be_asked(asks: str) -> None:
    if asks not in Asks.values:
        raise Refused(
            gettext("Choose what people must do: nothing, read again, answer again or show again.")
        )


def must_ask_enough(revision: Revision) -> None:
    """Raises Refused while a revision asks less than its changes do, together."""
    wanted = work_out_least(revision)
    if rank(revision.asks) < rank(wanted):
        raise Refused(
            gettext(
                "This revision asks “{asks}”, but its changes ask “{wanted}”. Ask for more "
                "in the draft, or say on the comparison page for each change why less is "
                "enough."
            ).format(asks=revision.asks, wanted=wanted)
        )
