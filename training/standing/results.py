"""What does a rule give? Codes with named arguments; whoever shows them puts them into words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

# Pairs, no mapping: reasons are kept in dicts and compared, and a mapping has no hash.
Args = tuple[tuple[str, object], ...]
"""Named arguments, in plain values that can be compared and hashed."""

Who = Literal["person", "senior", "owner"]


@dataclass(frozen=True, slots=True)
class EntryName:
    """By which name an entry is told: the code of its kind, and what it is told with."""

    code: str
    args: Args = ()


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that fails or is missing: its code, what it is told with, and the names of the
    entries that it is about.
    """

    code: str
    args: Args = ()
    evidence: tuple[EntryName, ...] = ()


@dataclass(frozen=True, slots=True)
class Asks:
    """What a rule asks of people, as its code and the numbers and titles that it asks."""

    code: str
    args: Args = ()


@dataclass(frozen=True, slots=True)
class Support:
    """One entry that a rule rests on, and until when, where that is told; no name: all of them
    together until then.

    `code` is `entry`, or `valid-until`, `counts-until` or `enough-until` with the last day.
    """

    name: EntryName | None
    on: date | None
    # Four codes, so that each can be translated as a whole sentence with its own day.
    code: str = "entry"
    until: date | None = None


@dataclass(frozen=True, slots=True)
class Step:
    """What can be done about a reason: its code, whose turn it is, and when it has its turn.

    One that is not `of_level` is the same at whatever level it is due. `needless_with` is a reason
    beside which it asks nothing more. `carries` names what of the reason it is told with.
    """

    code: str
    who: Who
    turn: int
    of_level: bool = True
    needless_with: str = ""
    carries: tuple[str, ...] = ()

    def at(self, title: str, reason: Reason, by: date | None = None) -> NextStep:
        """Return the step at a level, to be done by a day where one is given."""
        args = (("title", title),) if self.of_level else ()
        carried = tuple(arg for arg in reason.args if arg[0] in self.carries)
        return NextStep(self.code, self.who, (*args, *carried), by)


# When a step has its turn: what bars all work, earlier levels, one's own doing, a senior's eye,
# the signature.
# A signature comes last whatever failed first: it would be given on what is still missing.
BARS_ALL, EARLIER_LEVELS, OWN_DOING, SENIORS_EYE, SIGNATURE = range(5)


@dataclass(frozen=True, slots=True)
class NextStep:
    """One thing to do: its code, whose turn it is, and what it is told with. `by` is the last day
    on which it keeps a standing.
    """

    code: str
    who: Who
    args: Args = ()
    by: date | None = None
