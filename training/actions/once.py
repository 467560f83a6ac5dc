"""How is a form that comes in twice written down once?"""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, ClassVar, Generic, Protocol, TypeVar, cast

from django.db import transaction
from django.utils.translation import gettext, gettext_lazy

from procedures.records.refused import Refused
from training.models import Taken, User
from training.records.clock import lock_head

LONGEST = 64
OUT_OF_DATE = gettext_lazy("This page is out of date. Open it again.")


class Written(Protocol):
    """A row that stands in the record book under the name of its kind."""

    KIND: ClassVar[str]

    @property
    def pk(self) -> Any: ...


Row = TypeVar("Row", bound=Written)


@dataclass(frozen=True, slots=True)
class FormDone(Generic[Row]):
    """What a form wrote; `again` where it had come in before."""

    row: Row
    again: bool

    def told(self, said: str) -> str:
        """What the person is told: what was done, or that it was done before."""
        return gettext("This was saved already. Nothing was saved twice.") if self.again else said


def new_mark() -> str:
    """A mark for a form that is about to be shown."""
    return uuid.uuid4().hex


@transaction.atomic
def write_once(
    kind: type[Row], *, person: User, mark: str, write: Callable[[], Row]
) -> FormDone[Row]:
    """What `write` writes down under this mark, or what had come in under it from this person
    already.

    A form gets its mark before it is sent (one that is signed has the digest of what was shown), so
    one that is sent again, by a second press, the back button or days later, is the same entry.
    Raises Refused for a form without a mark and for one with somebody else's, and whatever `write`
    raises; then nothing is kept.
    """
    if not 0 < len(mark) <= LONGEST:
        raise Refused(str(OUT_OF_DATE))
    lock_head()  # the same form at the same moment waits here, and then finds the mark
    taken = Taken.objects.filter(kind=kind.KIND, mark=mark).first()
    if taken is None:
        row = write()
        # After the entry, in its transaction: what was refused leaves its form free to be sent
        # again.
        Taken.objects.create(person=person, kind=kind.KIND, mark=mark, row=row.pk)
        return FormDone(row, again=False)
    # As if out of date: that a mark of somebody's is known must not show.
    if taken.person_id != person.pk:
        raise Refused(str(OUT_OF_DATE))
    return FormDone(cast("Any", kind)._default_manager.get(pk=taken.row), again=True)


def is_taken(kind: type[Written], *, person: User, mark: str) -> bool:
    """Whether this form had come in from this person already, so that nothing more is asked for
    it.
    """
    return Taken.objects.filter(kind=kind.KIND, mark=mark, person=person).exists()
