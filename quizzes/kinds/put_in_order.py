"""Put in order: in which orders are these steps safe and complete?"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import permutations
from random import Random
from typing import Any, ClassVar, Self

from procedures.rehearsal.variants import agrees
from procedures.writeup.model import WriteUp
from procedures.writeup.plain_yaml import Mapped
from procedures.writeup.remarks import Remark, remark
from quizzes.kinds.fields import Arranged, Field
from quizzes.kinds.kind import Asked, Beside, Entry, Marked, Orders, Told, mix_places
from quizzes.kinds.rehearsed import combination_of, sort_as_written
from quizzes.psychometrics.guessing import Spread, spread_of_order

ORDER = "put in order"
MOST_STEPS = 7  # the number of orders grows too fast beyond
TRIES = 200


@dataclass(frozen=True, slots=True)
class PutInOrder(Asked):
    """These steps of the write-up (ids, in the write-up's own order or not), for one option of
    every variant. An answer is a list of their ids.
    """

    kind: ClassVar[str] = ORDER
    keys: ClassVar[frozenset[str]] = frozenset({"variant"})
    template: ClassVar[str] = "quizzes/kinds/order.html"
    is_rehearsed: ClassVar[bool] = True
    field: ClassVar[Field] = Arranged()
    steps: tuple[str, ...]
    variant: tuple[tuple[str, str], ...] = ()  # sorted by variant

    @classmethod
    def read(cls, entry: Entry) -> Self | None:
        steps, variant = entry.steps, entry.entry.values.get("variant", Mapped(0, {}, {}))
        if not isinstance(variant, Mapped) or not all(
            isinstance(option, str) for option in variant.values.values()
        ):
            entry.wrong("variant", remark("bad-fork-named"))
            return None
        if steps and not 2 <= len(steps) <= MOST_STEPS:
            entry.wrong("steps", remark("too-many-steps-shown", most=MOST_STEPS, count=len(steps)))
        # Sorted, so that the same fork is the same value, and its orders are judged once.
        return cls(steps, tuple(sorted((name, variant.word(name)) for name in variant.values)))

    def written(self) -> dict[str, Any]:
        return {"variant": dict(self.variant)} if self.variant else {}

    def as_json(self) -> dict[str, Any]:
        return {"steps": list(self.steps), "variant": dict(self.variant)}

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> Self:
        return cls(tuple(kept["steps"]), tuple(sorted(kept["variant"].items())))

    def shape_fault(self, given: object) -> Remark | None:
        # As text, since what a browser sends may hold numbers, which do not sort beside words.
        if not isinstance(given, list | tuple) or sorted(map(str, given)) != sorted(self.steps):
            return remark("order-every-step")
        return None

    def marks(self, given: Any, orders: Orders | None) -> Marked:
        """Raises ValueError without somebody who judges the orders."""
        if orders is None:
            message = "An order can't be marked without a rehearsal."
            raise ValueError(message)
        if orders.is_right(given):
            return Marked(Fraction(1), right=True)
        return Marked(order_share(given, orders.demanded()), right=False)

    def guessed(self, beside: Beside) -> Spread:
        judge = beside.orders(self)
        return spread_of_order(self.steps, tuple(judge.demanded()), judge.count()[0])

    def misfits(self, writeup: WriteUp) -> tuple[Remark, ...]:
        combination = combination_of(writeup, self.variant)
        if combination is None:
            if not self.variant:
                return (remark("no-fork-named"),)
            return (remark("no-such-fork", fork=_spelled(self.variant)),)
        known = {step.id: step for step in writeup.steps}
        return tuple(
            remark("step-not-done", step=step, fork=_spelled(self.variant))
            for step in self.steps
            if not agrees(known[step].only_if, combination)
        )

    def faults(self, beside: Beside, *, fits: bool, mirror: bool) -> tuple[Remark, ...]:
        if not fits:
            return ()
        right, every = beside.orders(self).count()
        if right < every:
            return ()
        return (remark("every-order-right"),)

    def fork(self) -> tuple[tuple[str, str], ...]:
        return self.variant

    def drawn(self, beside: Beside, chance: Random) -> dict[str, Any]:
        order = wrong_order(self.steps, beside.orders(self), chance)
        titles = _titles(beside)
        return {"order": list(order), "titles": [titles[step] for step in order]}

    def labels(self, shown: Mapping[str, Any]) -> tuple[str, ...]:
        return tuple(shown["titles"])

    def given_words(self, given: Any, shown: Mapping[str, Any]) -> str:
        titles = dict(zip(shown["order"], shown["titles"], strict=True))
        return " → ".join(titles[step] for step in given)

    def told(self, given: Any, shown: Mapping[str, Any], beside: Beside, *, is_right: bool) -> Told:
        titles = _titles(beside)
        return Told(
            tuple(titles.get(step, step) for step in given or ()),
            tuple(titles.get(step, step) for step in sort_as_written(beside.writeup, self.steps)),
            beside.orders(self).says(given) if given and not is_right else (),
        )

    def key_shown(self, beside: Beside | None) -> dict[str, Any]:
        if beside is None:
            return {"order": (), "right": 0, "every": 0}
        titles, (right, every) = _titles(beside), beside.orders(self).count()
        order = tuple(titles[step] for step in sort_as_written(beside.writeup, self.steps))
        return {"order": order, "right": right, "every": every}

    def key_words(self, titles: Mapping[str, str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
        return tuple(titles[step] for step in self.steps), ()


def order_share(order: Sequence[str], demanded: Collection[tuple[str, str]]) -> Fraction:
    """What an order that is not right is worth: (pairs kept − pairs broken) / pairs demanded, not
    below 0.

    Where the write-up demands the place of every pair this is Kendall's tau (M. G. Kendall, Rank
    Correlation Methods); where it leaves some pairs free, Goodman and Kruskal's gamma (1954), which
    leaves ties out. An order that keeps every pair and is still wrong breaks a demand that pairs
    can't tell; that demand is counted as one more pair, broken.
    """
    place = {step: at for at, step in enumerate(order)}
    kept = sum(place[first] < place[then] for first, then in demanded)
    broken = len(demanded) - kept
    if not broken:
        broken = 1
    return max(Fraction(0), Fraction(kept - broken, kept + broken))


def wrong_order(steps: Sequence[str], orders: Orders, chance: Random) -> tuple[str, ...]:
    """A drawn order of the steps that is not right. Raises ValueError where every order is
    right.
    """
    # Drawn first, since a wrong order found in turn would be nearly the same in every sitting.
    for _ in range(TRIES):
        tried = [steps[place] for place in mix_places(len(steps), chance)]
        if not orders.is_right(tried):
            return tuple(tried)
    # Nearly all orders are right: look for a wrong one in turn.
    for order in permutations(steps):
        if not orders.is_right(order):
            return order
    message = "Every order of these steps is right."
    raise ValueError(message)


def _titles(beside: Beside) -> dict[str, str]:
    return {step.id: step.title for step in beside.writeup.steps}


def _spelled(variant: Sequence[tuple[str, str]]) -> tuple[str, ...]:
    return tuple(f"{name} = {option}" for name, option in variant)
