"""Give the amount: which number with its unit?"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, ClassVar, Self

from procedures.writeup.amounts import UNITS, BadAmount, lies_within, read_amount
from procedures.writeup.model import Amount
from procedures.writeup.remarks import Remark, remark
from quizzes.kinds.fields import Field, Typed
from quizzes.kinds.kind import Asked, Beside, Entry, Marked, Orders, Told
from quizzes.psychometrics.guessing import NOTHING, Spread

AMOUNT = "give the amount"
BARE_NUMBER = re.compile(r"[+−-]?\d+([.,]\d+)?")
LONGEST_AMOUNT = 200  # characters


@dataclass(frozen=True, slots=True)
class GiveAmount(Asked):
    """The right amount, as the write-up language writes it, with its tolerance. An answer is a
    text.
    """

    kind: ClassVar[str] = AMOUNT
    keys: ClassVar[frozenset[str]] = frozenset({"amount"})
    template: ClassVar[str] = "quizzes/kinds/amount.html"
    field: ClassVar[Field] = Typed(
        remark("type-amount"),
        remark("type-amount-help"),
        remark("type-amount-missing"),
        LONGEST_AMOUNT,
    )
    amount: str

    @classmethod
    def read(cls, entry: Entry) -> Self | None:
        text = entry.entry.word("amount")
        try:
            read_amount(text)
        except BadAmount as bad:
            entry.wrong("amount", remark("amount-unreadable", because=bad.remark))
            return None
        return cls(text)

    def written(self) -> dict[str, Any]:
        return {"amount": self.amount}

    def as_json(self) -> dict[str, Any]:
        return {"amount": self.amount}

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> Self:
        return cls(kept["amount"])

    def right_amounts(self) -> tuple[str, ...]:
        return (self.amount,)

    def shape_fault(self, given: object) -> Remark | None:
        if not isinstance(given, str) or not given.strip():
            return remark("type-amount-missing")
        if len(given) > LONGEST_AMOUNT:
            return remark("amount-longer", most=LONGEST_AMOUNT)
        return None

    def unit_fault(self, given: object) -> Remark | None:
        text = str(given).strip()
        units = units_beside(read_amount(self.amount).kind)
        if BARE_NUMBER.fullmatch(text):
            return remark("unit-missing", units=units)
        try:
            read_amount(text)
        except BadAmount:
            # “5 ml” is a slip of the keyboard, which tells nothing of what somebody knows.
            if any(map(str.isdigit, text)):
                return remark("unit-unreadable", text=text, units=units)
        return None

    def marks(self, given: Any, orders: Orders | None) -> Marked:
        wanted = read_amount(self.amount)
        text = str(given).strip()
        if BARE_NUMBER.fullmatch(text):
            return _wrong(remark("bare-number", text=text))
        try:
            amount = read_amount(text)
        except BadAmount:
            return _wrong(remark("not-an-amount", text=text))
        # Told before the number: a pressure for a torque is another mistake than a wrong torque.
        if amount.kind != wanted.kind:
            return _wrong(
                remark("amount-of-other-kind", text=text, kind=amount.kind, wanted=wanted.kind)
            )
        # A wide range would hold any right value.
        if not _is_one_number(amount):
            return _wrong(remark("not-one-amount", text=text))
        try:
            right = lies_within(amount, wanted)
        except BadAmount:
            return _wrong(remark("not-comparable", text=text, right=self.amount))
        return Marked(Fraction(int(right)), right, (remark("right-is", right=self.amount),))

    def guessed(self, beside: Beside) -> Spread:
        return NOTHING

    def given_words(self, given: Any, shown: Mapping[str, Any]) -> str:
        return str(given)

    def told(self, given: Any, shown: Mapping[str, Any], beside: Beside, *, is_right: bool) -> Told:
        says = self.marks(given, None).says if given and not is_right else ()
        return Told((given,) if given else (), (self.amount,), says)

    def key_shown(self, beside: Beside | None) -> dict[str, Any]:
        return {"amount": self.amount}

    def key_words(self, titles: Mapping[str, str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
        return (self.amount,), ()


def units_beside(kind: str) -> tuple[str, ...]:
    """The units of this kind: N·m, in·lbf, ft·lbf."""
    return tuple(dict.fromkeys(shown for shown, of, _ in UNITS.values() if of == kind))


def _wrong(says: Remark) -> Marked:
    return Marked(Fraction(0), right=False, says=(says,))


def _is_one_number(amount: Amount) -> bool:
    return amount.value is not None and (amount.low, amount.high) in (
        (None, None),
        (amount.value, amount.value),
    )
