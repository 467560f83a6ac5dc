"""On which steps do questions no longer rest safely, once a write-up is revised?"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from procedures.writeup.amounts import BadAmount, lies_within, read_amount
from procedures.writeup.diff import HEADER, compare
from procedures.writeup.model import Amount, WriteUp


def steps_to_read_again(old: WriteUp, new: WriteUp) -> frozenset[str]:
    """Ids of the steps that changed in more than their wording, came, went or moved; and of
    critical steps with any other word in them, because no program can vouch that a question on one
    still has the same right answer.
    """
    changes = compare(old, new).changes
    return frozenset(
        one.key for one in changes if one.key != HEADER and (one.is_critical or not one.is_wording)
    )


def is_amount_gone(right: str, steps: Collection[str], old: WriteUp, new: WriteUp) -> bool:
    """Whether an amount within the right one stood at these steps in the old text and does not in
    the new one, or where one has given way to another of its kind. One that never stood there (it
    was worked out) is not gone.
    """
    wanted = read_amount(right)
    was, now = (
        [one for one in _amounts(text, steps) if one.kind == wanted.kind] for text in (old, new)
    )
    before, still = (sum(_is_within(one, wanted) for one in amounts) for amounts in (was, now))
    known = {one.text for one in was}
    others = [one for one in now if not _is_within(one, wanted) and one.text not in known]
    return before > still and (still == 0 or bool(others))


def _amounts(text: WriteUp, steps: Collection[str]) -> Iterator[Amount]:
    for step in text.steps:
        if step.id in steps:
            yield from step.amounts
            yield from (one.amount for one in (*step.torques, *step.measures))
            yield from (one.amount for one in step.uses if one.amount is not None)


def _is_within(one: Amount, wanted: Amount) -> bool:
    try:
        return lies_within(one, wanted)
    except BadAmount:  # nothing converts turns into clicks
        return False
