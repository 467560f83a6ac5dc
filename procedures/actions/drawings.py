"""How does a picture of the shop's own come in?"""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.translation import gettext

from procedures.access import acts
from procedures.access.acts import Person
from procedures.models import Drawing
from procedures.pictures.clean import clean
from procedures.pictures.made import BadPicture
from procedures.records import files
from procedures.records.above import moment, record
from procedures.records.library import library
from procedures.records.refused import Refused, make_refusal, refuse_if
from procedures.records.wording.say import say


@transaction.atomic
def keep_drawing(
    *, name: str, title: str, description: str, data: bytes, by: Person, now: datetime | None = None
) -> Drawing:
    """The picture in these bytes under a name of its own, made anew, kept and recorded in the book.

    Raises Refused, with nothing kept, when this person may not write, the name is taken or not
    allowed, or the bytes are no plain drawing and no photo.
    """
    refuse_if(acts.WRITE.why_not(by))
    title, description = (" ".join(text.split()) for text in (title, description))
    if name in library():
        raise Refused(gettext("There is a drawing with this name already. Choose another name."))
    try:
        picture = clean(data, title=title, description=description)
    except BadPicture as bad:
        raise Refused(say(bad.remark)) from bad
    now = moment(now)
    row = Drawing(
        name=name,
        title=title,
        description=description,
        kind=picture.kind,
        digest=files.digest_of(picture.data),
        width=picture.width,
        height=picture.height,
        by_id=by.pk,
        recorded_at=now,
    )
    _save(row, picture.data)
    record(Drawing.KIND, row)
    return row


def _save(row: Drawing, data: bytes) -> None:
    try:
        row.full_clean()
        # The file comes first: one without a row is only forgotten, a row without its file would be
        # a hole in a write-up.
        files.keep(data)
        # A savepoint: on PostgreSQL a failed insert would otherwise spoil the whole transaction.
        with transaction.atomic():
            row.save()
    except ValidationError as error:
        raise make_refusal(error) from error
    except IntegrityError as error:
        raise Refused(
            gettext("Somebody used this name for a picture just now. Choose another name.")
        ) from error
    except OSError as error:
        raise Refused(
            gettext(
                "The picture could not be saved. The disk may be full. Tell whoever runs the site."
            )
        ) from error
