"""In what does a person give an answer?

A kind names one of these; each has one form in the views. A kind that fits none of them needs a
further one here, and its form.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from procedures.writeup.remarks import Remark


class Field:
    """Whatever is filled in; `is_arranged` where a press moves a part, so that each press is an
    answer and the parts as they were drawn are none.
    """

    __slots__ = ()
    is_arranged: ClassVar[bool] = False


@dataclass(frozen=True, slots=True)
class PickOne(Field):
    """One of the labels shown; `missing` is said where none was picked."""

    label: Remark
    missing: Remark


@dataclass(frozen=True, slots=True)
class PickSome(Field):
    """One or more of the labels shown."""

    label: Remark
    missing: Remark


@dataclass(frozen=True, slots=True)
class Typed(Field):
    """A line of text, of so many characters at most."""

    label: Remark
    help: Remark
    missing: Remark
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
