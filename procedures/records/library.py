"""Which drawings can a write-up or a question show: the library that comes with the program, and
the shop's own pictures?
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType

from django.urls import reverse
from django.utils.safestring import SafeString
from django.utils.text import slugify

from procedures.models import Drawing, Kind
from procedures.records.files import find_kept
from procedures.records.wording.say import say
from procedures.rehearsal.findings import ADVICE, Finding
from procedures.writeup.drawings import Picture, find_named, names_in, words_of
from procedures.writeup.model import WriteUp
from procedures.writeup.remarks import remark
from procedures.writeup.render import TOO_MUCH, body_html

FOLDER = Path(__file__).parents[1] / "drawings"


@dataclass(frozen=True, slots=True)
class Entry:
    """One drawing of the library. `words` are further ones to find it by."""

    name: str
    title: str
    description: str
    words: str
    svg: str


@lru_cache(maxsize=1)
def library() -> Mapping[str, Entry]:
    """The drawings that come with the program, by name; read once."""
    entries = {}
    for path in sorted(FOLDER.glob("*.svg")):
        svg = path.read_text(encoding="utf-8")
        entries[path.stem] = Entry(path.stem, *words_of(svg), svg)
    return MappingProxyType(entries)


def pictures(names: Iterable[str]) -> dict[str, Picture]:
    """The pictures of these names, as far as there are any; at most one query. A name that the shop
    has used stands for the shop's picture.
    """
    wanted = frozenset(names)
    if not wanted:
        return {}
    found = {
        name: Picture(entry.description, svg=entry.svg)
        for name, entry in library().items()
        if name in wanted
    }
    for row in Drawing.objects.filter(name__in=wanted):
        picture = picture_of_row(row)
        if picture:
            found[row.name] = picture
    return found


def picture_of_row(row: Drawing) -> Picture | None:
    """The shop's picture of this row; None where its file is gone or is no longer the one that came
    in.
    """
    if row.kind == Kind.PHOTO:
        return Picture(
            row.description,
            address=reverse("procedures:photo", args=[row.digest]),
            width=row.width,
            height=row.height,
        )
    data = find_kept(row.digest)
    return None if data is None else Picture(row.description, svg=data.decode())


def find_free_name(text: str) -> str:
    """What several new pictures about one thing may be called, before their numbers; no picture
    has it yet. One query.
    """
    base = slugify(text).replace("_", "-")[:60].strip("-") or "picture"
    taken = set(library()) | set(Drawing.objects.values_list("name", flat=True))
    further = (f"{base}-old{number}" for number in range(2, len(taken) + 3))
    return next(
        name
        for name in (base, *further)
        if not any(one == name or one.startswith(f"{name}-") for one in taken)
    )


def render_markdown(
    markdown: str, *, uid: str, given: Mapping[str, Picture] | None = None
) -> SafeString:
    """Markdown as safe HTML with its drawings in it. `given` holds them where the caller has
    fetched those of the whole page.
    """
    if not markdown:
        return SafeString("")
    names = names_in(markdown)
    known = pictures(names) if given is None else given
    used = tuple((name, known[name]) for name in sorted(names) if name in known)
    # Without a drawing no id is made, so that one rendering serves every place.
    return _html(markdown, uid if used else "", used, say(TOO_MUCH))


def find_unknown_drawings(text: str, writeup: WriteUp) -> Iterator[Finding]:
    """Advice for each line that names a drawing that there is not; `writeup` is the text, read."""
    found = find_named(text)
    known = pictures(one.name for one in found)
    for one in found:
        if one.name not in known:
            step = next(
                (step.id for step in reversed(writeup.steps) if step.line <= one.line), None
            )
            said = remark("unknown-drawing", about=one.name)
            yield Finding("unknown-drawing", ADVICE, step, one.name, one.line, said)


@lru_cache(maxsize=4096)
def _html(
    markdown: str, uid: str, used: tuple[tuple[str, Picture], ...], too_much: str
) -> SafeString:
    """The Markdown as HTML; `body_html` lets only harmless elements through, so that a page may
    take it as it is.
    """
    return SafeString(body_html(markdown, drawings=dict(used), uid=uid, too_much=too_much))
