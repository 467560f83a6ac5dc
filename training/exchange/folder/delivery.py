"""What does a delivery hold: rows, write-ups, questions, photos, and what is wrong with them?"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django.utils.translation import gettext

from procedures.records.documents.model import Document
from procedures.writeup.model import WriteUp as ParsedWriteUp
from procedures.writeup.old_text import Guessed
from training.models import User


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong: file, row (the header is row 1), column, what is wrong, what was
    expected.
    """

    file: str
    row: int
    column: str
    wrong: str
    expected: str

    def __str__(self) -> str:
        where = (
            self.file
            + (f", row {self.row}" if self.row else "")
            + (f", {self.column}" if self.column else "")
        )
        if not self.expected:
            return f"{where}: {self.wrong}"
        text = gettext("{where}: {wrong}; expected {expected}")
        return text.format(where=where, wrong=self.wrong, expected=self.expected)


@dataclass(frozen=True, slots=True)
class Record:
    """One row that could be read: its place and its values by column (a column left out reads as an
    empty cell).
    """

    file: str
    row: int
    values: dict[str, Any]

    def __getitem__(self, column: str) -> Any:
        return self.values[column]

    def fault(self, column: str, wrong: str, expected: str = "") -> Fault:
        return Fault(self.file, self.row, column, wrong, expected)


@dataclass(frozen=True, slots=True)
class BroughtRevision:
    """One revision of a write-up as it lies in the folder."""

    file: str
    writeup: str
    number: int
    text: str
    parsed: ParsedWriteUp


@dataclass(frozen=True, slots=True)
class BroughtOld:
    """An old procedure of the folder, guessed into a draft; with its document, where it was one."""

    file: str
    writeup: str
    guessed: Guessed
    document: Document | None = None


@dataclass(frozen=True, slots=True)
class BroughtExample:
    """A write-up from the examples, chosen by an owner: it comes in as a draft with its mark."""

    writeup: str
    text: str
    by: User


@dataclass(slots=True)
class Delivery:
    """All that the folders hold: rows by file, write-ups, the shop's rules, questions; and what
    cannot be read.
    """

    records: dict[str, list[Record]] = field(default_factory=dict)
    revisions: list[BroughtRevision] = field(default_factory=list)
    old: list[BroughtOld] = field(default_factory=list)
    examples: list[BroughtExample] = field(default_factory=list)
    rules: str | None = None
    questions: dict[str, str] = field(default_factory=dict)
    photos: dict[str, Path] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    tell: Callable[[str], None] | None = None
    told: set[str] = field(default_factory=set)

    def say_once(self, note: str, *, about: str) -> None:
        """A note that stands for all of its kind in one file."""
        if about not in self.told:
            self.told.add(about)
            self.notes.append(note)

    def rows(self, file: str) -> list[Record]:
        return self.records.get(file, [])
