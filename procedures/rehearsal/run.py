"""What goes wrong when the steps are done one after the other, in every combination at once?"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from procedures.rehearsal.cases import ALL, NONE, Cases
from procedures.rehearsal.plan import Given, Move, Plan
from procedures.rehearsal.state import Mark, Sets, State, add, drop, find_marks, mark
from procedures.writeup.remarks import Remark, remark

FoundIn = Iterator[tuple[str, int]]


@dataclass(frozen=True, slots=True)
class Seen:
    """Something wrong at one place: what it is compared by (`key`), as written there (`about`), and
    in which combinations. `detail` is the fact that makes an opening safe, or why the shop's rules
    demand something.
    """

    code: str
    step: str | None
    key: str
    about: str
    line: int
    cases: int
    detail: str = ""


def remark_of(seen: Seen) -> Remark:
    """What there is to be said of something wrong."""
    if seen.code == "opens-unsafe":
        return remark("opens-unsafe", about=seen.about, fact=seen.detail)
    if seen.code == "demand-not-met":
        return remark("demand-not-met", about=seen.about, because=fit_into_sentence(seen.detail))
    return Remark(seen.code, (("about", seen.about),))


def fit_into_sentence(because: str) -> str:
    """What the shop's rules say under because, to stand in the middle of a sentence: without its
    last dot.
    """
    return because.rstrip(". ")


class Run:
    """Does the steps of a plan. `reach` holds for each step the combinations to which it
    applies.
    """

    def __init__(self, plan: Plan, cases: Cases, reach: Sequence[int], there_are: int) -> None:
        self._plan = plan
        self.ids = tuple(step.id for step in plan.steps)
        self._cases = cases
        self._reach = tuple(reach)
        self._there_are = there_are
        self._applies = {
            step.id: where for step, where in zip(plan.steps, self._reach, strict=True)
        }
        self._do: dict[str, Callable[[State, Move, int], FoundIn]] = {
            "opens": self._opens,
            "needs": self._needs,
            "demands": self._demands,
            "takes off": self._takes_off,
            "scraps": self._scraps,
            "fits": self._fits,
            "fits new": self._fits_new,
            "ends": self._ends,
            "makes": self._makes,
        }

    def start(self) -> State:
        """Before the first step: what is given holds, what is off is off."""
        state = State()
        state.held = dict.fromkeys(self._plan.given, ALL)
        state.off = dict.fromkeys(self._plan.off, ALL)
        return state

    def step(self, state: State, index: int) -> list[Seen]:
        """Do one step, which changes the state; what goes wrong in it, in the order in which it
        does.
        """
        where, step = self._reach[index], self.ids[index]
        if where == NONE:
            return []
        seen: list[Seen] = []
        for move in self._plan.moves[index]:
            found = (
                self._after(state, move, where, step)
                if move.field == "after"
                else self._do[move.field](state, move, where)
            )
            # Exhausting the iterator is what makes the move, so nothing may stop it half way.
            for code, cases in found:
                if cases != NONE:
                    detail = (
                        self._plan.safe[move.key][1] if code == "opens-unsafe" else move.because
                    )
                    seen.append(Seen(code, step, move.key, move.name, move.line, cases, detail))
        state.done[step] = where
        return seen

    def _after(self, state: State, move: Move, where: int, step: str) -> FoundIn:
        if move.key == step or move.key not in self._plan.ids:
            yield "out-of-order", where
        else:
            late = self._cases.both(where, self._applies[move.key])
            yield "out-of-order", self._cases.without(late, state.done.get(move.key, NONE))

    def _opens(self, state: State, move: Move, where: int) -> FoundIn:
        if move.key not in self._plan.safe:
            yield "unknown-danger", where
            return
        fact, _ = self._plan.safe[move.key]
        safe = self._cases.either(state.held.get(fact, NONE), state.opened.get(fact, NONE))
        missing = self._cases.without(where, safe)
        add(self._cases, state.taken, fact, missing)
        # Apart from `taken`: what only a need took as given must not make an opening safe.
        add(self._cases, state.opened, fact, missing)
        yield "opens-unsafe", missing

    def _needs(self, state: State, move: Move, where: int) -> FoundIn:
        yield (
            "need-not-met" if move.key in self._plan.made else "never-made",
            self._missed(state, move, where),
        )

    def _demands(self, state: State, move: Move, where: int) -> FoundIn:
        yield "demand-not-met", self._missed(state, move, where)

    def _missed(self, state: State, move: Move, where: int) -> int:
        """Where the fact does not hold; from here on it is taken as given there."""
        missing = self._cases.without(where, self._stands(state, move.key))
        add(self._cases, state.taken, move.key, missing)
        return missing

    def _stands(self, state: State, fact: str) -> int:
        """Where the fact holds or is taken as given."""
        return self._cases.either(state.held.get(fact, NONE), state.taken.get(fact, NONE))

    def _ends(self, state: State, move: Move, where: int) -> FoundIn:
        missing = self._cases.without(where, self._stands(state, move.key))
        self._clear(state, move.key, where)
        yield "ends-nothing", missing

    def _clear(self, state: State, fact: str, where: int) -> None:
        """From here on the fact does not hold, however it came to."""
        for sets in (state.held, state.taken, state.opened):
            drop(self._cases, sets, fact, where)

    def _makes(self, state: State, move: Move, where: int) -> FoundIn:
        for rival in self._plan.rivals.get(move.key, ()):
            # In silence and first: of a group of states at most one holds.
            self._clear(state, rival, where)
        # By `held` alone: a fact that is only taken as given never counts as made twice.
        again = self._cases.both(where, state.held.get(move.key, NONE))
        add(self._cases, state.held, move.key, where)
        mark(self._cases, state.facts, move.key, Mark(move.line, move.name, where))
        if move.key in self._plan.temporary:
            yield "made-twice", again

    def _takes_off(self, state: State, move: Move, where: int) -> FoundIn:
        missing = self._cases.both(where, self._cases.either(*self._off_or_scrapped(state, move)))
        self._put(state, move, where, state.off)
        yield "part-not-on", missing

    def _scraps(self, state: State, move: Move, where: int) -> FoundIn:
        missing = self._cases.both(where, state.scrapped.get(move.key, NONE))
        self._put(state, move, where, state.scrapped)
        yield "part-not-on", missing

    def _fits(self, state: State, move: Move, where: int) -> FoundIn:
        off, scrapped = self._off_or_scrapped(state, move)
        self._put(state, move, where, None)
        yield "part-already-on", self._cases.without(where, self._cases.either(off, scrapped))
        yield "part-was-scrapped", self._cases.both(where, scrapped)

    def _fits_new(self, state: State, move: Move, where: int) -> FoundIn:
        off, scrapped = self._off_or_scrapped(state, move)
        # A part that was off from the start has no old one to scrap, until it is moved once.
        first = (
            self._cases.without(off, state.moved.get(move.key, NONE))
            if move.key in self._plan.off
            else NONE
        )
        self._put(state, move, where, None)
        yield (
            "old-part-still-there",
            self._cases.without(where, self._cases.either(scrapped, first)),
        )

    def _off_or_scrapped(self, state: State, move: Move) -> tuple[int, int]:
        return state.off.get(move.key, NONE), state.scrapped.get(move.key, NONE)

    def _put(self, state: State, move: Move, where: int, place: Sets | None) -> None:
        """Move a part to the bench, the bin, or (None) onto the fork, from wherever it is."""
        for sets in (state.off, state.scrapped):
            drop(self._cases, sets, move.key, where)
        if place is not None:
            add(self._cases, place, move.key, where)
        add(self._cases, state.moved, move.key, where)
        mark(self._cases, state.parts, move.key, Mark(move.line, move.name, where))

    def end(self, state: State) -> list[Seen]:
        """What is wrong after the last step, by line."""
        seen = [*self._end_of_parts(state), *self._end_of_facts(state)]
        return sorted(seen, key=lambda each: each.line)

    def _end_of_parts(self, state: State) -> Iterator[Seen]:
        plan, cases = self._plan, self._cases
        for key in plan.parts:
            off, scrapped = state.off.get(key, NONE), state.scrapped.get(key, NONE)
            marks = state.parts.get(key, ())
            if key in plan.leaves_off:
                on = cases.without(ALL, cases.either(off, scrapped))
                yield from self._at_end("leaves-not-met", key, on, marks, plan.leaves_off[key])
            else:
                yield from self._at_end("part-left-off", key, off, marks, plan.off.get(key))
            yield from self._at_end("part-not-replaced", key, scrapped, marks, None)

    def _end_of_facts(self, state: State) -> Iterator[Seen]:
        plan, cases = self._plan, self._cases
        # Sorted, since a set has another order in every process, and findings are compared.
        for key in sorted(plan.temporary - plan.leaves.keys()):
            yield from self._at_end(
                "guard-left",
                key,
                state.held.get(key, NONE),
                state.facts.get(key, ()),
                plan.given.get(key),
            )
        for key, leaves in plan.leaves.items():
            missing = cases.without(ALL, self._stands(state, key))
            yield from self._at_end(
                "leaves-not-met", key, missing, state.facts.get(key, ()), leaves
            )

    def _at_end(
        self, code: str, key: str, where: int, marks: tuple[Mark, ...], header: Given | None
    ) -> Iterator[Seen]:
        where = self._cases.both(where, self._there_are)
        otherwise = Mark(header.line, header.name, ALL) if header else Mark(1, key, ALL)
        for found in find_marks(self._cases, marks, where, otherwise):
            yield Seen(code, None, key, found.name, found.line, found.cases)
