"""What is still the example's in a draft that came from the examples, and what stands against its
review and release?
"""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext, ngettext

from procedures.models import Example, Revision, Thing
from procedures.writeup.demo_values import MARK, DemoValue, find_demo_values, is_marked_as_demo


def unread_names(thing: Thing) -> frozenset[str]:
    """The names of those that came from the examples and that nobody has gone through yet; one
    query.
    """
    rows = Example.objects.unread().filter(thing=thing)
    return frozenset(rows.values_list("name", flat=True))


def find_unread(revision: Revision) -> Example | None:
    """The mark of the example that this revision is made of; None where it is none, or was read."""
    # Released elsewhere it is the shop's own, whatever draft of that name came from the examples.
    if revision.released_on is not None:
        return None
    rows = Example.objects.unread().filter(thing=Thing.WRITE_UP, name=revision.writeup.name)
    return rows.first()


def values_to_confirm(example: Example, text: str) -> tuple[DemoValue, ...]:
    """The values of this text that are the example's and that nobody has confirmed; one query."""
    confirmed = set(example.confirmed.values_list("name", flat=True))
    found = find_demo_values(text, example.text)
    return tuple(value for value in found if value.name not in confirmed)


def hindrance_of(values: Sequence[DemoValue], text: str) -> str:
    """What stands against sending this text to review and releasing it, in a sentence; empty where
    nothing does.
    """
    if values:
        said = ngettext(
            "{count} value is still the example’s. Replace it, or confirm that it is right for "
            "your forks.",
            "{count} values are still the example’s. Replace each, or confirm that it is right "
            "for your forks.",
            len(values),
        )
        return said.format(count=len(values))
    if is_marked_as_demo(text):
        said = gettext(
            "The text still says “{mark}” Every value is your shop’s now, so take that out."
        )
        return said.format(mark=MARK)
    return ""
