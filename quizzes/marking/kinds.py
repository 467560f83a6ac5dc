"""What can a question ask for: one option, several, an order of steps, or an amount?

`as_json` and `from_json` carry what is asked into the database and back; both sides know nothing of the database.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, TypeAlias

ONE, ALL, ORDER, AMOUNT = "choose one", "choose all", "put in order", "give the amount"


@dataclass(frozen=True, slots=True)
class Option:
    """One answer on offer, whether it is right, and what is said of it after the sitting."""

    text: str
    right: bool
    says: str = ""


@dataclass(frozen=True, slots=True)
class ChooseOne:
    """Exactly one of the options is right."""

    kind: ClassVar[str] = ONE
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True)
class ChooseAll:
    """One or more of the options are right."""

    kind: ClassVar[str] = ALL
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True)
class PutInOrder:
    """These steps of the write-up (ids, in the write-up's own order or not), for one option of every variant."""

    kind: ClassVar[str] = ORDER
    steps: tuple[str, ...]
    variant: tuple[tuple[str, str], ...] = ()  # sorted by variant


@dataclass(frozen=True, slots=True)
class GiveAmount:
    """The right amount, as the write-up language writes it, with its tolerance."""

    kind: ClassVar[str] = AMOUNT
    amount: str


Asked: TypeAlias = ChooseOne | ChooseAll | PutInOrder | GiveAmount


@dataclass(frozen=True, slots=True)
class QuestionText:
    """One question as its author wrote it: of which write-up, under which name, on which steps."""

    writeup: str
    name: str
    stem: str
    asked: Asked
    steps: tuple[str, ...]
    critical: bool = False
    says: str = ""
    line: int = 0


def as_json(asked: Asked) -> dict[str, Any]:
    """What is asked as plain lists, words and truth values."""
    match asked:
        case ChooseOne() | ChooseAll():
            return {"options": [{"text": o.text, "right": o.right, "says": o.says} for o in asked.options]}
        case PutInOrder():
            return {"steps": list(asked.steps), "variant": dict(asked.variant)}
        case GiveAmount():
            return {"amount": asked.amount}


def from_json(kind: str, asked: Mapping[str, Any]) -> Asked:
    """What is asked, from `as_json`. Raises ValueError for a kind that is not known, KeyError for a missing part."""
    if kind in (ONE, ALL):
        options = tuple(Option(o["text"], o["right"], o["says"]) for o in asked["options"])
        return ChooseOne(options) if kind == ONE else ChooseAll(options)
    if kind == ORDER:
        return PutInOrder(tuple(asked["steps"]), tuple(sorted(asked["variant"].items())))
    if kind == AMOUNT:
        return GiveAmount(asked["amount"])
    message = f"There is no kind of question called {kind!r}."
    raise ValueError(message)
