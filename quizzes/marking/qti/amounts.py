"""Which amount is right, by the right number and the tolerance of an item?"""

from __future__ import annotations

from decimal import Decimal, InvalidOperation

from lxml import etree

from procedures.writeup.amounts import BadAmount, read_amount
from procedures.writeup.remarks import Remark, remark
from quizzes.marking.qti.names import tag

LARGEST = Decimal(10) ** 9


def amount_of(root: etree._Element, correct: list[str], unit: str, own: str) -> str | Remark:
    """The amount as the language of write-ups has it, or why there is none. `unit` stands behind
    the number to be typed; `own` is the amount as it was written here, and counts where it says the
    same.
    """
    number = _number(correct[0]) if len(correct) == 1 else None
    if number is None:
        return remark("qti-no-number")
    tolerance = _tolerance(root, number)
    if tolerance is None:
        return remark("qti-tolerance")
    if own:
        return own if _says(own, number, tolerance) else remark("qti-amount-differs", amount=own)
    words = unit.split()
    for length in range(len(words), 0, -1):
        text = _spelled(number, tolerance, " ".join(words[:length]).rstrip(".,;"))
        try:
            read_amount(text)
        except BadAmount:
            continue
        return text
    return remark("qti-unit", unit=unit.strip())


def ends_of(text: str) -> tuple[Decimal, Decimal, Decimal]:
    """The right number of an amount, and how far below and above it an answer may lie; where a
    range is right, its lower end is the number. Raises BadAmount.
    """
    amount = read_amount(text)
    value = amount.low if amount.value is None else amount.value
    assert value is not None  # noqa: S101 -- an amount has a number or two ends
    low = value if amount.low is None else amount.low
    high = value if amount.high is None else amount.high
    return value, value - low, high - value


def _says(own: str, number: Decimal, tolerance: tuple[Decimal, Decimal]) -> bool:
    try:
        return ends_of(own) == (number, *tolerance)
    except BadAmount:
        return False


def _number(text: str) -> Decimal | None:
    try:
        number = Decimal(text.strip())
    except InvalidOperation:
        return None
    return number if number.is_finite() and abs(number) <= LARGEST else None


def _tolerance(root: etree._Element, number: Decimal) -> tuple[Decimal, Decimal] | None:
    """How far below and above, in units of the number; None where that cannot be said here."""
    equal = root.find(f".//{tag('qti-equal')}")
    if equal is None or equal.get("tolerance-mode", "exact") == "exact":
        return Decimal(0), Decimal(0)
    # An amount here holds its own ends.
    if "false" in (equal.get("include-lower-bound"), equal.get("include-upper-bound")):
        return None
    found = [_number(one) for one in equal.get("tolerance", "").split()]
    if not 1 <= len(found) <= 2 or any(one is None or one < 0 for one in found):
        return None
    below, above = (found * 2)[:2] if len(found) == 1 else found
    assert below is not None and above is not None  # noqa: S101, PT018 -- refused above
    if equal.get("tolerance-mode") == "relative":
        return abs(number) * below / 100, abs(number) * above / 100
    return below, above


def _spelled(number: Decimal, tolerance: tuple[Decimal, Decimal], unit: str) -> str:
    below, above = tolerance
    if not below and not above:
        return f"{number:f} {unit}"
    if below == above:
        return f"{number:f} ± {below:f} {unit}"
    return f"{number - below:f}..{number + above:f} {unit}"
