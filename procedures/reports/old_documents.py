"""What was understood of an old procedure, line by line, and what was left out of the draft?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from procedures.records.documents.draft import draft_from_document
from procedures.records.documents.model import Document
from procedures.records.library import find_free_name
from procedures.records.wording.say import say
from procedures.writeup.old_text import Guessed, draft_from_old
from procedures.writeup.remarks import Remark, remark

KINDS: Mapping[str, str | Promise] = {
    "title": _("title"),
    "phase": _("phase"),
    "step": _("step"),
    "caution": _("caution"),
    "text": _("text"),
    "table": _("table"),
    "picture": _("picture"),
}


@dataclass(frozen=True, slots=True)
class Guess:
    """Something that the site is not sure of, as a code and as a sentence."""

    code: str
    text: str


@dataclass(frozen=True, slots=True)
class UnderstoodLine:
    """One line of the old procedure, where it stood, and what it was understood as."""

    where: str
    text: str
    kind: str
    kind_told: str
    unsure: tuple[Guess, ...]


@dataclass(frozen=True, slots=True)
class LeftOutLine:
    """Something that is not in the draft, where it stood, and why it was left out."""

    where: str
    text: str
    why: Guess


@dataclass(frozen=True, slots=True)
class OldProcedure:
    """All that a page or a program is told of an old procedure before it is kept."""

    title: str
    draft: str
    lines: tuple[UnderstoodLine, ...]
    left_out: tuple[LeftOutLine, ...]
    said: tuple[str, ...]

    @property
    def doubtful(self) -> int:
        """How many lines somebody should look at."""
        return sum(bool(line.unsure) for line in self.lines)


def tell_old_text(text: str, *, title: str, said: tuple[Remark, ...]) -> OldProcedure:
    """What a plain text was understood as."""
    guessed = draft_from_old(text, title=title)
    places = {one.line: remark("place-line", number=one.line) for one in guessed.read}
    return _told(guessed, places, (), said)


def tell_old_document(
    document: Document, *, title: str, name: str, said: tuple[Remark, ...]
) -> OldProcedure:
    """What a document was understood as, for a write-up of this name (empty: made from the
    title).
    """
    first = draft_from_document(document, title=title, picture="picture").guessed.title
    drafted = draft_from_document(document, title=title, picture=find_free_name(name or first))
    left_out = tuple(
        LeftOutLine(say(one.place), one.text, Guess(one.why.code, say(one.why)))
        for one in document.left_out
    )
    return _told(drafted.guessed, drafted.places, left_out, said)


def _told(
    guessed: Guessed,
    places: Mapping[int, Remark],
    left_out: tuple[LeftOutLine, ...],
    said: tuple[Remark, ...],
) -> OldProcedure:
    unsure = defaultdict(list)
    for one in guessed.unsure:
        unsure[one.line].append(Guess(one.why.code, say(one.why)))
    lines = tuple(
        UnderstoodLine(
            say(places[one.line]), one.text, one.kind, str(KINDS[one.kind]), tuple(unsure[one.line])
        )
        for one in guessed.read
    )
    return OldProcedure(guessed.title, guessed.text, lines, left_out, tuple(map(say, said)))
