"""What does each step do, in the order in which it takes effect?"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from procedures.writeup.demands import Demand, Kinds
from procedures.writeup.grammar import NAMES
from procedures.writeup.model import Step, WriteUp
from procedures.writeup.names import make_plain
from procedures.writeup.rules import Meanings, ShopRules

FIELDS = tuple(key for key in NAMES if key != "tool")
PARTS = ("takes off", "scraps", "fits", "fits new")


@dataclass(frozen=True, slots=True)
class Move:
    """One value of one field: what it is compared by, as it is written, and its line.

    The field `demands` stands for what the shop's rules demand of the step; `because` says why they
    do.
    """

    field: str
    key: str
    name: str
    line: int
    because: str = ""


@dataclass(frozen=True, slots=True)
class Given:
    """A fact or part that the header names: the key it is compared by, the name as written, and its
    line.
    """

    key: str
    name: str
    line: int


class Plan:
    """A write-up and the rules, with one key for each fact, part and source of danger."""

    def __init__(self, writeup: WriteUp, rules: ShopRules) -> None:
        self.steps = writeup.steps
        self.ids = frozenset(step.id for step in writeup.steps)
        self.meanings = Meanings(rules.same)
        self.safe = {
            make_plain(source): (self.meanings.key(fact), fact)
            for source, fact in rules.safe.items()
        }
        self.temporary = frozenset(self.meanings.key(fact) for fact in rules.temporary)
        self.rivals = self._rivals(rules)
        kinds = Kinds(rules.demands, self.meanings.key)
        self.demanded = tuple(tuple(kinds.met(step)) for step in writeup.steps)
        self.moves = tuple(
            tuple(self._moves(step, met))
            for step, met in zip(writeup.steps, self.demanded, strict=True)
        )
        self.given, self.contradicting = self._without_rivals(
            self._given(writeup, "given", writeup.given)
        )
        self.leaves = self._given(writeup, "leaves", writeup.leaves)
        self.off = self._given(writeup, "off", writeup.off)
        self.leaves_off = self._given(writeup, "leaves off", writeup.leaves_off)
        every = [move for moves in self.moves for move in moves]
        # What is given counts as made: a fact that ended too early is out of order, not never made.
        self.made = (
            frozenset(move.key for move in every if move.field == "makes") | self.given.keys()
        )
        # Facts would do no harm here, since none is ever off: they only need not be looked at.
        moved = {move.key for move in every if move.field in PARTS}
        self.parts = tuple(dict.fromkeys([*sorted(moved), *self.off, *self.leaves_off]))

    def _moves(self, step: Step, met: Iterable[tuple[Demand, int]]) -> Iterable[Move]:
        for field in FIELDS:
            names: tuple[str, ...] = getattr(step, NAMES[field])
            for name, line in zip(names, step.lines_of(field), strict=True):
                yield Move(field, self._key(field, name), name, line)
            # The shop's demands come after the step's own needs and before any part moves.
            if field == "needs":
                for demand, line in met:
                    for name in demand.needs:
                        yield Move("demands", self.meanings.key(name), name, line, demand.because)

    def _rivals(self, rules: ShopRules) -> Mapping[str, tuple[str, ...]]:
        """For each fact that stands in a group of states, the others of the group."""
        groups = [sorted({self.meanings.key(name) for name in group}) for group in rules.states]
        return {
            fact: tuple(other for other in group if other != fact)
            for group in groups
            for fact in group
        }

    def _without_rivals(
        self, given: dict[str, Given]
    ) -> tuple[dict[str, Given], tuple[Given, ...]]:
        """What is given, without those facts that exclude one given before them, and those
        facts.
        """
        kept: dict[str, Given] = {}
        wrong: list[Given] = []
        for fact, its in given.items():
            if any(rival in kept for rival in self.rivals.get(fact, ())):
                wrong.append(its)
            else:
                kept[fact] = its
        return kept, tuple(wrong)

    def _key(self, field: str, name: str) -> str:
        # Ids compare exactly; only names fold case and white space.
        if field == "after":
            return name
        return make_plain(name) if field == "opens" else self.meanings.key(name)

    def _given(self, writeup: WriteUp, key: str, names: tuple[str, ...]) -> dict[str, Given]:
        found: dict[str, Given] = {}
        for name, line in zip(names, writeup.lines_of(key), strict=True):
            found.setdefault(self.meanings.key(name), Given(self.meanings.key(name), name, line))
        return found
