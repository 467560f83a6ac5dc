"""How is a finding of proofing answered?"""

from datetime import datetime

from django.db import transaction

from procedures import access, texts
from procedures.access import Person
from procedures.models import ProofAnswer, Revision
from procedures.refused import Refused
from procedures.writeup.proof.proofread import proofread


@transaction.atomic
def answer_finding(*, revision: Revision, rule: str, step: str, about: str, reason: str, by: Person, now: datetime) -> ProofAnswer:
    """The answer to a finding of this revision; an empty reason takes the last answer back.

    Raises Refused when this person may not write or the revision has no such finding (any more).
    """
    if not access.may_write(by):
        raise Refused("Your sign-in does not allow writing. Ask a senior mechanic or the owner.")
    found = proofread(texts.parsed(revision.text), revision.text)
    if not any((advice.rule, advice.step or "", advice.about) == (rule, step, about) for advice in found):
        raise Refused("This finding is not there any more. Open the page again.")
    return ProofAnswer.objects.create(
        writeup=revision.writeup, rule=rule, step=step, about=about, reason=reason.strip(), by_id=by.pk, at=now
    )
