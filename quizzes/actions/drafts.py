"""How does a draft of a question become one, or go for good?"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from procedures.access.acts import Person
from procedures.models import WriteUp
from procedures.records.refused import Refused, refuse_if
from quizzes.access import acts
from quizzes.actions.questions import bring_questions
from quizzes.models import DraftDropped, QuestionVersion
from quizzes.records.offered import offered_drafts

GONE = _(
    "This draft is gone: it was accepted or dropped, or the write-up has changed. Open the drafts "
    "again."
)


@transaction.atomic
def accept_draft(*, writeup: WriteUp, name: str, by: Person, now: datetime) -> QuestionVersion:
    """The draft as a question by this author, which another person accepts before it is asked.
    Raises Refused where it is no longer offered."""
    (version,) = accept_drafts(writeup=writeup, names=[name], by=by, now=now)
    return version


@transaction.atomic
def accept_drafts(
    *, writeup: WriteUp, names: Sequence[str], by: Person, now: datetime
) -> tuple[QuestionVersion, ...]:
    """All these drafts as questions by this author, each of which another person accepts before it
    is asked. Raises Refused, and takes none, where one is no longer offered or none is named."""
    refuse_if(acts.WRITE.why_not(by))
    if not names:
        raise Refused(gettext("Tick the drafts that you want to accept."))
    # Worked out again, as nothing of a draft is stored: the text may have changed since the page.
    offered = {one.name: one for one in offered_drafts(writeup)}
    if not set(names) <= offered.keys():
        raise Refused(str(GONE))
    chosen = [draft for name, draft in offered.items() if name in names]
    return bring_questions(writeup=writeup, questions=chosen, now=now, author=by)


@transaction.atomic
def drop_draft(*, writeup: WriteUp, name: str, by: Person, now: datetime) -> DraftDropped:
    """The draft is not offered again. Raises Refused without the right, and where it is no longer
    offered.
    """
    refuse_if(acts.WRITE.why_not(by))
    if all(one.name != name for one in offered_drafts(writeup)):
        raise Refused(str(GONE))
    return DraftDropped.objects.create(writeup=writeup, name=name, by_id=by.pk, recorded_at=now)
