"""Is a picture of an old document taken, and what is said where it is not?"""

from __future__ import annotations

from procedures.pictures.clean import clean_photo_file
from procedures.pictures.made import BadPicture
from procedures.records.documents.model import MOST_PICTURES, Gathering, OldPicture, OldPiece
from procedures.writeup.remarks import Remark, remark

LONGEST_SAID = 120  # letters of what a picture shows


def take_picture(into: Gathering, place: Remark, data: bytes | None, said: str) -> None:
    """The picture in these bytes as a piece of its own, made anew; what is none, or too large, is
    told as left out. The same picture twice is kept once.
    """
    if data is None:
        into.leave_out(place, remark("picture-too-large-part"), said)
        return
    try:
        clean = clean_photo_file(data)
    except BadPicture as bad:
        into.leave_out(place, remark("picture-not-taken", why=bad.remark), said)
        return
    shown = OldPicture(clean, " ".join(said.split())[:LONGEST_SAID])
    number = next((at for at, one in enumerate(into.pictures) if one.clean == clean), None)
    if number is None:
        if len(into.pictures) >= MOST_PICTURES:
            into.leave_out(place, remark("too-many-pictures", most=MOST_PICTURES), said)
            return
        into.pictures.append(shown)
        number = len(into.pictures) - 1
    into.add(OldPiece(place, "picture", picture=number))
