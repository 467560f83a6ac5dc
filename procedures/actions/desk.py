"""How is what somebody types at the author's desk kept, saved, and set aside?"""

import re
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext

from procedures.access import acts
from procedures.access.acts import Person
from procedures.actions.examples import mark_example
from procedures.actions.writeups import bring_writeup, save_draft, start_writeup
from procedures.models import Revision, Thing, Typed, WriteUp
from procedures.records import texts
from procedures.records.refused import Refused, refuse_if
from procedures.writeup.ids import write_ids
from procedures.writeup.old_text import Guessed, draft_from_old

MOST_KEPT = 12  # desks of one person and draft; the oldest goes when one more comes
# Made by our page, but sent back by a browser as it likes.
_DESK = re.compile(r"[A-Za-z0-9_-]{1,40}\Z")


@transaction.atomic
def keep_typing(
    *,
    revision: Revision,
    by: Person,
    desk: str,
    text: str,
    reason: str,
    seen: datetime,
    now: datetime,
) -> Typed | None:
    """What is kept of this desk from now on; None, and nothing is kept, where the draft says the
    same already.

    Raises Refused when this person may not write, and for a released revision, which nobody types
    on.
    """
    kept = Revision.objects.select_for_update(of=("self",)).get(pk=revision.pk)
    refuse_if(acts.TYPE.why_not(by, kept))
    if not _DESK.match(desk):
        raise Refused(
            gettext(
                "This page is out of date. Copy your text, open the page again and go on there."
            )
        )
    mine = Typed.objects.filter(revision=kept, person_id=by.pk)
    if (text, reason) == (kept.text, kept.reason):
        mine.filter(desk=desk).delete()
        return None
    values = {"text": text, "reason": reason, "seen": seen, "kept_at": now}
    row, _ = Typed.objects.update_or_create(
        revision=kept, person_id=by.pk, desk=desk, defaults=values
    )
    too_many = list(mine.values_list("pk", flat=True)[MOST_KEPT:])
    Typed.objects.filter(pk__in=too_many).delete()
    return row


@transaction.atomic
def drop_typing(*, revision: Revision, by: Person, desk: str) -> None:
    """Nothing of this person's desk is kept any more."""
    Typed.objects.filter(revision=revision, person_id=by.pk, desk=desk).delete()


@transaction.atomic
def save_from_desk(
    *,
    revision: Revision,
    by: Person,
    desk: str,
    text: str,
    reason: str,
    asks: str,
    seen: datetime,
    now: datetime,
    over: bool = False,
) -> Revision:
    """The draft with this text in it; what was kept of this desk is gone, since the draft has it.

    With `over` the text that is written over is kept for the person who had saved it, as typed and
    not saved. Raises Refused as `save_draft` does.
    """
    before = Revision.objects.select_for_update(of=("self",)).get(pk=revision.pk)
    saved = save_draft(
        revision=revision, text=text, reason=reason, asks=asks, by=by, now=now, seen=seen
    )
    drop_typing(revision=saved, by=by, desk=desk)
    # Only another's words need keeping; who writes over an own text means to.
    if over and before.author_id not in (None, by.pk) and before.text != saved.text:
        Typed.objects.update_or_create(
            revision=saved,
            person_id=before.author_id,
            desk=f"over-{before.changed_at:%Y%m%d%H%M%S%f}",
            defaults={
                "text": before.text,
                "reason": before.reason,
                "seen": before.changed_at,
                "kept_at": now,
            },
        )
    return saved


@transaction.atomic
def start_from_old(*, name: str, title: str, text: str, author: Person, now: datetime) -> Revision:
    """The first draft of a new write-up, guessed from an old text. Raises Refused when the name is
    taken or not allowed.
    """
    guessed = draft_from_old(text, title=title)
    draft = start_writeup(name=name, title=guessed.title[:200], author=author, now=now)
    return save_draft(
        revision=draft, text=guessed.text, reason="", asks=draft.asks, by=author, now=now, seen=None
    )


@transaction.atomic
def bring_old(*, name: str, guessed: Guessed, now: datetime) -> Revision:
    """The first draft of a new write-up from a folder, by nobody of this site. Raises Refused when
    the name is taken or not allowed.
    """
    if WriteUp.objects.filter(name=name).exists():
        raise Refused(
            gettext(
                "There is a write-up named “{name}” already. Choose another short name."
            ).format(name=name)
        )
    writeup = bring_writeup(name=name, title=guessed.title[:200])
    # No author and no writers: whoever sends it to review answers for it.
    return Revision.objects.create(
        writeup=writeup, number=1, text=write_ids(guessed.text), changed_at=now
    )


@transaction.atomic
def bring_example(*, name: str, text: str, by: Person, now: datetime) -> Revision:
    """The first draft of a write-up from the examples, which carries the mark that nobody has read
    it for this shop. Raises Refused when the name is taken.
    """
    refuse_if(acts.WRITE.why_not(by))
    own = texts.take_dates_off(text)
    draft = bring_old(name=name, guessed=Guessed(texts.parse_once(own).title, own, ()), now=now)
    mark_example(thing=Thing.WRITE_UP, name=name, text=draft.text, by=by, now=now)
    return draft
