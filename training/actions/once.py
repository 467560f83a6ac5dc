"""How is what comes in twice written down once?"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar, cast

from django.db import IntegrityError, transaction

from training.models import Entry, SentJob, SentObservation, User

Row = TypeVar("Row", bound=Entry)


def once(sent: type[SentJob | SentObservation], *, person: User, mark: str, write: Callable[[], Row]) -> Row:
    """What `write` writes down under this mark, or what had come in under it from this person already.

    A browser gives a form its mark before it sends it, so a form that is sent again, after a lost answer or by a second press, is
    the same entry. Raises whatever `write` raises, and then keeps nothing.
    """
    rows = sent.objects.select_related("entry").filter(person=person, mark=mark)
    earlier = rows.first()
    if earlier:
        return cast("Row", earlier.entry)
    try:
        with transaction.atomic():
            entry = write()
            sent.objects.create(person=person, mark=mark, entry=entry)  # type: ignore[misc]
    except IntegrityError:  # the same form came in twice at once; the other one was first
        return cast("Row", rows.get().entry)
    return entry
