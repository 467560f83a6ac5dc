"""What does a draft from the examples show of itself: its values, and whether it was read for this
shop?
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from procedures.access import acts
from procedures.access.acts import Person
from procedures.models import Revision
from procedures.records.examples import find_unread, hindrance_of, values_to_confirm
from procedures.writeup.demo_values import DemoValue


@dataclass(frozen=True, slots=True)
class ValuesOfStep:
    """The values of the example in one step; `title` is empty before the first step."""

    title: str
    values: tuple[DemoValue, ...]


@dataclass(frozen=True, slots=True)
class FromExamples:
    """A revision that came from the examples and that nobody has gone through yet. `why_not` is
    what stands against its release, in a sentence.
    """

    steps: tuple[ValuesOfStep, ...]
    count: int
    why_not: str
    may_confirm: bool


def find_example(person: Person, revision: Revision) -> FromExamples | None:
    """What this revision still has of its example; None where it is from none, or was gone
    through. Two queries.
    """
    example = find_unread(revision)
    if example is None:
        return None
    values = values_to_confirm(example, revision.text)
    steps = groupby(values, key=lambda value: (value.step, value.title))
    return FromExamples(
        steps=tuple(ValuesOfStep(title, tuple(found)) for (_, title), found in steps),
        count=len(values),
        why_not=hindrance_of(values, revision.text),
        may_confirm=acts.CONFIRM_VALUES.is_open_to(person, revision),
    )
