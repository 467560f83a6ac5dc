"""Which orders of some steps are safe and complete?

Shown steps are put, in the order of an answer, into the places that they hold in the write-up; all
other steps stay. The order is right when that rehearses without an error that the write-up itself
does not have, for one combination.
"""

from collections.abc import Mapping, Sequence

from procedures.rehearsal.cases import ALL, NONE, Cases
from procedures.rehearsal.plan import Plan
from procedures.rehearsal.run import Run, Seen
from procedures.rehearsal.state import State
from procedures.rehearsal.variants import agrees
from procedures.writeup.model import WriteUp
from procedures.writeup.rules import ShopRules

# 7! is 5,040 orders; one step more would make eight times as many.
MOST_SHOWN = 7

Error = tuple[str, str | None, str]
StepPair = tuple[str, str]
Known = tuple[int, frozenset[StepPair]]


def is_right_order(
    writeup: WriteUp,
    rules: ShopRules,
    combination: Mapping[str, str],
    order: Sequence[str],
    others: Mapping[str, WriteUp] | None = None,
) -> bool:
    """Is this order of the shown steps (by id) wholly right?

    What the write-up follows is the same in every order, so `others` changes nothing. Raises
    ValueError when a step is named twice, is not in the write-up, or does not apply to the
    combination.
    """
    return Orders(writeup, rules, combination, order).is_right(order)


def right_orders(
    writeup: WriteUp,
    rules: ShopRules,
    combination: Mapping[str, str],
    shown: Sequence[str],
    others: Mapping[str, WriteUp] | None = None,
) -> int:
    """How many of all orders of the shown steps are right; at least one, that of the write-up.

    Raises ValueError as `is_right_order` does, and for more than 7 steps.
    """
    return _few(Orders(writeup, rules, combination, shown)).all_right()[0]


def demanded_pairs(
    writeup: WriteUp,
    rules: ShopRules,
    combination: Mapping[str, str],
    shown: Sequence[str],
    others: Mapping[str, WriteUp] | None = None,
) -> tuple[StepPair, ...]:
    """The pairs (a, b) of shown steps such that a stands before b in every right order, by the
    order of the write-up.

    Raises ValueError as `right_orders` does.
    """
    orders = _few(Orders(writeup, rules, combination, shown))
    _, possible = orders.all_right()
    return tuple(
        (first, then)
        for first in orders.shown
        for then in orders.shown
        if first != then and (then, first) not in possible
    )


class Orders:
    """The write-up for one combination, with the places of the shown steps."""

    def __init__(
        self,
        writeup: WriteUp,
        rules: ShopRules,
        combination: Mapping[str, str],
        shown: Sequence[str],
    ) -> None:
        plan = Plan(writeup, rules)
        reach = [ALL if agrees(step.only_if, combination) else NONE for step in writeup.steps]
        self._index = {step.id: index for index, step in enumerate(writeup.steps)}
        self._places = range(len(writeup.steps))  # doing one that does not apply does nothing
        if len(set(shown)) < len(shown):
            raise ValueError("A step is named twice in this order.")
        absent = [
            step for step in shown if step not in self._index or reach[self._index[step]] == NONE
        ]
        if absent:
            raise ValueError(f"No such step applies here: {', '.join(absent)}.")
        self._shown = frozenset(self._index[step] for step in shown)
        self.shown = tuple(
            writeup.steps[index].id for index in self._places if index in self._shown
        )
        # For one combination no variant is left to ask for: each set is ALL or NONE.
        self._run = Run(plan, Cases(()), reach, ALL)
        self._own = self._errors_of(self._places)
        self._known: dict[object, Known] = {}

    def is_right(self, order: Sequence[str]) -> bool:
        """Does this order bring no error that the write-up itself does not have?"""
        answer = iter([self._index[step] for step in order])
        return (
            self._errors_of(
                [next(answer) if index in self._shown else index for index in self._places]
            )
            <= self._own
        )

    def _errors_of(self, indexes: Sequence[int]) -> set[Error]:
        state = self._run.start()
        seen = [error for index in indexes for error in self._step(state, index)]
        return {*seen, *map(_error, self._run.end(state))}

    def _step(self, state: State, index: int) -> list[Error]:
        """Do a step; its errors, without a fact that no step makes and that was missed before."""
        errors: list[Error] = []
        for seen in self._run.step(state, index):
            if seen.code == "never-made" and seen.key in state.lacked:
                continue
            if seen.code == "never-made":
                state.lacked.add(seen.key)
            errors.append(_error(seen))
        return errors

    def all_right(self) -> Known:
        """How many orders are right, and the pairs (a, b) with a before b in at least one of
        them.
        """
        return self._from(0, self._shown, self._run.start())

    def _from(self, place: int, left: frozenset[int], state: State) -> Known:
        """The same for the rest of the work, from a place on, with these shown steps still to
        do.
        """
        while place < len(self._places) and place not in self._shown:
            if not self._own.issuperset(self._step(state, place)):
                return 0, frozenset()
            place += 1
        if place == len(self._places):
            return int(self._own.issuperset(map(_error, self._run.end(state)))), frozenset()
        # Where the same steps are left and the bench looks the same, the rest goes the same
        # way. Without this it would only take longer: there are factorially many orders.
        key = (place, left, state.essence())
        if key not in self._known:
            self._known[key] = self._choose(place, left, state)
        return self._known[key]

    def _choose(self, place: int, left: frozenset[int], state: State) -> Known:
        count, pairs = 0, frozenset[StepPair]()
        for index in sorted(left):
            after = state.copy()
            if not self._own.issuperset(self._step(after, index)):
                continue
            rest = left - {index}
            found, later = self._from(place + 1, rest, after)
            if found:
                count += found
                ids = self._run.ids
                pairs |= later | {(ids[index], ids[other]) for other in rest}
        return count, pairs


def _few(orders: Orders) -> Orders:
    if len(orders.shown) > MOST_SHOWN:
        raise ValueError(f"At most {MOST_SHOWN} steps can be put in order.")
    return orders


def _error(seen: Seen) -> Error:
    """What makes two errors the same."""
    return seen.code, seen.step, seen.key
