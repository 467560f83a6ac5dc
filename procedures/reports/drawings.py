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


def drawings_page(person: Person, asked: str) -> DrawingsPage:
    """The library and the shop's own pictures, as far as they have all these words; one query."""
    words = asked.casefold().split()
    rows = list(Drawing.objects.select_related("by"))
    found = [
        Shown(
            row.name,
            row.title,
            row.description,
            _html(row.name, picture_of_row(row)),
            str(row.by),
            row.recorded_at,
        )
        for row in rows
        if _has(words, row.name, row.title, row.description)
    ]
    taken = {row.name for row in rows}
    ours = [entry for entry in library().values() if entry.name not in taken]
    found += [
        Shown(
            entry.name,
            entry.title,
            entry.description,
            _html(entry.name, Picture(entry.description, svg=entry.svg)),
        )
        for entry in ours
        if _has(words, entry.name, entry.title, entry.description, entry.words)
    ]
    return DrawingsPage(
        asked, tuple(found), str(len(rows) + len(ours)), acts.WRITE.is_open_to(person)
    )


def _has(words: list[str], *texts: str) -> bool:
    text = " ".join(texts).casefold()
    return all(word in text for word in words)


def _html(name: str, picture: Picture | None) -> SafeString:
    """The picture as it stands on this page; nothing where its file is gone or was changed."""
    return SafeString(picture.html(uid=f"shown-{name}") if picture else "")
