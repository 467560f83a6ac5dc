"""Which questions does a sitting ask, and in which order are its options and steps shown?

Everything comes from one `random.Random(seed)`, so that a sitting's draw can be made again from its
seed and its bank.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass
from random import Random

from quizzes.marking.second_tries import find_steps

PHASE, STEP = "phase", "step"
# What fills a sitting up, in this order: (critical, seen before).
# Ones that are not critical first: the critical share was drawn by its own rule already.
FILLED_BY = ((False, False), (False, True), (True, False), (True, True))
THIRD = 34  # per cent, so that three times as many, each rounded up, are all of them
LEAST = 12  # questions; with fewer, guessing passes too often


@dataclass(frozen=True, slots=True)
class Candidate:
    """One question that could be asked, and on which steps and phases of its write-up it stands."""

    key: int
    writeup: str
    critical: bool
    steps: frozenset[str] = frozenset()
    phases: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class FromPart:
    """How many questions at least are drawn from one phase (by its title) or one step (by its id)
    of a write-up.
    """

    writeup: str
    part: str  # PHASE or STEP
    name: str
    count: int

    def fits(self, one: Candidate) -> bool:
        return one.writeup == self.writeup and self.name in (
            one.phases if self.part == PHASE else one.steps
        )


@dataclass(frozen=True, slots=True)
class DrawRules:
    """What a quiz draws: `size` questions at least; of the critical ones this share (every one at
    100); so many from parts.
    """

    size: int
    critical_percent: int = 100
    parts: tuple[FromPart, ...] = ()


def draw(
    bank: Sequence[Candidate], rules: DrawRules, chance: Random, seen: Set[int] = frozenset()
) -> tuple[int, ...]:
    """Keys of the questions asked, in their order: the critical ones by their share (rounded up),
    then as many from each part as the rules want and the bank has, then others up to the size,
    spread over the write-ups; further critical ones come only where there are no others.

    At each of these, the `seen` ones (keys) come only when there are no others. The rules come
    first: where every critical question is asked, the seen ones are too.
    """
    critical = [one for one in bank if one.critical]
    drawn = _some(critical, -(-len(critical) * rules.critical_percent // 100), chance, seen)
    for part in rules.parts:
        taken = {one.key for one in drawn}
        waiting = [one for one in bank if part.fits(one) and one.key not in taken]
        drawn += _some(waiting, part.count - sum(part.fits(one) for one in drawn), chance, seen)
    taken = {one.key for one in drawn}
    for is_critical, is_seen in FILLED_BY:
        _fill(
            [
                one
                for one in bank
                if one.key not in taken
                and (one.critical, one.key in seen) == (is_critical, is_seen)
            ],
            drawn,
            rules.size,
            chance,
        )
    chance.shuffle(drawn)
    return tuple(one.key for one in drawn)


def pick_second(
    bank: Sequence[Candidate], key: int, asked: Set[int], chance: Random, seen: Set[int]
) -> int | None:
    """The key of the second try for a critical question: another one that counts for the same
    step and is not `asked` yet in this sitting; of these one not `seen` before it, then a critical
    one, by chance. None where the bank has none.
    """
    # Of the bank alone, so that the odds, worked out without a sitting, stand on the same groups.
    counts_for = find_steps(bank)
    step = counts_for[key]
    mates = [
        one
        for one in bank
        if step is not None and counts_for[one.key] == step and one.key not in asked
    ]
    if not mates:
        return None
    best = min((one.key in seen, not one.critical) for one in mates)
    return chance.choice([one.key for one in mates if (one.key in seen, not one.critical) == best])


def three_rounds(critical: int, others: int) -> DrawRules:
    """Rules by which three sittings in a row ask every question of a bank of so many: what was not
    seen comes first, and each of them asks a third of the critical ones and a third of the others.
    """
    drawn = -(-critical * THIRD // 100)
    return DrawRules(max(drawn + -(-others // 3), LEAST), THIRD)


def _some(
    waiting: Sequence[Candidate], count: int, chance: Random, seen: Set[int]
) -> list[Candidate]:
    """So many of these, by chance, those not seen first; all of them where there are no more."""
    fresh, met = (
        [one for one in waiting if (one.key in seen) is is_seen] for is_seen in (False, True)
    )
    if count <= len(fresh):
        return list(fresh) if count == len(waiting) else chance.sample(fresh, max(count, 0))
    return fresh + (met if count >= len(waiting) else chance.sample(met, count - len(fresh)))


def _fill(others: Sequence[Candidate], drawn: list[Candidate], size: int, chance: Random) -> None:
    """Adds to what is drawn up to the size; the write-up with the fewest questions so far gives the
    next one.
    """
    waiting: dict[str, list[Candidate]] = {}
    for one in others:
        waiting.setdefault(one.writeup, []).append(one)
    # Shuffled before anything is taken, so that which write-up has its turn decides nothing else.
    for some in waiting.values():
        chance.shuffle(some)
    asked = {name: sum(one.writeup == name for one in drawn) for name in waiting}
    while len(drawn) < size and any(waiting.values()):
        # By name where two have as few, or the same seed could draw otherwise on another database.
        name = min(
            (name for name in waiting if waiting[name]), key=lambda name: (asked[name], name)
        )
        drawn.append(waiting[name].pop())
        asked[name] += 1
