"""What was read of an old document: its pieces in order, its pictures, and what was left out?"""

from __future__ import annotations

from dataclasses import dataclass, field

from procedures.pictures.made import Clean
from procedures.writeup.old_torques import TorqueRow
from procedures.writeup.remarks import Remark, Unreadable, remark

MOST_PICTURES = 40
MOST_PIECES = 20_000
MOST_LETTERS = 100_000  # of all texts: as much as a draft may have
LONGEST_SHOWN = 200  # letters of what was left out, where it is told


class BadDocument(Unreadable):
    """A file that no draft is made of; nothing of it is kept."""


@dataclass(frozen=True, slots=True)
class Span:
    """Some words, and whether they are bold."""

    text: str
    bold: bool = False


@dataclass(frozen=True, slots=True)
class OldPiece:
    """One paragraph, table or picture, and where it stood.

    `kind` is heading, number, letter, bullet, text, caution, table, torque or picture. `label` is
    the number or letter of a list, the signal word of a caution, or the depth of a heading; `level`
    how deep a list lies. `doubt` is told where the kind is a guess, `row_doubts` at rows of a
    table; `rows` of a torque are its row below the head of its table.
    """

    place: Remark
    kind: str
    runs: tuple[Span, ...] = ()
    label: str = ""
    level: int = 0
    rows: tuple[tuple[str, ...], ...] = ()
    picture: int = 0
    doubt: Remark | None = None
    row_doubts: tuple[Remark | None, ...] = ()
    torque: TorqueRow | None = None

    @property
    def text(self) -> str:
        """The words of the piece in one line."""
        return " ".join("".join(run.text for run in self.runs).split())

    @property
    def is_bold(self) -> bool:
        """Whether every word of it is bold."""
        words = [run for run in self.runs if run.text.strip()]
        return bool(words) and all(run.bold for run in words)


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Something that is not in the draft: where it stood, why, and its words, if it had any."""

    place: Remark
    why: Remark
    text: str = ""


@dataclass(frozen=True, slots=True)
class OldPicture:
    """A picture made anew, with what the document says that it shows."""

    clean: Clean
    said: str


@dataclass(frozen=True, slots=True)
class Document:
    """All that was read of one file."""

    pieces: tuple[OldPiece, ...] = ()
    pictures: tuple[OldPicture, ...] = ()
    left_out: tuple[LeftOut, ...] = ()


@dataclass(slots=True)
class Gathering:
    """A document as it is being read."""

    pieces: list[OldPiece] = field(default_factory=list)
    pictures: list[OldPicture] = field(default_factory=list)
    left_out: list[LeftOut] = field(default_factory=list)
    letters: int = 0

    def add(self, piece: OldPiece) -> None:
        """One more piece. Raises BadDocument where the document is longer than a draft may be."""
        self.letters += len(piece.text) + sum(len(cell) for row in piece.rows for cell in row)
        if self.letters > MOST_LETTERS or len(self.pieces) >= MOST_PIECES:
            raise BadDocument(remark("document-too-long", most=MOST_LETTERS))
        self.pieces.append(piece)

    def leave_out(self, place: Remark, why: Remark, text: str = "") -> None:
        """Something that is not taken; the same thing is told once in one place."""
        words = " ".join(text.split())
        shown = words if len(words) <= LONGEST_SHOWN else f"{words[:LONGEST_SHOWN]}…"
        one = LeftOut(place, why, shown)
        if one not in self.left_out[-20:] and len(self.left_out) < MOST_PIECES:
            self.left_out.append(one)

    def end(self) -> Document:
        """The document that was gathered."""
        return Document(tuple(self.pieces), tuple(self.pictures), tuple(self.left_out))
