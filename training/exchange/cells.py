"""What may stand in one cell of a folder that is brought in?

Each reader takes the cell's text and returns the value, or raises Expected with what it should have been.
"""

from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from typing import Any

Reader = Callable[[str], Any]


class Expected(Exception):
    """What should have stood there."""


def text(cell: str) -> str:
    """Any words; they must not be empty."""
    if not cell:
        raise Expected("some text")
    return cell


def loose(cell: str) -> str:
    """Any words, or none."""
    return cell


def name(cell: str) -> str:
    """A name as used in addresses: letters, digits, hyphens, underscores."""
    if not cell or not all(char.isascii() and (char.isalnum() or char in "-_") for char in cell):
        raise Expected("a name of letters, digits and hyphens, such as air-spring")
    return cell


def login(cell: str) -> str:
    """A login: letters, digits and . _ @ + -"""
    if not cell or not all(char.isascii() and (char.isalnum() or char in "._@+-") for char in cell):
        raise Expected("a login of letters, digits, points and hyphens, such as first.mechanic")
    return cell


def day(cell: str) -> date:
    """An ISO date."""
    try:
        if len(cell) != len("2026-11-25"):
            raise ValueError
        return date.fromisoformat(cell)
    except ValueError:
        raise Expected("a date such as 2026-11-25") from None


def instant(cell: str) -> datetime:
    """An ISO instant with an offset or Z."""
    try:
        found = datetime.fromisoformat(cell)
    except ValueError:
        found = None
    if found is None or found.tzinfo is None or len(cell) < len("2026-11-25T09:30Z"):
        raise Expected("an instant with its offset, such as 2026-11-25T09:30:00Z or 2026-11-25T10:30:00+01:00")
    return found


def yes_no(cell: str) -> bool:
    """yes or no; empty means no."""
    said = cell.lower()
    if said not in {"yes", "no", ""}:
        raise Expected("yes or no")
    return said == "yes"


def number(cell: str) -> int:
    """A whole number from 0 on; empty means 0."""
    if not cell:
        return 0
    if not (cell.isascii() and cell.isdigit() and len(cell) <= 6):
        raise Expected("a whole number from 0 on")
    return int(cell)


def percent(cell: str) -> Decimal:
    """A percentage from 0 to 100."""
    try:
        found = Decimal(cell)
    except InvalidOperation:
        raise Expected("a percentage from 0 to 100, such as 85 or 87.5") from None
    if not found.is_finite() or not 0 <= found <= 100 or found != found.quantize(Decimal("0.01")):
        raise Expected("a percentage from 0 to 100, with two places at most")
    return found


def names(cell: str) -> tuple[str, ...]:
    """Names parted by semicolons, or nothing."""
    return tuple(name(part.strip()) for part in cell.split(";")) if cell else ()


def one_of(*allowed: str) -> Reader:
    """One of a few words."""

    def read(cell: str) -> str:
        if cell not in allowed:
            raise Expected(", ".join(allowed[:-1]) + f" or {allowed[-1]}")
        return cell

    return read


def or_none(reader: Reader) -> Reader:
    """What the reader reads, or None for an empty cell."""

    def read(cell: str) -> Any:
        return reader(cell) if cell else None

    return read


def variant(cell: str) -> dict[str, str]:
    """One fork's options: ring=prong;bumper=none."""
    return dict(_pairs(cell, "options such as ring=prong;bumper=none"))


def limits(cell: str) -> dict[str, list[str]]:
    """The options that a sign-off covers: * for all, or ring=prong|eyelet;bumper=none."""
    if cell in {"*", ""}:
        return {}
    expected = "* or options such as ring=prong|eyelet"
    found = {key: [part.strip() for part in value.split("|")] for key, value in _pairs(cell, expected)}
    if not all(option for options in found.values() for option in options):
        raise Expected(expected)
    return found


def _pairs(cell: str, expected: str) -> list[tuple[str, str]]:
    pairs: list[tuple[str, str]] = []
    for part in cell.split(";") if cell else ():
        key, sign, value = (piece.strip() for piece in part.partition("="))
        if not (key and sign and value) or key in dict(pairs):
            raise Expected(expected)
        pairs.append((key, value))
    return pairs
