"""Give the amount: which number with its unit?"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, ClassVar, Self

from procedures.writeup.amounts import UNITS, BadAmount, read_amount, within
from procedures.writeup.model import Amount
from quizzes.kinds.fields import Field, Typed, gettext_noop
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
        gettext_noop("Amount with its unit"),
        gettext_noop("One number and its unit, such as 777 mm, 77,7 bar or 777 N·m (Nm)."),
        gettext_noop("Write a number with its unit."),
        LONGEST_AMOUNT,
    )
    amount: str

    @classmethod
    def read(cls, entry: Entry) -> Self | None:
        text = entry.entry.word("amount")
        try:
            read_amount(text)
        except BadAmount as bad:
            entry.wrong("amount", f"`amount` can't be read: {bad} Write it as in 24 ± 2 N·m.")
            return None
        return cls(text)

    def written(self) -> dict[str, Any]:
        return {"amount": self.amount}

    def as_json(self) -> dict[str, Any]:
        return {"amount": self.amount}

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> Self:
        return cls(kept["amount"])

    def shape_fault(self, given: object) -> str:
        if not isinstance(given, str) or not given.strip():
            return "Write a number with its unit."
        if len(given) > LONGEST_AMOUNT:
            return f"Write it shorter, in at most {LONGEST_AMOUNT} characters."
        return ""

    def unit_fault(self, given: object) -> str:
        if not BARE_NUMBER.fullmatch(str(given).strip()):
            return ""
        units = units_beside(read_amount(self.amount).kind)
        return f"Write the unit too: {units}." if units else ""

    def marks(self, given: Any, orders: Orders | None) -> Marked:
        wanted = read_amount(self.amount)
        text = str(given).strip()
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
            return _wrong(f"“{text}” can't be compared with {self.amount}.")
        return Marked(Fraction(int(right)), right, (f"Right is {self.amount}.",))

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
