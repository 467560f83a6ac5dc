"""How does something from the examples become the shop's own: its values confirmed, and itself
gone through?
"""

from collections.abc import Collection
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext

from procedures.access import acts
from procedures.access.acts import Person
from procedures.models import ConfirmedValue, Example, Revision, Thing
from procedures.records import examples
from procedures.records.checked import check_row
from procedures.records.refused import Refused, refuse_if
from procedures.records.wording.pieces import say_line


@transaction.atomic
def mark_example(*, thing: Thing, name: str, text: str, by: Person, now: datetime) -> Example:
    """The mark of something that comes from the examples. Raises Refused where one of that name
    came before.
    """
    row = Example(thing=thing, name=name, text=text, brought_by_id=by.pk, brought_at=now)
    check_row(row)
    row.save()
    return row


@transaction.atomic
def confirm_values(*, revision: Revision, names: Collection[str], by: Person, now: datetime) -> int:
    """How many values of the example are confirmed for this shop by this. Raises Refused for
    somebody who may not write, for a released revision, and where none of them stands in the text.
    """
    kept = Revision.objects.select_for_update(of=("self",)).get(pk=revision.pk)
    refuse_if(acts.CONFIRM_VALUES.why_not(by, kept))
    example = examples.find_unread(kept)
    # Only what the text has now: a value confirmed ahead would let a later one pass unseen.
    still = examples.values_to_confirm(example, kept.text) if example else ()
    meant = [value.name for value in still if value.name in names]
    if example is None or not meant:
        raise Refused(gettext("Choose the values that are right for your forks."))
    ConfirmedValue.objects.bulk_create(
        ConfirmedValue(example=example, name=name, by_id=by.pk, at=now) for name in meant
    )
    return len(meant)


@transaction.atomic
def mark_as_read(*, thing: Thing, name: str = "", by: Person, now: datetime) -> Example:
    """The example, gone through for this shop. Raises Refused for somebody who may not release,
    and where there is none, or somebody was quicker.
    """
    refuse_if(acts.READ_EXAMPLE.why_not(by))
    unread = Example.objects.unread().select_for_update().filter(thing=thing, name=name).first()
    if unread is None:
        raise Refused(gettext("Somebody has gone through this already."))
    unread.read_by_id, unread.read_at = by.pk, now
    unread.save()
    return unread


def must_be_own_values(revision: Revision) -> None:
    """Raises Refused while a draft from the examples has values of the example, with where they
    stand as details.
    """
    example = examples.find_unread(revision)
    if example is None:
        return
    values = examples.values_to_confirm(example, revision.text)
    if why := examples.hindrance_of(values, revision.text):
        raise Refused(why, (say_line(value.line, value.said) for value in values))


def must_be_read(revision: Revision, *, is_read: bool, by: Person, now: datetime) -> None:
    """Notes that whoever releases a draft from the examples has gone through it for this shop.
    Raises Refused where that was not said.
    """
    if examples.find_unread(revision) is None:
        return
    if not is_read:
        raise Refused(
            gettext(
                "This is from the examples and not yet read for this shop. Read it, tick that you "
                "have, and release it then."
            )
        )
    mark_as_read(thing=Thing.WRITE_UP, name=revision.writeup.name, by=by, now=now)
