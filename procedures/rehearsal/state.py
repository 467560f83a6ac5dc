"""How do facts and parts stand at one moment, in every combination at once?"""

from collections.abc import Iterator
from dataclasses import dataclass, field

from procedures.rehearsal.cases import NONE, Cases

Sets = dict[str, int]


@dataclass(frozen=True, slots=True)
class Mark:
    """The line that last moved a part or made a fact, the name as written there, and where it was
    the last.
    """

    line: int
    name: str
    cases: int


@dataclass(slots=True)
class State:
    """Sets of combinations by fact or part.

    `held`: the fact was given or made. `taken`: it was found missing and is taken as given since.
    `opened`: it was an opening that found it missing. `off`, `scrapped`: where the part is when it
    is not on. `moved`: it was moved before. `done`: the step was done. `lacked`: facts that no step
    makes, once one was missed.
    """

    held: Sets = field(default_factory=dict)
    taken: Sets = field(default_factory=dict)
    opened: Sets = field(default_factory=dict)
    off: Sets = field(default_factory=dict)
    scrapped: Sets = field(default_factory=dict)
    moved: Sets = field(default_factory=dict)
    done: Sets = field(default_factory=dict)
    lacked: set[str] = field(default_factory=set)
    facts: dict[str, tuple[Mark, ...]] = field(default_factory=dict)
    parts: dict[str, tuple[Mark, ...]] = field(default_factory=dict)

    def copy(self) -> "State":
        """The same state, to go on from in another way."""
        # Sets of combinations are numbers and marks are tuples, so new dicts are copy enough.
        return State(
            dict(self.held),
            dict(self.taken),
            dict(self.opened),
            dict(self.off),
            dict(self.scrapped),
            dict(self.moved),
            dict(self.done),
            set(self.lacked),
            dict(self.facts),
            dict(self.parts),
        )

    def essence(self) -> tuple[frozenset[object], ...]:
        """What decides how the work can go on, beside the steps that are done."""
        # Not the marks: which line made a fact decides what is told, not how the work can go on.
        sets = (self.held, self.taken, self.opened, self.off, self.scrapped, self.moved)
        known = tuple(
            frozenset((name, cases) for name, cases in each.items() if cases != NONE)
            for each in sets
        )
        return (*known, frozenset(self.lacked))


def add(cases: Cases, sets: Sets, name: str, where: int) -> None:
    """Add combinations to the set of a name."""
    sets[name] = cases.either(sets.get(name, NONE), where)


def drop(cases: Cases, sets: Sets, name: str, where: int) -> None:
    """Take combinations out of the set of a name."""
    if name in sets:
        sets[name] = cases.without(sets[name], where)


def mark(cases: Cases, marks: dict[str, tuple[Mark, ...]], name: str, new: Mark) -> None:
    """Remember the newest line for a name where it applies, and the older ones elsewhere."""
    left = (
        Mark(old.line, old.name, cases.without(old.cases, new.cases)) for old in marks.get(name, ())
    )
    marks[name] = (*(old for old in left if old.cases != NONE), new)


def find_marks(
    cases: Cases, marks: tuple[Mark, ...], where: int, otherwise: Mark
) -> Iterator[Mark]:
    """The lines that count for these combinations, lowest first; `otherwise` counts where there is
    none.
    """
    found: list[Mark] = []
    # `otherwise` last and with all cases: it takes what no mark accounts for.
    for each in (*marks, otherwise):
        here = cases.both(where, each.cases)
        if here != NONE:
            found.append(Mark(each.line, each.name, here))
            where = cases.without(where, here)
    return iter(sorted(found, key=lambda each: each.line))
