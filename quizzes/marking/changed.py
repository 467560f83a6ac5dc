"""On which steps do questions no longer rest safely, once a write-up is revised?"""

from __future__ import annotations

from procedures.writeup.diff import HEADER, compare
from procedures.writeup.model import WriteUp


def steps_to_read_again(old: WriteUp, new: WriteUp) -> frozenset[str]:
    """Ids of the steps that changed in more than their wording, came, went or moved; and of
    critical steps with any other word in them, because no program can vouch that a question on one
    still has the same right answer.
    """
    changes = compare(old, new).changes
    return frozenset(
        one.key for one in changes if one.key != HEADER and (one.is_critical or not one.is_wording)
    )
