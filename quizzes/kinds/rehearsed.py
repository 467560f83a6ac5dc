"""Which orders of some steps are safe and complete, as the write-up rehearses, and what is wrong
with another?
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from itertools import islice, product
from math import factorial
from typing import TYPE_CHECKING

from procedures.rehearsal.findings import ERROR, Finding
from procedures.rehearsal.orders import Orders, demanded_pairs, is_right_order, right_orders
from procedures.rehearsal.variants import agrees
from procedures.rehearsal.walk import rehearse
from procedures.writeup.model import Condition, Variant, WriteUp
from procedures.writeup.names import make_plain
from procedures.writeup.remarks import Remark, remark
from procedures.writeup.rules import ShopRules

if TYPE_CHECKING:
    from quizzes.kinds.kind import Asked
    from quizzes.kinds.put_in_order import PutInOrder

MOST_TRIED = 1_000  # forks, where nearly all that there could be are under `never`


class Rehearsed:
    """The orders of the steps that one question shows, judged by rehearsing the write-up with each.

    What the write-up follows needs not be at hand: it shows in the header alone, so it is the same
    for every order. The question must fit the write-up (`misfits`); else everything here raises
    ValueError.
    """

    def __init__(self, writeup: WriteUp, rules: ShopRules, asked: PutInOrder) -> None:
        self._writeup, self._rules = writeup, rules
        self._combination = combination_of(writeup, asked.variant) or {}
        self._steps = sort_as_written(writeup, asked.steps)

    def is_right(self, order: Sequence[str]) -> bool:
        """Whether the write-up rehearses in this order without an error that it does not have
        itself.
        """
        if sorted(order) != sorted(self._steps):
            return is_right_order(self._writeup, self._rules, self._combination, order)
        return self._orders.is_right(order)

    def demanded(self) -> tuple[tuple[str, str], ...]:
        """The pairs (a, b) of which a stands before b in every right order."""
        return self._demanded

    def count(self) -> tuple[int, int]:
        """How many orders are right, and how many there are."""
        return self._right, factorial(len(self._steps))

    def says(self, order: Sequence[str]) -> tuple[Remark, ...]:
        """What goes wrong in this order and not in the write-up's own."""
        answer = iter(order)
        by_id = {step.id: step for step in self._writeup.steps}
        steps = tuple(
            by_id[next(answer)] if step.id in self._steps else step for step in self._writeup.steps
        )
        # What is wrong with the write-up itself is not the fault of an answer.
        own = {(error.code, error.step, error.about) for error in self._errors(self._writeup)}
        found = self._errors(replace(self._writeup, steps=steps))
        titles = {step.id: step.title for step in steps}
        return tuple(
            remark_on(error, titles)
            for error in found
            if (error.code, error.step, error.about) not in own
        )

    @cached_property
    def _orders(self) -> Orders:
        # To lay the write-up out takes ten times as long as to go through one order of it.
        return Orders(self._writeup, self._rules, self._combination, self._steps)

    @cached_property
    def _demanded(self) -> tuple[tuple[str, str], ...]:
        return demanded_pairs(self._writeup, self._rules, self._combination, self._steps)

    @cached_property
    def _right(self) -> int:
        return right_orders(self._writeup, self._rules, self._combination, self._steps)

    def _errors(self, writeup: WriteUp) -> list[Finding]:
        """The errors that show for the one fork of the question."""
        # With one option each, no finding can come from another fork than the question's.
        one = tuple(Variant(v.name, (self._combination[v.name],), v.line) for v in writeup.variants)
        return [
            found
            for found in rehearse(replace(writeup, variants=one), self._rules)
            if found.level == ERROR
        ]


ORDER_TOLD_WITH: Mapping[str, tuple[str, ...]] = {
    "need-not-met": ("step", "about"),
    "never-made": ("step", "about"),
    "demand-not-met": ("step", "about"),
    "opens-unsafe": ("step", "about"),
    "part-not-on": ("step", "about"),
    "part-already-on": ("step", "about"),
    "part-was-scrapped": ("step", "about"),
    "old-part-still-there": ("step", "about"),
    "made-twice": ("step", "about"),
    "ends-nothing": ("step", "about"),
    "out-of-order": ("step", "other"),
    "part-left-off": ("about",),
    "part-not-replaced": ("about",),
    "guard-left": ("about",),
    "leaves-not-met": ("about",),
}
"""What each error of a rehearsal is told with to the one who put the steps in order. The rehearsal
itself speaks to the author of the write-up.
"""


def remark_on(error: Finding, titles: Mapping[str, str]) -> Remark:
    """What there is to be said of one error of an order; a kind that no order can cause keeps the
    rehearsal's own remark.
    """
    if error.code not in ORDER_TOLD_WITH:
        return error.remark
    step = error.step or ""
    known = {
        "step": titles.get(step, step),
        "about": error.about,
        "other": titles.get(error.about, error.about),
    }
    args = tuple((name, known[name]) for name in ORDER_TOLD_WITH[error.code])
    return Remark(f"order-{error.code}", args)


def sort_as_written(writeup: WriteUp, steps: Sequence[str]) -> tuple[str, ...]:
    """These steps as they follow each other in the write-up, without those that it does not
    have.
    """
    return tuple(step.id for step in writeup.steps if step.id in steps)


def combination_of(
    writeup: WriteUp, variant: Sequence[tuple[str, str]]
) -> Mapping[str, str] | None:
    """The combination of the write-up that these options name, spelled as in its header; None where
    there is none.
    """
    wanted = {make_plain(name): make_plain(option) for name, option in variant}
    found = {
        one.name: option
        for one in writeup.variants
        for option in one.options
        if wanted.get(make_plain(one.name)) == make_plain(option)
    }
    if not len(found) == len(wanted) == len(writeup.variants):
        return None
    return None if any(agrees(never.conditions, found) for never in writeup.never) else found


def fork_with(writeup: WriteUp, step: str) -> dict[str, str]:
    """One option for every variant, of a fork that there is and on which this step is done; the
    first option where nothing speaks against it.
    """
    only_if = next((one.only_if for one in writeup.steps if one.id == step), ())
    offered = [
        [(variant.name, option) for option in _fitting(variant, only_if)]
        for variant in writeup.variants
        if variant.options
    ]
    forks = map(dict, islice(product(*offered), MOST_TRIED))
    there_are = (
        fork for fork in forks if not any(agrees(never.conditions, fork) for never in writeup.never)
    )
    return next(there_are, {variant.name: variant.options[0] for variant in writeup.variants})


def _fitting(variant: Variant, only_if: Sequence[Condition]) -> Sequence[str]:
    """The options of a variant on which a step is done; all of them where it is done on none."""
    mine = [one for one in only_if if make_plain(one.variant) == make_plain(variant.name)]
    fitting = [option for option in variant.options if agrees(mine, {variant.name: option})]
    return fitting or variant.options


def misfits(asked: Asked, steps: Sequence[str], writeup: WriteUp) -> tuple[Remark, ...]:
    """Why a question on these steps can't be asked beside this text of the write-up; empty
    when it can.
    """
    known = {step.id for step in writeup.steps}
    missing = tuple(remark("step-not-there", step=step) for step in steps if step not in known)
    return missing or asked.misfits(writeup)
