"""Which faults, planted in the demo write-ups, does the rehearsal find, and why is each of the
others harmless?

Four ways to spoil a write-up: drop (a step, a field line, a caution), swap (two neighbouring
steps), double (a step), make conditional (a step, on the first option of a variant). A fault is
found when the rehearsal, silent before, has an error. One that it misses must have a reason from
the moves themselves, and the second implementation, which walks every fork by itself, must find
nothing either. `python -m tests.procedures.planted` prints the share found and each one missed.
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from procedures.rehearsal.findings import blocks
from procedures.rehearsal.plan import PARTS, Move, Plan
from procedures.rehearsal.walk import rehearse
from procedures.writeup.model import Step, WriteUp
from procedures.writeup.parse import parse
from procedures.writeup.rules import ShopRules, read_rules
from tests.procedures.judge import judge

FIXTURES = Path(__file__).parents[2] / "fixtures"
RULES = (FIXTURES / "rules.yaml").read_text(encoding="utf-8")
DEMANDS = ("needs", "demands", "after", "opens")


@cache
def library() -> dict[str, str]:
    """The newest text of each demo write-up, by its name."""
    newest: dict[str, tuple[int, Path]] = {}
    for path in (FIXTURES / "writeups").glob("*.md"):
        name, _, number = path.stem.partition(".r")
        newest[name] = max(newest.get(name, (0, path)), (int(number or 1), path))
    return {name: path.read_text(encoding="utf-8") for name, (_, path) in sorted(newest.items())}


@dataclass(frozen=True)
class Fault:
    """One planted fault: the spoilt text, and what it takes from the run (`gone`) or does twice or
    in another order.
    """

    kind: str
    writeup: str
    about: str
    text: str
    steps: tuple[int, ...]
    gone: tuple[Move, ...] = field(default=())


class Spoiler:
    """Plants faults in one write-up."""

    def __init__(self, name: str, text: str) -> None:
        self.name, self.lines = name, text.split("\n")
        self.writeup: WriteUp = parse(text)
        self.plan = Plan(self.writeup, _rules())
        ends = sorted(
            [step.line for step in self.writeup.steps]
            + [phase.line for phase in self.writeup.phases]
        )
        self.blocks = [
            (step.line - 1, next((line - 1 for line in ends if line > step.line), len(self.lines)))
            for step in self.writeup.steps
        ]

    def every(self) -> Iterator[Fault]:
        for index, step in enumerate(self.writeup.steps):
            start, end = self.blocks[index]
            yield self._fault(
                "drop a step", step, self._without(start, end), index, self.plan.moves[index]
            )
            for line, moves in self._field_lines(index):
                yield self._fault("drop a line", step, self._without(line - 1, line), index, moves)
            for caution in step.cautions:
                yield self._fault(
                    "drop a caution",
                    step,
                    self._without(caution.line - 1, self._end_of(caution.line)),
                    index,
                )
            if index + 1 < len(self.writeup.steps):
                yield self._swapped(index)
            double = [self.lines[start].replace("{#", "{#again-"), *self.lines[start + 1 : end]]
            yield self._fault(
                "double a step", step, [*self.lines[:end], *double, *self.lines[end:]], index
            )
            conditioned = {condition.variant for condition in step.only_if}
            for variant in self.writeup.variants:
                if variant.name not in conditioned:
                    only = f"only if: {variant.name} = {variant.options[0]}"
                    text = [*self.lines[: start + 1], only, *self.lines[start + 1 :]]
                    yield self._fault("make conditional", step, text, index, self.plan.moves[index])

    def _fault(
        self, kind: str, step: Step, lines: list[str], index: int, gone: Iterable[Move] = ()
    ) -> Fault:
        return Fault(kind, self.name, step.id, "\n".join(lines), (index,), tuple(gone))

    def _without(self, start: int, end: int) -> list[str]:
        return [*self.lines[:start], *self.lines[end:]]

    def _end_of(self, line: int) -> int:
        """The number of the last line of the caution that starts on this line."""
        while line < len(self.lines) and self.lines[line].startswith(("    ", "\t")):
            line += 1
        return line

    def _field_lines(self, index: int) -> Iterator[tuple[int, list[Move]]]:
        start, _ = self.blocks[index]
        line = start + 2
        while re.match(r"[a-z ]+:", self.lines[line - 1]):
            if not self.lines[line - 1].startswith("only if"):
                yield line, [move for move in self.plan.moves[index] if move.line == line]
            line += 1

    def _swapped(self, index: int) -> Fault:
        (start, middle), (second, end) = self.blocks[index], self.blocks[index + 1]
        lines = [
            *self.lines[:start],
            *self.lines[second:end],
            *self.lines[middle:second],
            *self.lines[start:middle],
            *self.lines[end:],
        ]
        step = self.writeup.steps[index]
        return Fault("swap two steps", self.name, step.id, "\n".join(lines), (index, index + 1))

    # ---- why a fault that is not found is harmless

    def reason(self, fault: Fault) -> str:
        """Why this fault moves no part, guard or opening to where it should not be; empty when
        there is no such reason.
        """
        if fault.kind == "swap two steps":
            return self._why_swapped(*fault.steps)
        if fault.kind == "drop a caution":
            return "the step opens nothing and no rule of the shop demands this message"
        if fault.kind == "double a step":
            return self._why_double(fault.steps[0])
        return self._why_gone(fault.gone)

    def _why_gone(self, gone: tuple[Move, ...]) -> str:
        if not gone:
            return "it tells a tool, a value or a reason and moves nothing"
        if all(move.field in DEMANDS for move in gone):
            return "it only asks or looks: no part, guard or opening moves otherwise than before"
        rest = [move for moves in self.plan.moves for move in moves if move not in gone]
        if all(move.field in DEMANDS or self._made_needlessly(move, rest) for move in gone):
            return (
                "no other step and not the end asks for the fact that it makes or ends, or "
                "another step makes it before"
            )
        parts = {move.key for move in gone if move.field in PARTS}
        if parts and all(self._off_and_on(key, gone) for key in parts):
            return "the part that it takes off it also fits again"
        return ""

    def _made_needlessly(self, move: Move, rest: list[Move]) -> bool:
        if move.field not in ("makes", "ends") or move.key in self.plan.temporary:
            return False
        others = [other for other in rest if other.key == move.key and other.line != move.line]
        if move.field == "ends":
            return True  # no guard: it may hold on
        asked = move.key in self.plan.leaves or any(
            other.field in ("needs", "demands", "ends") for other in others
        )
        asked |= any(rival in self.plan.temporary for rival in self.plan.rivals.get(move.key, ()))
        asked |= any(
            other.field == "opens" and self.plan.safe[other.key][0] == move.key
            for other in rest
            if other.field == "opens"
        )
        return (
            not asked
            or move.key in self.plan.given
            or any(other.field == "makes" for other in others)
        )

    @staticmethod
    def _off_and_on(key: str, gone: tuple[Move, ...]) -> bool:
        here = [move.field for move in gone if move.key == key and move.field in PARTS]
        return here in (
            ["takes off", "fits"],
            ["scraps", "fits new"],
            ["takes off", "scraps", "fits new"],
        )

    def _why_double(self, index: int) -> str:
        if all(
            move.field in DEMANDS or (move.field == "makes" and move.key not in self.plan.temporary)
            for move in self.plan.moves[index]
        ):
            return "done twice it takes nothing off, fits nothing and ends nothing"
        return ""

    def _why_swapped(self, index: int, later: int) -> str:
        one, other = self.writeup.steps[index], self.writeup.steps[later]
        for here in one.only_if:
            for there in other.only_if:
                if here.variant == there.variant and not set(here.options) & set(there.options):
                    return "no fork has both steps"
        first, second = (self._touched(at) for at in (index, later))
        shared = {
            key for key in first.keys() & second.keys() if "changes" in (first[key], second[key])
        }
        if not shared:
            return "the two steps share no fact and no part that one of them changes"
        before = {
            move.key for at in range(index) for move in self.plan.moves[at] if move.field == "makes"
        }
        if all(key in self.plan.given or key in before for key in shared):
            return "the fact that they share stands before both"
        moves = [*self.plan.moves[index], *self.plan.moves[later]]
        if all(move.field == "makes" for move in moves if move.key in shared):
            return "both make the same fact"
        return ""

    def _touched(self, index: int) -> dict[str, str]:
        touched: dict[str, str] = {}
        for move in self.plan.moves[index]:
            key = self.plan.safe[move.key][0] if move.field == "opens" else move.key
            if move.field not in DEMANDS:
                touched |= dict.fromkeys([key, *self.plan.rivals.get(key, ())], "changes")
            else:
                touched.setdefault(key, "asks")
        touched[self.plan.steps[index].id] = "changes"  # `after` asks for the step itself
        return touched


def found(fault: Fault) -> bool:
    """Does the rehearsal, silent about the write-up as it was, have an error now?"""
    others = {name: _parsed(text) for name, text in library().items() if name != fault.writeup}
    return blocks(rehearse(parse(fault.text), _rules(), others=others))


@cache
def _parsed(text: str) -> WriteUp:
    return parse(text)


@cache
def _rules() -> ShopRules:
    return read_rules(RULES)


def the_judge_finds(fault: Fault) -> bool:
    """Does the second implementation, which walks every fork by itself, find an error?"""
    files = {
        f"{name}.md": fault.text if name == fault.writeup else text
        for name, text in library().items()
    }
    rows = judge(files, RULES, only=f"{fault.writeup}.md")
    return any(row["level"] == "error" for row in rows)


def main() -> int:
    planted, caught, unexplained = Counter[str](), Counter[str](), 0
    missed = []
    for name, text in library().items():
        spoiler = Spoiler(name, text)
        for fault in spoiler.every():
            planted[fault.kind] += 1
            if found(fault):
                caught[fault.kind] += 1
                continue
            why = spoiler.reason(fault) if not the_judge_finds(fault) else ""
            unexplained += not why
            missed.append(
                f"{fault.writeup}: {fault.kind}, {fault.about} "
                f"{[m.field for m in fault.gone]}: {why or 'NO REASON'}"
            )
    sys.stdout.write("\n".join([*missed, ""]))
    for kind, number in planted.items():
        sys.stdout.write(
            f"{kind}: {caught[kind]} of {number} found ({caught[kind] / number:.0%})\n"
        )
    sys.stdout.write(f"without a reason: {unexplained}\n")
    return 1 if unexplained else 0


if __name__ == "__main__":
    sys.exit(main())
