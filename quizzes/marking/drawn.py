"""From which questions does a quiz draw how many, and with which chance, whatever the seed?

Questions that no rule of the draw tells apart (same write-up, critical or not, same parts) make one
pot: within it each is as likely as any other. The rules on critical questions and parts take by
chance from several pots at once, so there are ways to draw: so many from each pot, each way with
its exact chance. What is then filled up to the size is a fixed number from each write-up, first of
the questions that are not critical, each that is left as likely.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import comb, prod

from procedures.writeup.remarks import Unreadable, remark
from quizzes.marking.draws import FILLED_BY, Candidate, DrawRules

MOST_WAYS = 500  # more are not worked out, because nobody would wait for it

Taken = tuple[int, ...]  # how many from each pot


class TooManyWays(Unreadable):
    """The quiz draws in more ways than are worked out."""


@dataclass(frozen=True, slots=True)
class Pot:
    """Questions (by key) that no rule of the draw tells apart."""

    keys: tuple[int, ...]
    writeup: str
    critical: bool
    parts: tuple[bool, ...]  # whether each part of the rules fits


def list_pots(bank: Sequence[Candidate], rules: DrawRules) -> tuple[Pot, ...]:
    """The pots of a bank, in the order of their first question."""
    found: dict[tuple[str, bool, tuple[bool, ...]], list[int]] = {}
    for one in bank:
        # By what the rules can see alone: the fewer pots, the fewer ways.
        found.setdefault(
            (one.writeup, one.critical, tuple(part.fits(one) for part in rules.parts)), []
        ).append(one.key)
    return tuple(Pot(tuple(keys), *kind) for kind, keys in found.items())


def list_ways(pots: Sequence[Pot], rules: DrawRules) -> dict[Taken, Fraction]:
    """Every way to draw before filling up, with its chance; they sum to 1. Raises TooManyWays."""
    critical = [pot.critical for pot in pots]
    # Rounded up, as the draw does; both must take the same number.
    share = -(-sum(len(pot.keys) for pot in pots if pot.critical) * rules.critical_percent // 100)
    found = _drawn({(0,) * len(pots): Fraction(1)}, pots, critical, share)
    for place, part in enumerate(rules.parts):
        fits = [pot.parts[place] for pot in pots]
        found = _each(
            found,
            lambda taken, fits=fits, least=part.count: _drawn(  # type: ignore[misc]
                {taken: Fraction(1)},
                pots,
                fits,
                least - sum(many for many, fit in zip(taken, fits, strict=True) if fit),
            ),
        )
    return found


def chances_of_meeting(pots: Sequence[Pot], rules: DrawRules) -> dict[Taken, Fraction]:
    """How many questions of each pot one sitting asks, all told, with the chance of each; they sum
    to 1. Raises TooManyWays.
    """

    def fill(taken: Taken) -> dict[Taken, Fraction]:
        found = {taken: Fraction(1)}
        for (name, critical), more in fill_up(pots, taken, rules.size).items():
            mine = [(pot.writeup, pot.critical) == (name, critical) for pot in pots]

            def fill(
                before: Taken, mine: Sequence[bool] = mine, more: int = more
            ) -> dict[Taken, Fraction]:
                return _drawn({before: Fraction(1)}, pots, mine, more)

            found = _each(found, fill)
        return found

    return _each(list_ways(pots, rules), fill)


def list_ways_again(
    pots: Sequence[Pot], met: Taken, rules: DrawRules
) -> dict[tuple[Taken, Taken], Fraction]:
    """Every way to draw before filling up for somebody who has met so many of each pot, with its
    chance: how many from each pot that were not met, and how many that were. At each step those
    that were met come last, as in `draws.draw`. Raises TooManyWays.
    """
    fresh = [
        Pot(pot.keys[: len(pot.keys) - many], pot.writeup, pot.critical, pot.parts)
        for pot, many in zip(pots, met, strict=True)
    ]
    seen = [
        Pot(pot.keys[len(pot.keys) - many :], pot.writeup, pot.critical, pot.parts)
        for pot, many in zip(pots, met, strict=True)
    ]
    both, none = [*fresh, *seen], [False] * len(pots)
    steps: list[tuple[list[bool], int]] = [
        (
            [pot.critical for pot in pots],
            -(-sum(len(pot.keys) for pot in pots if pot.critical) * rules.critical_percent // 100),
        )
    ]
    steps += [
        ([pot.parts[place] for pot in pots], part.count) for place, part in enumerate(rules.parts)
    ]

    def step(taken: Taken, fits: list[bool], least: int) -> dict[Taken, Fraction]:
        many = least - sum(out for out, fit in zip(taken, fits * 2, strict=True) if fit)
        there = sum(
            len(pot.keys) - out
            for pot, out, fit in zip(both, taken, [*fits, *none], strict=True)
            if fit
        )
        found = _drawn({taken: Fraction(1)}, both, [*fits, *none], many)
        return _drawn(found, both, [*none, *fits], many - there)

    found: dict[Taken, Fraction] = {(0,) * len(both): Fraction(1)}
    for fits, least in steps:
        found = _each(found, lambda taken, fits=fits, least=least: step(taken, fits, least))  # type: ignore[misc]
    return {(taken[: len(pots)], taken[len(pots) :]): chance for taken, chance in found.items()}


def fill_up(pots: Sequence[Pot], taken: Taken, size: int) -> dict[tuple[str, bool], int]:
    """How many more come from each write-up, of those not critical and then of the critical ones:
    in turn from the write-up with the fewest so far, as `draws.draw` does.
    """
    nothing = (0,) * len(pots)
    more = fill_up_again(pots, nothing, taken, nothing, size)
    return {
        (name, critical): many for (name, critical, is_seen), many in more.items() if not is_seen
    }


def fill_up_again(
    pots: Sequence[Pot], met: Taken, fresh: Taken, known: Taken, size: int
) -> dict[tuple[str, bool, bool], int]:
    """The same for somebody who has met so many of each pot, with (write-up, critical, met): so
    many that were not met (`fresh`) and so many that were (`known`) are drawn already.
    """
    asked = Counter[str]()
    for pot, new, old in zip(pots, fresh, known, strict=True):
        asked[pot.writeup] += new + old
    more: dict[tuple[str, bool, bool], int] = {}
    for critical, is_seen in FILLED_BY:
        waiting = Counter[str]()
        for pot, seen, new, old in zip(pots, met, fresh, known, strict=True):
            if pot.critical is critical:
                waiting[pot.writeup] += seen - old if is_seen else len(pot.keys) - seen - new
        for name, many in _in_turn(waiting, asked, size - asked.total()).items():
            more[name, critical, is_seen] = many
            asked[name] += many
    return more


def _in_turn(waiting: Counter[str], asked: Counter[str], many: int) -> dict[str, int]:
    """So many from these, each from the write-up with the fewest so far."""
    more = dict.fromkeys(waiting, 0)
    for _ in range(many):
        names = [name for name in waiting if more[name] < waiting[name]]
        if not names:
            break
        more[min(names, key=lambda name: (asked[name] + more[name], name))] += 1
    return more


def _each(
    before: Mapping[Taken, Fraction], then: Callable[[Taken], Mapping[Taken, Fraction]]
) -> dict[Taken, Fraction]:
    """The ways that come out when each way so far goes on in its own ways."""
    found: dict[Taken, Fraction] = {}
    for taken, chance in before.items():
        for after, of_it in then(taken).items():
            found[after] = found.get(after, Fraction(0)) + chance * of_it
        _refuse_many(found)
    return found


def _refuse_many(found: Mapping[Taken, Fraction]) -> None:
    if len(found) > MOST_WAYS:
        raise TooManyWays(remark("too-many-ways", most=MOST_WAYS))


def _drawn(
    before: Mapping[Taken, Fraction], pots: Sequence[Pot], fits: Sequence[bool], many: int
) -> dict[Taken, Fraction]:
    """So many drawn from what is left in the pots that fit, each question as likely; all of it
    where there is no more.
    """
    found: dict[Taken, Fraction] = {}
    for taken, chance in before.items():
        left = [
            len(pot.keys) - out if fit else 0
            for pot, out, fit in zip(pots, taken, fits, strict=True)
        ]
        # A rule may want more than the bank has, or less than was drawn by the rules before it.
        draws = min(max(many, 0), sum(left))
        for split in _splits(left, draws):
            after = tuple(out + more for out, more in zip(taken, split, strict=True))
            # Hypergeometric: as many ways within each pot as sets of that size, out of all sets.
            likely = prod(comb(there, more) for there, more in zip(left, split, strict=True))
            found[after] = found.get(after, Fraction(0)) + chance * Fraction(
                likely, comb(sum(left), draws)
            )
            _refuse_many(found)
    return found


def _splits(left: Sequence[int], many: int) -> Iterator[Taken]:
    """Every way to take so many from these."""
    if not left:
        if not many:
            yield ()
        return
    rest = sum(left[1:])
    # What the other pots cannot give must come from this one.
    for first in range(max(0, many - rest), min(left[0], many) + 1):
        for others in _splits(left[1:], many - first):
            yield (first, *others)
