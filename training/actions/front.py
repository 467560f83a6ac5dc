"""How does the shop get its name and logo, and somebody a photo?"""

from __future__ import annotations

import hashlib
from datetime import datetime

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.utils.translation import gettext

from procedures.pictures.clean import clean_photo_file
from procedures.pictures.made import LARGEST_FILE, BadPicture
from procedures.records.checked import check_row
from procedures.records.refused import Refused
from procedures.records.wording.say import say
from training.access import acts
from training.models import PersonPhoto, ShopFront, User

LOGO_SIDE, PHOTO_SIDE = 400, 480  # pixels of the longer side that is kept


@transaction.atomic
def set_front(
    *,
    name: str,
    logo: UploadedFile[bytes] | None,
    is_logo_removed: bool,
    all_may_look: bool,
    by: User,
    now: datetime,
) -> ShopFront:
    """The shop's name, logo and who may look, from now on; no entry in the book, as of a rota.
    Without a new logo the old one stays, but where it is removed. Raises Refused.
    """
    acts.KEEP_PEOPLE.check(by)
    front = ShopFront.objects.filter(pk=ShopFront.ONLY).first() or ShopFront(pk=ShopFront.ONLY)
    front.name, front.all_may_look = name, all_may_look
    front.changed_by, front.changed_at = by, now
    if is_logo_removed:
        front.logo, front.digest = b"", ""
    if logo is not None:
        front.logo = _made_anew(logo, LOGO_SIDE)
        front.digest = hashlib.sha256(front.logo).hexdigest()
    check_row(front, exclude=["logo"], validate_unique=False)
    front.save()
    return front


@transaction.atomic
def keep_photo(*, person: User, photo: UploadedFile[bytes], now: datetime) -> None:
    """This person's photo, in the place of the one before. Raises Refused for what is no photo."""
    data = _made_anew(photo, PHOTO_SIDE)
    PersonPhoto.objects.update_or_create(person=person, defaults={"data": data, "made_at": now})


@transaction.atomic
def drop_photo(*, person: User, by: User) -> None:
    """No photo any more, nowhere. Raises Refused for somebody else's, but for the owner, and where
    there is none.
    """
    if by != person:
        acts.KEEP_PEOPLE.check(by)
    if not PersonPhoto.objects.filter(person=person).delete()[0]:
        raise Refused(gettext("There is no photo to remove."))


def _made_anew(upload: UploadedFile[bytes], longest: int) -> bytes:
    try:
        # One byte more than allowed: enough to see that it is too large, without reading it whole.
        return clean_photo_file(upload.read(LARGEST_FILE + 1), longest=longest).data
    except BadPicture as bad:
        raise Refused(say(bad.remark)) from bad
