"""What is an answer worth: from 0 to 1, wholly right or not, and what is said of it?

Nothing here asks the clock or the database; an order is judged by somebody who can rehearse it
(`Orders`).
"""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal
from fractions import Fraction
from typing import Protocol, TypeAlias, TypeGuard, cast

from procedures.writeup.amounts import UNITS, BadAmount, read_amount, within
from procedures.writeup.model import Amount
from quizzes.marking.kinds import (
    Asked,
    ChooseAll,
    ChooseOne,
    GiveAmount,
    Match,
    PointAt,
    PutInOrder,
)

Given: TypeAlias = "int | str | Sequence[int] | Sequence[str] | None"

NOT_ANSWERED = "Not answered."
BARE_NUMBER = re.compile(r"[+−-]?\d+([.,]\d+)?")
LONGEST_AMOUNT = 200  # characters
FARTHEST = 100_000  # units of a drawing
PLACES = Decimal("0.00001")


class Orders(Protocol):
    """Somebody who knows which orders of the shown steps are safe and complete."""

    def is_right(self, order: Sequence[str]) -> bool:
        """Whether the write-up rehearses in this order without an error that it does not have
        itself.
        """
        ...

    def demanded(self) -> Collection[tuple[str, str]]:
        """The pairs (a, b) of shown steps of which a stands before b in every right order."""
        ...


@dataclass(frozen=True, slots=True)
class Marked:
    """The worth of one answer. `share` is exact; `right` says whether it is wholly right (then
    `share` is 1).
    """

    share: Fraction
    right: bool
    says: tuple[str, ...] = ()

    @property
    def marks(self) -> Decimal:
        """The share as it is kept, to five places, never rounded up."""
        exact = Decimal(self.share.numerator) / Decimal(self.share.denominator)
        return exact.quantize(PLACES, rounding=ROUND_DOWN)


NOTHING = Marked(Fraction(0), right=False, says=(NOT_ANSWERED,))


def marks(question: Asked, given: Given, orders: Orders | None = None) -> Marked:
    """The worth of what was given (None = not answered). Raises ValueError where the answer has a
    wrong shape, or where an order is to be marked without `orders`.
    """
    if given is None:
        return NOTHING
    fault = shape_fault(question, given)
    if fault:
        raise ValueError(fault)
    match question:
        case ChooseOne():
            option = question.options[cast("int", given)]
            return Marked(Fraction(int(option.right)), option.right, _words(option.says))
        case ChooseAll():
            return _choose_all(question, set(cast("Sequence[int]", given)))
        case PutInOrder():
            if orders is None:
                message = "An order can't be marked without a rehearsal."
                raise ValueError(message)
            return _order(cast("Sequence[str]", given), orders)
        case GiveAmount():
            return _amount(question, str(given))
        case Match():
            return _match(question, cast("Sequence[int]", given))
        case PointAt():
            x, y = cast("Sequence[int]", given)
            inside = any(region.holds(x, y) for region in question.regions)
            return Marked(Fraction(int(inside)), inside)


def shape_fault(question: Asked, given: object) -> str:
    """Why this can't be an answer to the question, in a sentence; empty when it can be one (right
    or wrong).
    """
    match question:
        case ChooseOne():
            return "" if _is_place(given, question.options) else "Choose one of the options shown."
        case ChooseAll():
            if not isinstance(given, list | tuple) or not all(
                _is_place(place, question.options) for place in given
            ):
                return "Choose from the options shown."
            return "" if len(set(given)) == len(given) else "An option was chosen twice."
        case PutInOrder():
            if not isinstance(given, list | tuple) or sorted(map(str, given)) != sorted(
                question.steps
            ):
                return "Put every step that is shown in the order, once."
            return ""
        case GiveAmount():
            if not isinstance(given, str) or not given.strip():
                return "Write a number with its unit."
            return (
                ""
                if len(given) <= LONGEST_AMOUNT
                else f"Write it shorter, in at most {LONGEST_AMOUNT} characters."
            )
        case Match():
            whole = isinstance(given, list | tuple) and len(given) == len(question.pairs)
            fits = whole and all(
                _is_place(place, question.partners) for place in cast("Sequence[object]", given)
            )
            return "" if fits else "Choose a partner for each."
        case PointAt():
            fits = (
                isinstance(given, list | tuple) and len(given) == 2 and all(map(_is_whole, given))
            )
            return "" if fits else "Point at one spot on the drawing."


def unit_fault(question: Asked, given: object) -> str:
    """Which units would do, in a sentence, where an amount is asked for and a bare number was
    given; empty otherwise.
    """
    if not isinstance(question, GiveAmount) or not BARE_NUMBER.fullmatch(str(given).strip()):
        return ""
    units = units_beside(read_amount(question.amount).kind)
    return f"Write the unit too: {units}." if units else ""


def is_too_little(questions: int, unanswered: int) -> bool:
    """Whether fewer than half of the questions were answered: too little to be marked."""
    return 2 * (questions - unanswered) < questions


def percent(marked: Collection[Marked]) -> Decimal:
    """The mean share of a sitting in percent, rounded down to two places, so that a pass is never
    rounded up.

    Worked out in whole numbers: 2/3 and 1/3 make exactly 50.
    """
    if not marked:
        return Decimal(0)
    mean = sum((one.share for one in marked), Fraction(0)) / len(marked)
    return Decimal(int(mean * 10_000)) / 100


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


def matched(question: Match, given: Sequence[int]) -> tuple[bool, ...]:
    """For each pair, in the author's order, whether its left got the partner that belongs to it."""
    partners = question.partners
    return tuple(
        partners[place] == pair.right for pair, place in zip(question.pairs, given, strict=True)
    )


def _match(question: Match, given: Sequence[int]) -> Marked:
    found = matched(question, given)
    share = Fraction(sum(found), len(found))
    return Marked(share, all(found), _words(*(pair.says for pair in question.pairs)))


def _words(*says: str) -> tuple[str, ...]:
    return tuple(said for said in says if said)


def _is_whole(given: object) -> TypeGuard[int]:
    return isinstance(given, int) and not isinstance(given, bool) and abs(given) <= FARTHEST


def _is_place(given: object, options: Sequence[object]) -> bool:
    return _is_whole(given) and 0 <= given < len(options)


def _choose_all(question: ChooseAll, picked: set[int]) -> Marked:
    right = {place for place, option in enumerate(question.options) if option.right}
    share = max(Fraction(0), Fraction(len(picked & right) - len(picked - right), len(right)))
    says = _words(
        *(
            option.says
            for place, option in enumerate(question.options)
            if place in picked or option.right
        )
    )
    return Marked(share, picked == right, says)


def _order(order: Sequence[str], orders: Orders) -> Marked:
    if orders.is_right(order):
        return Marked(Fraction(1), right=True)
    return Marked(order_share(order, orders.demanded()), right=False)


def _amount(question: GiveAmount, given: str) -> Marked:
    wanted = read_amount(question.amount)
    text = given.strip()
    if BARE_NUMBER.fullmatch(text):
        return _wrong(f"“{text}” has no unit. Write the number with its unit.")
    try:
        amount = read_amount(text)
    except BadAmount:
        return _wrong(f"“{text}” can't be read as a number with a unit.")
    if amount.kind != wanted.kind:
        return _wrong(f"“{text}” is a {amount.kind}; a {wanted.kind} is asked for.")
    if not _is_one_number(amount):
        return _wrong(f"“{text}” is not one amount. Write one number with its unit.")
    try:
        right = within(amount, wanted)
    except BadAmount:
        return _wrong(f"“{text}” can't be compared with {question.amount}.")
    return Marked(Fraction(int(right)), right, (f"Right is {question.amount}.",))


def units_beside(kind: str) -> str:
    """The units of this kind, in words: N·m, in·lbf or ft·lbf."""
    *others, last = dict.fromkeys(shown for shown, of, _ in UNITS.values() if of == kind)
    return f"{', '.join(others)} or {last}" if others else last


def _wrong(says: str) -> Marked:
    return Marked(Fraction(0), right=False, says=(says,))


def _is_one_number(amount: Amount) -> bool:
    return amount.value is not None and (amount.low, amount.high) in (
        (None, None),
        (amount.value, amount.value),
    )
