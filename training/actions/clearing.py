"""How does a senior sign that missed steps were gone through again, or that a talk was had?"""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext

from procedures.records.refused import Refused
from quizzes.actions import again
from quizzes.models import GoneThrough, Sitting, Talk
from training.access import acts
from training.actions.signing import PasswordProof, check_proof
from training.models import User
from training.records.clearing import ClearingSheet, clearing_sheet
from training.records.clock import moment


@transaction.atomic
def sign_gone_through(
    *,
    sitting: Sitting,
    steps: Collection[str],
    by: User,
    shown: str,
    proof: PasswordProof,
    on: date | None = None,
    now: datetime | None = None,
) -> GoneThrough:
    """The signed statement that each missed step (`steps` are their keys) was gone through again.

    Raises Refused for oneself, for somebody who is no senior, where a step is left out, and where
    what was shown has changed.
    """
    now = moment(now)
    on = on or by.workshop.day_of(now)
    # Behind `moment`: what is shown is made again from what the ones before have written.
    sheet = _checked(GoneThrough.KIND, sitting, by, shown, proof, on)
    # From the sheet and not from the form, so that a made-up key is no step.
    ticked = [step.about for step in sheet.steps if step.key in steps]
    return again.record_gone_through(
        sitting=sitting, steps=ticked, by=by, signature=_signature(sheet, by), on=on, now=now
    )


@transaction.atomic
def sign_talk(
    *,
    sitting: Sitting,
    note: str,
    by: User,
    shown: str,
    proof: PasswordProof,
    on: date | None = None,
    now: datetime | None = None,
) -> Talk:
    """The talk after sittings that were not passed. Raises Refused as `sign_gone_through` does, and
    without a note.
    """
    now = moment(now)
    on = on or by.workshop.day_of(now)
    sheet = _checked(Talk.KIND, sitting, by, shown, proof, on)
    return again.record_talk(
        sitting=sitting, note=note, by=by, signature=_signature(sheet, by), on=on, now=now
    )


def _checked(
    kind: str, sitting: Sitting, by: User, shown: str, proof: PasswordProof, on: date
) -> ClearingSheet:
    check_proof(proof, by, shown)
    # After the proof, which is used up even when the act is refused.
    acts.CLEAR.check(by)
    sheet = clearing_sheet(kind, sitting=sitting, signer=by, on=on)
    if sheet.digest != shown:
        raise Refused(gettext("This has changed since you opened it. Read it again, then sign."))
    return sheet


def _signature(sheet: ClearingSheet, by: User) -> again.Signature:
    return again.Signature(sheet.meaning, by.name, sheet.digest)
