"""In what does a person give an answer?

A kind names one of these; each has one form in the views. A kind that fits none of them needs a
further one here, and its form.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar


def gettext_noop(words: str) -> str:
    """The words as they are, marked for those who collect what is to be translated; the form
    translates them.
    """
    return words


class Field:
    """Whatever is filled in; `is_arranged` where a press moves a part, so that each press is an
    answer and the parts as they were drawn are none.
    """

    __slots__ = ()
    is_arranged: ClassVar[bool] = False


@dataclass(frozen=True, slots=True)
class PickOne(Field):
    """One of the labels shown; `missing` is said where none was picked."""

    label: str
    missing: str


@dataclass(frozen=True, slots=True)
class PickSome(Field):
    """One or more of the labels shown."""

    label: str
    missing: str


@dataclass(frozen=True, slots=True)
class Typed(Field):
    """A line of text, of so many characters at most."""

    label: str
    help: str
    missing: str
    longest: int


@dataclass(frozen=True, slots=True)
class Arranged(Field):
    """The labels shown, moved into an order."""

    is_arranged: ClassVar[bool] = True


@dataclass(frozen=True, slots=True)
class PickPartners(Field):
    """A partner for each of the labels shown."""


@dataclass(frozen=True, slots=True)
class PointedOut(Field):
    """A spot on a drawing."""
