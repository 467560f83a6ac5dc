"""How is a reason put into words?"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that fails or is missing: its code, one sentence, and the names of the entries that
    it is about.
    """

    code: str
    text: str
    evidence: tuple[str, ...] = ()


class _Named(Protocol):
    @property
    def ref(self) -> str: ...


def kept(rows: Iterable[_Named]) -> tuple[str, ...]:
    """Return the names of entries, each once, leaving out those without one."""
    return tuple(dict.fromkeys(row.ref for row in rows if row.ref))


def and_list(parts: Sequence[str]) -> str:
    """Return parts joined as in a sentence: a, b and c."""
    return " and ".join(filter(None, (", ".join(parts[:-1]), *parts[-1:])))


def counted(done: int, asked: int, what: str) -> str:
    """Return a count against what is asked: 2 of 3 watched jobs."""
    return f"{done} of {asked} {what}{'' if asked == 1 else 's'}"


def percent_said(percent: Decimal) -> str:
    """Return a percentage without idle zeros: 82.5 %."""
    text = f"{percent:f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text) + " %"
