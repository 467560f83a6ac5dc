"""How do the photos of an observation come in, and how is it signed that what was not right was
shown again?
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import date, datetime

from django.core import signing
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.utils.translation import gettext

from procedures.pictures.clean import clean_photo_file
from procedures.pictures.made import LARGEST_FILE, BadPicture
from procedures.records import files
from procedures.records.refused import Refused
from procedures.records.wording.say import say
from training.access import acts
from training.actions.entries import write_down
from training.actions.signing import PasswordProof, check_proof
from training.models import Observation, ShownAgain, User
from training.records.clock import moment
from training.records.seen_again import shown_again_sheet

MOST_PHOTOS = 8


def keep_photos(uploads: Iterable[UploadedFile[bytes]]) -> tuple[list[str], list[str]]:
    """The SHA-256 of each photo, made anew and kept, and a sentence for each file that is none."""
    kept, faults = [], []
    for upload in uploads:
        try:
            # One byte more than allowed: enough to see that it is too large, without reading it
            # whole.
            kept.append(files.keep(clean_photo_file(upload.read(LARGEST_FILE + 1)).data))
        except BadPicture as bad:
            # The others are kept: a form that comes back has lost its files, and cannot fill them
            # in again.
            faults.append(f"{upload.name}: {say(bad.remark)}")
    return kept, faults


def ticket_for(photos: list[str], person: User) -> str:
    """These photos as one word that a form carries: only the site makes it, and it serves only this
    person.
    """
    # Signed, since a digest typed by hand would put a photo of somebody else's work into the
    # record.
    return signing.dumps(photos, salt=f"photos of {person.pk}") if photos else ""


def photos_of(ticket: str, person: User) -> list[str]:
    """The photos that a form carried. Raises Refused for a word that the site did not make for this
    person.
    """
    try:
        found: list[str] = signing.loads(ticket, salt=f"photos of {person.pk}") if ticket else []
    except signing.BadSignature:
        raise Refused(gettext("The photos of this form are lost. Choose them again.")) from None
    return found


@transaction.atomic
def sign_shown_again(
    *,
    observation: Observation,
    steps: Collection[str],
    by: User,
    shown: str,
    proof: PasswordProof,
    on: date | None = None,
    now: datetime | None = None,
    note: str = "",
) -> ShownAgain:
    """The signed statement that each line that was not right was gone through again (`steps` are
    the ids of those steps).

    Raises Refused for one's own, for somebody who is no senior, where a step is left out, where it
    is signed already, and where what was shown has changed.
    """
    check_proof(proof, by, shown)
    # The password was looked at before: what takes long is done ahead of the lock.
    now = moment(now)
    on = on or by.workshop.day_of(now)
    acts.SHOW_AGAIN.check(by, observation.person)
    if ShownAgain.objects.filter(observation=observation).exists():
        raise Refused(gettext("This was signed already. Nothing was saved twice."))
    sheet = shown_again_sheet(observation, signer=by, on=on)
    # Before the digest, since it is what can be mended; every step, as 14 CFR 65.19 asks of each
    # failed topic.
    left_out = [line.title for line in sheet.lines if line.step not in steps]
    if left_out:
        raise Refused(gettext("Show each of these steps again, then tick it."), left_out)
    if sheet.digest != shown:
        raise Refused(gettext("This has changed since you opened it. Read it again, then sign."))
    return write_down(
        ShownAgain(
            observation=observation,
            by=by,
            steps=[line.step for line in sheet.lines],
            meaning=sheet.meaning,
            printed_name=by.name,
            shown_digest=sheet.digest,
            note=note,
            happened_on=on,
            recorded_at=now,
            recorded_by=by,
        )
    )
