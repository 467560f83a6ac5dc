"""What can a level ask? Each term of a level's rules is defined here, once.

The rows that standings are worked out from, the action that keeps them, the layouts of the record
book, the owner's form, and the columns of a folder are all made from this one list. Only the table
itself names its columns again, since migrations are made from it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from datetime import date
from typing import Any, Literal

TermKind = Literal["words", "levels", "write-ups", "number", "yes or no", "day"]


@dataclass(frozen=True, slots=True)
class Term:
    """How one term is asked for and kept, whatever a level says in it."""

    kind: TermKind
    label: str
    help: str = ""
    least: int = 0
    most: int = 999
    """Of a number its greatest value, of words how many letters they may have."""
    start: int | None = None
    """The number with which an empty form begins; else that which asks nothing."""
    is_required: bool = False
    """Of words, that there must be some."""
    book: int = 1
    """The layout of the record book from which on entries hold it."""
    group: str = "before"
    """Under which heading a form asks for it."""
    may_be_left_out: bool = False
    in_folder: bool = True

    @property
    def is_optional_column(self) -> bool:
        """Say whether a folder may lack its column; that of a term that came in later it always
        may.
        """
        return self.may_be_left_out or self.book > 1


# Not Django's, since pure packages load none of it; those who collect texts go by the name.
def gettext_noop(words: str) -> str:
    """Return the words as they are, marked for those who collect what is to be translated; the form
    translates them.
    """
    return words


GROUPS: Mapping[str, str] = {
    "level": gettext_noop("The level"),
    "covers": gettext_noop("What it covers"),
    "before": gettext_noop("Before a sign-off (0: not asked)"),
    "after": gettext_noop("After a sign-off (0: not asked)"),
}
"""The headings under which a form asks for the terms."""


def _as(kind: TermKind, label: str, help: str = "", **more: Any) -> Mapping[str, Term]:
    return {"term": Term(kind, label, help, **more)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What one version of a level's rules asks; 0, no or empty means not asked. A form asks for the
    terms in this order.
    """

    title: str = field(
        metadata=_as("words", gettext_noop("Title"), group="level", most=200, is_required=True)
    )
    earlier: tuple[str, ...] = field(
        default=(), metadata=_as("levels", gettext_noop("Needs these levels first"), group="covers")
    )
    writeups: tuple[str, ...] = field(
        default=(), metadata=_as("write-ups", gettext_noop("Write-ups it covers"), group="covers")
    )
    valid_months: int = field(
        metadata=_as(
            "number",
            gettext_noop("Signed off for, months"),
            group="after",
            least=1,
            # As the table's own constraint has it, so that a form refuses it first.
            most=1200,
            start=12,
        )
    )
    practice_jobs: int = field(
        default=0,
        metadata=_as("number", gettext_noop("Jobs to stay current"), group="after", start=4),
    )
    practice_months: int = field(
        default=0,
        metadata=_as("number", gettext_noop("In how many months"), group="after", start=12),
    )
    practice_from: date | None = field(
        default=None,
        metadata=_as(
            "day",
            gettext_noop("Jobs logged since"),
            gettext_noop(
                "The day on which you began to log jobs here. In the first months after that "
                "day nobody needs jobs to stay current. Leave empty if that was long ago."
            ),
            group="after",
            book=2,
        ),
    )
    watched_jobs: int = field(
        default=0, metadata=_as("number", gettext_noop("Supervised jobs"), start=3)
    )
    watched_per_option: bool = field(
        default=False,
        metadata=_as(
            "yes or no",
            gettext_noop("At least one supervised job for each option of a fork"),
            may_be_left_out=True,
        ),
    )
    observations: int = field(
        default=0, metadata=_as("number", gettext_noop("Observations"), most=99, start=1)
    )
    observers: int = field(
        default=0,
        metadata=_as(
            "number",
            gettext_noop("By how many different observers"),
            most=99,
            start=1,
            may_be_left_out=True,
        ),
    )
    pass_percent: int = field(
        default=0,
        metadata=_as("number", gettext_noop("Pass mark of the quiz in %"), most=100, start=80),
    )
    grace_days: int = field(
        default=0,
        metadata=_as(
            "number", gettext_noop("Days to catch up after a new revision"), group="after", start=14
        ),
    )
    yardstick: str = field(
        default="",
        metadata=_as(
            "words",
            gettext_noop("Example for these rules"),
            gettext_noop("The published rule behind these rules, if there is one."),
            group="after",
            most=300,
            in_folder=False,
        ),
    )


TERMS: Mapping[str, Term] = {one.name: one.metadata["term"] for one in fields(Terms)}
"""How each term is asked for and kept, by its name."""
