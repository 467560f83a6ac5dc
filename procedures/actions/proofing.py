"""How is a finding of the proofing answered, and which of them stand against a review and a
release?
"""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext

from procedures.access import acts
from procedures.access.acts import Person
from procedures.models import ProofAnswer, Revision
from procedures.records import texts
from procedures.records.above import moment, record
from procedures.records.checked import check_row
from procedures.records.refused import Refused, refuse_if
from procedures.records.wording.say import say
from procedures.writeup.proof.proofing import find_unanswered


@transaction.atomic
def answer_finding(
    *,
    revision: Revision,
    rule: str,
    step: str,
    about: str,
    reason: str,
    by: Person,
    now: datetime | None = None,
) -> ProofAnswer:
    """An answer to one finding in the text of a revision that is not released yet, recorded in the
    book.

    It is kept for the write-up and holds in later revisions while rule, step and words stay the
    same. An empty reason takes the answer back. Raises Refused for somebody who may not write, for
    a released revision, for a finding that its text does not have, and when there is nothing to
    take back.
    """
    refuse_if(acts.WRITE.why_not(by))
    # Takes long, and is kept: worked out before anybody has to wait.
    texts.proof_once(revision.text)
    now = moment(now)
    # The row is held until the end, so that nobody releases the text between the look and the
    # answer.
    kept = _held(revision, by)
    _check_is_asked(kept, (rule, step, about), reason)
    answer = ProofAnswer(
        writeup=kept.writeup,
        rule=rule,
        step=step,
        about=about,
        reason=reason.strip(),
        by_id=by.pk,
        at=now,
    )
    check_row(answer)
    answer.save()
    record(ProofAnswer.KIND, answer)
    return answer


def _held(revision: Revision, by: Person) -> Revision:
    """The revision as it is now, held until the end of the transaction. Raises Refused where this
    person may not answer on it.
    """
    kept = (
        Revision.objects.select_for_update(of=("self",))
        .select_related("writeup")
        .get(pk=revision.pk)
    )
    refuse_if(acts.ANSWER_PROOFING.why_not(by, kept))
    return kept


def _check_is_asked(revision: Revision, key: tuple[str, str, str], reason: str) -> None:
    # Only what the text has now: an answer kept ahead would silence a finding that nobody has seen.
    if key not in {found.key for found in texts.proof_once(revision.text)}:
        raise Refused(
            gettext("The text has changed and this finding is gone. Look at the findings again.")
        )
    if not reason.strip() and key not in ProofAnswer.objects.standing(revision.writeup):
        raise Refused(gettext("Say why this may stay, for whoever reads it next."))


def must_be_proofed(revision: Revision, message: str) -> None:
    """Raises Refused with this message, and the findings as details, while one that asks for an
    answer has none.
    """
    still = find_unanswered(
        texts.proof_once(revision.text), ProofAnswer.objects.standing(revision.writeup)
    )
    if still:
        raise Refused(
            message,
            (
                gettext("line {line}, {rule}: {what}").format(
                    line=found.line, rule=found.rule, what=say(found.remark)
                )
                for found in still
            ),
        )
