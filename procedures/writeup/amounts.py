"""How much is meant by "28 ± 2 N·m", and is one amount within another?"""

import re
from collections.abc import Collection
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING

from procedures.writeup.model import Amount
from procedures.writeup.remarks import Unreadable, remark

if TYPE_CHECKING:
    from pint import UnitRegistry

# How a unit is written -> how it is shown, its kind, and its name in the unit library ("" where
# nothing converts).
UNITS: dict[str, tuple[str, str, str]] = {
    "N·m": ("N·m", "torque", "newton * meter"),
    "Nm": ("N·m", "torque", "newton * meter"),
    "in·lbf": ("in·lbf", "torque", "inch * force_pound"),
    "ft·lbf": ("ft·lbf", "torque", "foot * force_pound"),
    "kgf·cm": ("kgf·cm", "torque", "kilogram_force * centimeter"),
    "bar": ("bar", "pressure", "bar"),
    "psi": ("psi", "pressure", "pound_force_per_square_inch"),
    "kPa": ("kPa", "pressure", "kilopascal"),
    "MPa": ("MPa", "pressure", "megapascal"),
    "mL": ("mL", "volume", "milliliter"),
    "L": ("L", "volume", "liter"),
    "cm³": ("cm³", "volume", "centimeter ** 3"),
    "mm": ("mm", "length", "millimeter"),
    "cm": ("cm", "length", "centimeter"),
    "m": ("m", "length", "meter"),
    "in": ("in", "length", "inch"),
    "g": ("g", "mass", "gram"),
    "kg": ("kg", "mass", "kilogram"),
    "s": ("s", "time", "second"),
    "min": ("min", "time", "minute"),
    "h": ("h", "time", "hour"),
    "d": ("d", "time", "day"),
    "°C": ("°C", "temperature", "degree_Celsius"),
    "°F": ("°F", "temperature", "degree_Fahrenheit"),
    "K": ("K", "temperature", "kelvin"),
    "%": ("%", "share", ""),
    "turns": ("turns", "count", ""),
    "clicks": ("clicks", "count", ""),
    "times": ("times", "count", ""),
}
# The pattern below is tried at every word, so a text without end would take long.
LONGEST = 300
SLACK = Decimal("1e-12")  # of the bound: what dividing by a factor with endless digits may lose

_NUMBER = r"[0-9]{1,15}(?:[.,][0-9]{1,15})?"
# In “28 ± 10 % N·m” the per cent is of the value, in “20 ± 2 %” it is the unit itself: so the
# share counts only where a unit follows.
_AMOUNT = re.compile(
    rf"(?:^|(?<=\s))(?P<first>[-−]?{_NUMBER})"
    rf"(?: ?(?:± ?(?P<give>{_NUMBER})(?P<share> ?%(?= ?\S))?|\.\. ?(?P<last>[-−]?{_NUMBER})))?"
    rf"(?: ?(?P<unit>[^\s\d±]\S*?))?(?: ?± ?(?P<after>{_NUMBER}) ?%)?$"
)

# What stands between the two numbers of a range, as people write it, or of a list.
_JOINTS = "-‐‑‒–—―−~…/,"
_JOINING = ("to", "and", "or")
_ENDS_IN_NUMBER = re.compile(rf"(?:^|(?<=\s)){_NUMBER}(?: ?(?P<unit>[^\s\d]\S*+))?+$")


class BadAmount(Unreadable):
    """The text is no amount, or amounts cannot be compared."""


def read_amount(text: str, kinds: Collection[str] | None = None) -> Amount:
    """The amount that the whole text says, with tolerances worked out in its own unit.

    `kinds` names the kinds of unit that fit here (torque, pressure, volume, length, mass, time,
    temperature, share, count). Raises BadAmount for anything else.
    """
    name, amount = split_amount(text, kinds)
    if amount is None or name:
        raise BadAmount(remark("no-amount", text=text))
    return amount


def split_amount(text: str, kinds: Collection[str] | None = None) -> tuple[str, Amount | None]:
    """The name before the amount ("" without one) and the amount at the end (None without one).

    Raises BadAmount when what stands at the end is an amount that cannot be read.
    """
    words = " ".join(text.split())
    if len(words) > LONGEST:
        raise BadAmount(remark("amount-too-long", most=LONGEST, start=words[:40]))
    found = _AMOUNT.search(words)
    if found is None:
        if (
            words
            # With a digit in it and a unit at its end it was meant as an amount, not as a name.
            and words.split()[-1].replace("⋅", "·") in UNITS
            and any(sign.isnumeric() for sign in words)
        ):
            raise BadAmount(remark("no-number", text=words))
        return words, None
    name = words[: found.start()].strip()
    # Half a tolerance left in the name would be dropped in silence, and a range read as its end.
    if "±" in name or ".." in name:
        raise BadAmount(remark("no-whole-amount", text=words))
    amount = _amount(found, words, kinds)
    # Of “5 - 7 N·m” the name would be “5 -” and the amount its upper end.
    before = _ENDS_IN_NUMBER.search(_without_joint(name))
    if before and _may_be_its_other_end(before["unit"], amount.kind):
        raise BadAmount(remark("two-numbers", text=words))
    return name, amount


def _without_joint(name: str) -> str:
    """The words before the “-” or “to” at the end, where one stands there."""
    parts = name.split()
    while parts and (parts[-1].lower() in _JOINING or not parts[-1].strip(_JOINTS)):
        parts.pop()
    return " ".join(parts).rstrip(_JOINTS)


def _may_be_its_other_end(unit: str | None, kind: str) -> bool:
    """Is a number with this unit, or with none, of the kind of the amount behind it? In “hex 5 mm
    - 7 N·m” it is not.
    """
    if unit is None:
        return True
    known = UNITS.get(unit.replace("⋅", "·"))
    return known is not None and known[1] == kind


def _amount(found: re.Match[str], words: str, kinds: Collection[str] | None) -> Amount:
    text = found.group().strip()
    unit, kind = _unit(found["unit"], text, kinds)
    first = _number(found["first"])
    if found["last"] is not None:
        last = _number(found["last"])
        if found["after"] is not None:
            raise BadAmount(remark("range-with-tolerance", text=text))
        if last < first:
            raise BadAmount(remark("range-backwards", text=text))
        return Amount(first, None, last, unit, kind, text)
    if found["give"] is not None and found["after"] is not None:
        raise BadAmount(remark("two-tolerances", text=text))
    give = _give(found, first)
    if give is None:
        return Amount(None, first, None, unit, kind, text)
    return Amount(first - give, first, first + give, unit, kind, text)


def _give(found: re.Match[str], value: Decimal) -> Decimal | None:
    if found["after"] is not None:
        return abs(value) * _number(found["after"]) / 100
    if found["give"] is None:
        return None
    give = _number(found["give"])
    return abs(value) * give / 100 if found["share"] else give


def _unit(written: str | None, text: str, kinds: Collection[str] | None) -> tuple[str, str]:
    if not written:
        raise BadAmount(remark("no-unit", text=text))
    # Some keyboards and office programs write the dot operator (U+22C5) for the middle dot.
    known = UNITS.get(written.replace("⋅", "·"))
    if known is None:
        raise BadAmount(remark("unknown-unit", unit=written, known=tuple(UNITS)))
    unit, kind, _ = known
    if kinds is not None and kind not in kinds:
        raise BadAmount(remark("other-kind", text=text, kind=kind, kinds=tuple(sorted(kinds))))
    return unit, kind


def _number(text: str) -> Decimal:
    return Decimal(text.replace(",", ".").replace("−", "-"))


def convert(amount: Amount, unit: str) -> Amount:
    """The same amount in another unit of its kind, unrounded. Raises BadAmount where no such
    conversion exists.
    """
    target, kind = _unit(unit, unit, None)
    # Before the unit library is asked: turns, clicks and per cent are not in it.
    if target == amount.unit:
        return amount
    old, new = UNITS[amount.unit][2], UNITS[target][2]
    if kind != amount.kind or not old or not new:
        raise BadAmount(
            remark("not-convertible", unit=amount.unit, kind=amount.kind, target=target, other=kind)
        )
    registry = _registry()

    def turned(number: Decimal | None) -> Decimal | None:
        return None if number is None else Decimal(registry.Quantity(number, old).to(new).magnitude)

    low, value, high = turned(amount.low), turned(amount.value), turned(amount.high)
    return Amount(low, value, high, target, kind, amount.text)


@cache
def factors_to(unit: str) -> dict[str, tuple[float, float]]:
    """How a number in each unit of the same kind becomes one in this unit: by times and plus.

    For a page that has to tell without the site; what counts is worked out by `lies_within`.
    """
    kind = UNITS[unit][1]
    found = {}
    for written, (_, of, _) in UNITS.items():
        if of != kind:
            continue
        try:
            none, one = (convert(read_amount(f"{n} {written}"), unit).value for n in (0, 1))
        except BadAmount:
            continue  # clicks are no turns
        if none is not None and one is not None:
            found[written] = (float(one - none), float(none))
    return found


def lies_within(given: Amount, wanted: Amount) -> bool:
    """Does the whole of what is given lie inside what is wanted, both ends included?

    A wanted amount without a tolerance is met by the same amount only. Raises BadAmount when the
    kinds differ.
    """
    here = convert(given, wanted.unit)
    low, high = _ends(wanted)
    first, last = _ends(here)
    slack = max(abs(low), abs(high)) * SLACK
    return low - slack <= first and last <= high + slack


def _ends(amount: Amount) -> tuple[Decimal, Decimal]:
    """The lowest and the highest number of an amount."""
    low = amount.low if amount.low is not None else amount.value
    high = amount.high if amount.high is not None else amount.value
    return Decimal(0) if low is None else low, Decimal(0) if high is None else high


@cache
def _registry() -> "UnitRegistry[Decimal]":
    """The unit library, loaded on first use because loading it takes half a second."""
    from pint import UnitRegistry

    return UnitRegistry(non_int_type=Decimal)
