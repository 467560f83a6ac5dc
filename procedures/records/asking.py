"""What does each change of an open revision ask of people who are signed off: as suggested, and as
decided?
"""

from dataclasses import dataclass

from procedures.models import AskedOfChange, Revision
from procedures.records.texts import parse_once
from procedures.writeup.asks import Asks, pick_highest, rank
from procedures.writeup.diff import StepChange, compare


@dataclass(frozen=True, slots=True)
class Asked:
    """One change with what it asks. `decision` is the row that counts for it, None where it asks
    what is suggested.
    """

    change: StepChange
    decision: AskedOfChange | None

    @property
    def asks(self) -> str:
        """What it asks in the end."""
        return self.decision.asks if self.decision else self.change.asks

    @property
    def is_lowered(self) -> bool:
        """Whether a person decided that it asks less than suggested."""
        return rank(self.asks) < rank(self.change.asks)


def find_base(revision: Revision) -> Revision | None:
    """The released revision that this one follows, or None for the first one."""
    earlier = Revision.objects.released().filter(
        writeup=revision.writeup_id, number__lt=revision.number
    )
    return earlier.order_by("number").last()


def list_asked(revision: Revision, base: Revision | None) -> tuple[Asked, ...]:
    """Every change since `base` with what it asks; empty without a base: a first revision asks
    nobody to learn anew.
    """
    if base is None:
        return ()
    decided = {
        row.step: row
        for row in AskedOfChange.objects.filter(revision=revision).select_related("by")
    }
    changes = compare(parse_once(base.text), parse_once(revision.text)).changes
    return tuple(Asked(change, _counting(change, decided.get(change.key))) for change in changes)


def _counting(change: StepChange, row: AskedOfChange | None) -> AskedOfChange | None:
    """The decision, where it counts: for more always, for less only with a reason and for this very
    change.
    """
    if row is None:
        return None
    # Asking more harms nobody, so it outlives the change; asking less was said of one change.
    more = rank(row.asks) >= rank(change.asks)
    return row if more or (row.reason.strip() and row.change == change.digest) else None


def work_out_least(revision: Revision) -> Asks:
    """The least that this revision may ask: the highest of what its changes ask."""
    return pick_highest(one.asks for one in list_asked(revision, find_base(revision)))
