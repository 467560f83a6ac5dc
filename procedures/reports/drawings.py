"""What does the page of drawings show?"""

from dataclasses import dataclass
from datetime import datetime

from django.utils.safestring import SafeString

from procedures.access import acts
from procedures.access.acts import Person
from procedures.models import Drawing
from procedures.records.library import library, picture_of_row
from procedures.writeup.drawings import Picture


@dataclass(frozen=True, slots=True)
class Shown:
    """One drawing on the page: the picture, its words, and what to write for it; by whom and when,
    where it is the shop's own.
    """

    name: str
    title: str
    description: str
    html: SafeString
    by: str = ""
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class DrawingsPage:
    """The drawings that have all the words asked for, the shop's own first; `there_are` counts
    all.
    """

    asked: str
    shown: tuple[Shown, ...]
    there_are: str
    may_write: bool


@dataclass(frozen=True, slots=True)
class FoundDrawing:
    """A drawing of the library, or of the shop, which then has its `row`."""

    name: str
    title: str
    description: str
    row: Drawing | None = None

    def picture(self) -> Picture | None:
        """What pages show of it; None where its file is gone or was changed."""
        if self.row is not None:
            return picture_of_row(self.row)
        return Picture(self.description, svg=library()[self.name].svg)


def find_drawings(asked: str = "") -> list[FoundDrawing]:
    """The shop's own pictures and then the library, as far as they have all these words; one
    query.
    """
    words = asked.casefold().split()
    rows = list(Drawing.objects.select_related("by"))
    found = [
        FoundDrawing(row.name, row.title, row.description, row)
        for row in rows
        if _has(words, row.name, row.title, row.description)
    ]
    taken = {row.name for row in rows}
    return found + [
        FoundDrawing(entry.name, entry.title, entry.description)
        for entry in library().values()
        if entry.name not in taken
        and _has(words, entry.name, entry.title, entry.description, entry.words)
    ]


def drawings_page(person: Person, asked: str) -> DrawingsPage:
    """The library and the shop's own pictures, as far as they have all these words; two queries."""
    shown = tuple(_shown(one) for one in find_drawings(asked))
    there_are = len(set(library()) | set(Drawing.objects.values_list("name", flat=True)))
    return DrawingsPage(asked, shown, str(there_are), acts.WRITE.is_open_to(person))


def _shown(one: FoundDrawing) -> Shown:
    html = _html(one.name, one.picture())
    if one.row is None:
        return Shown(one.name, one.title, one.description, html)
    by, at = str(one.row.by), one.row.recorded_at
    return Shown(one.name, one.title, one.description, html, by, at)


def _has(words: list[str], *texts: str) -> bool:
    text = " ".join(texts).casefold()
    return all(word in text for word in words)


def _html(name: str, picture: Picture | None) -> SafeString:
    """The picture as it stands on this page; nothing where its file is gone or was changed."""
    return SafeString(picture.html(uid=f"shown-{name}") if picture else "")
