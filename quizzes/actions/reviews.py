"""How does somebody accept a question, confirm it after a change, or take it back?"""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext

from procedures.access.acts import Person
from procedures.records.above import moment, record
from procedures.records.refused import Refused, refuse_if
from procedures.records.texts import rules_text
from quizzes.access import acts
from quizzes.access.others import has_other_writers
from quizzes.models import Question, QuestionConfirmed, QuestionVersion, QuestionWithdrawn
from quizzes.records.confirming import say_amount_gone
from quizzes.records.sources import newest_source, pictures_of


@transaction.atomic
def confirm_question(
    *, question: Question, number: int, by: Person, now: datetime | None = None
) -> QuestionConfirmed:
    """The row that says: this version agrees with the newest revision. By another than the author
    it accepts the version.

    `number` is the version that was read. Raises Refused where there is a newer one, where it is
    withdrawn or does not fit the write-up, where its steps no longer say its right amount, and for
    the author while nobody else has accepted it or somebody else could confirm it.
    """
    now = moment(now)
    version = _newest(question, number, by)
    accepted = QuestionVersion.objects.accepted().filter(pk=version.pk)
    refuse_if(
        acts.CONFIRM.why_not(
            by,
            author=version.author_id,
            is_accepted=accepted.exists(),
            is_withdrawn=version.withdrawn.exists(),
            others=has_other_writers(version.author_id, timezone.localdate(now)),
        )
    )
    source = newest_source(question.writeup)
    if source is None:
        raise Refused(gettext("The write-up has no text yet. Write the text first."))
    faults = source.faults(
        version.content(),
        version.steps,
        rules_text(),
        pictures_of([version]),
        mirror=version.mirror,
    )
    if faults:
        raise Refused(
            gettext(
                "This question does not fit the write-up any more. Rewrite it, or withdraw it."
            ),
            faults,
        )
    refuse_if(say_amount_gone(version, source))
    row = QuestionConfirmed(version=version, revision=source.number, by_id=by.pk, recorded_at=now)
    row.save()
    record(QuestionConfirmed.KIND, row)
    return row


@transaction.atomic
def withdraw_question(
    *, question: Question, number: int, reason: str, by: Person, now: datetime | None = None
) -> QuestionWithdrawn:
    """The row that takes the question back: it is asked no more until somebody writes a new
    version. Nothing is deleted.

    Raises Refused without a reason, where there is a newer version than the one that was read, and
    the second time.
    """
    now = moment(now)
    version = _newest(question, number, by)
    refuse_if(acts.WITHDRAW.why_not(by, is_withdrawn=version.withdrawn.exists()))
    row = QuestionWithdrawn(version=version, reason=reason.strip(), by_id=by.pk, recorded_at=now)
    try:
        row.full_clean()
    except ValidationError as error:
        raise Refused(gettext("Say why, in a sentence of at most 500 characters.")) from error
    row.save()
    record(QuestionWithdrawn.KIND, row)
    return row


def _newest(question: Question, number: int, by: Person) -> QuestionVersion:
    refuse_if(acts.WRITE.why_not(by))
    # Held, so that no newer version comes in between the look and the row.
    version = question.versions.select_for_update().order_by("number").last()
    if version is None or version.number != number:
        raise Refused(
            gettext(
                "Somebody wrote a newer version after you opened this. Read that version first."
            )
        )
    return version
