"""What changed between two revisions, and what is asked for it, as the pages show it?"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.safestring import SafeString
from django.utils.translation import gettext

from procedures.access import acts, doors
from procedures.access.acts import Person
from procedures.models import Revision
from procedures.records import texts
from procedures.records.asking import Asked, find_base, list_asked
from procedures.records.wording.say import say
from procedures.reports.drawn_changes import Drawer, Drawn
from procedures.writeup.asks import pick_highest
from procedures.writeup.diff import HEADER, FieldChange, StepChange, compare
from procedures.writeup.word_diff import DiffPiece, word_diff

# The words of the write-up language, as the page of a write-up says them.
LABELS = {
    "makes": "now true",
    "ends": "no longer true",
    "only if": "only for",
    "takes off": "off",
    "fits": "on",
    "scraps": "scrap",
    "fits new": "new",
}
LONG, NEAR = 400, 150
"""A run of words that stayed is shown in full up to so many letters; of a longer one so many at the
side of a change.
"""


@dataclass(frozen=True, slots=True)
class MarkedRun:
    """Words in a row with one mark; the white space before them stands apart, so that no line runs
    under a gap.
    """

    mark: str
    space: str
    text: str


@dataclass(frozen=True, slots=True)
class FieldShown:
    """One field: its words as they were, as they are, and both in one run."""

    label: str
    why: str
    was: tuple[MarkedRun, ...]
    now: tuple[MarkedRun, ...]
    both: tuple[MarkedRun, ...]


@dataclass(frozen=True, slots=True)
class Decided:
    """What somebody decided about a change."""

    by: str
    reason: str
    is_lowered: bool


@dataclass(frozen=True, slots=True)
class ChangeShown:
    """One step that changed, with what it asks; `anchor` is its place on the page."""

    key: str
    anchor: str
    title: str
    old_title: str
    number: str
    marks: tuple[str, ...]
    is_critical: bool
    why: str
    suggested: str
    asks: str
    decided: Decided | None
    fields: tuple[FieldShown, ...]
    digest: str
    drawn: Drawn

    @property
    def says(self) -> str:
        """The title, or what stands around the steps."""
        return self.title if self.key != HEADER else "Header, introduction and phases"


@dataclass(frozen=True, slots=True)
class RevisionNamed:
    """One revision that can be chosen."""

    number: int
    is_chosen: bool


@dataclass(frozen=True, slots=True)
class ComparePage:
    """Two revisions beside each other. Without an older one `old` is None. `is_base`: what is asked
    is worked out from these two.
    """

    name: str
    title: str
    old: int | None
    new: int
    others: tuple[RevisionNamed, ...]
    changes: tuple[ChangeShown, ...]
    unchanged: int
    asks: str
    suggested: str
    is_base: bool
    may_lower: bool
    may_raise: bool


@dataclass(frozen=True, slots=True)
class ChangesInShort:
    """What the page of an open revision says of its changes: how many, what they suggest, and what
    is asked less, and why.
    """

    old: int
    count: int
    suggested: str
    asks: str
    lowered: tuple[ChangeShown, ...]


def compare_page(
    person: Person, new: Revision, old: Revision | None, others: Iterable[Revision]
) -> ComparePage:
    """The comparison as this person may see it; what is decided about changes only for those who
    write.
    """
    base = find_base(new)
    is_base = (
        acts.WRITE.is_open_to(person) and base is not None and old is not None and old.pk == base.pk
    )
    asked = list_asked(new, base) if is_base else _suggested(old, new)
    now = texts.parse_once(new.text)
    return ComparePage(
        name=new.writeup.name,
        title=now.title or new.writeup.title,
        old=old.number if old else None,
        new=new.number,
        others=tuple(
            RevisionNamed(row.number, old is not None and row.pk == old.pk) for row in others
        ),
        changes=draw_changes(asked, old, new) if old else (),
        unchanged=len(now.steps) - sum(1 for one in asked if one.change.number is not None),
        asks=new.asks,
        suggested=_highest(asked),
        is_base=is_base,
        may_lower=is_base and acts.ASK_LESS.is_open_to(person, new),
        may_raise=is_base and acts.ASK_MORE.is_open_to(person, new),
    )


def list_others(person: Person, revision: Revision, *, today: date) -> list[Revision]:
    """The other revisions of the same write-up that this person may see, without their texts; the
    newest first.
    """
    rows = doors.revisions_for(person, today=today)
    return list(
        rows.filter(writeup=revision.writeup_id)
        .exclude(pk=revision.pk)
        .order_by("-number")
        .defer("text")
    )


def sum_up_changes(revision: Revision) -> ChangesInShort | None:
    """What an open revision changes, in short; None for a released one and for a first one."""
    base = find_base(revision) if revision.released_on is None else None
    if base is None:
        return None
    asked = list_asked(revision, base)
    lowered = tuple(show_change(one) for one in asked if one.is_lowered)
    return ChangesInShort(base.number, len(asked), _highest(asked), revision.asks, lowered)


def draw_changes(asked: Iterable[Asked], old: Revision, new: Revision) -> tuple[ChangeShown, ...]:
    """The changes between two revisions as a page shows them, each drawn as it was and as it is."""
    texts_of = (old.text, new.text)
    drawer = Drawer(texts.parse_once(old.text), texts.parse_once(new.text), texts_of)
    return tuple(show_change(one, drawer.draw(one.change)) for one in asked)


NOT_DRAWN = Drawn(SafeString(""), SafeString(""))


def show_change(one: Asked, drawn: Drawn = NOT_DRAWN) -> ChangeShown:
    """One change as a page shows it."""
    change, row = one.change, one.decision
    return ChangeShown(
        key=change.key,
        anchor=f"change-{change.key}" if change.key != HEADER else "change",
        title=change.title,
        old_title=change.old_title if change.is_retitled and change.key != HEADER else "",
        number=_number(change),
        marks=_marks(change),
        is_critical=change.is_critical,
        why=say(change.why),
        suggested=change.asks,
        asks=one.asks,
        decided=Decided(str(row.by), row.reason, one.is_lowered) if row else None,
        fields=tuple(map(_field, change.fields)),
        digest=change.digest,
        drawn=drawn,
    )


def _suggested(old: Revision | None, new: Revision) -> tuple[Asked, ...]:
    """The changes between any two revisions, with nobody's decision."""
    if old is None:
        return ()
    return tuple(
        Asked(change, None)
        for change in compare(texts.parse_once(old.text), texts.parse_once(new.text)).changes
    )


def _highest(asked: Iterable[Asked]) -> str:
    return pick_highest(one.change.asks for one in asked)


def _number(change: StepChange) -> str:
    number = change.number if change.number is not None else change.old_number
    return "" if number is None else str(number)


def _marks(change: StepChange) -> tuple[str, ...]:
    """What happened to a step, in words."""
    if change.state != "changed":
        return (gettext("new") if change.state == "new" else gettext("gone"),)
    marks = []
    if change.is_moved:
        marks.append(gettext("moved, was step {number}").format(number=change.old_number))
    if change.fields:
        marks.append(gettext("words only") if change.is_wording else gettext("changed"))
    if change.is_retitled:
        marks.append(gettext("new title"))
    return tuple(marks)


def _field(field: FieldChange) -> FieldShown:
    old, new = _as_read(field.old), _as_read(field.new)
    words = tuple(_runs(word_diff(old, new))) or (MarkedRun("same", "", new),)
    return FieldShown(
        LABELS.get(field.label, field.label),
        say(field.why),
        tuple(run for run in words if run.mark != "new"),
        tuple(run for run in words if run.mark != "gone"),
        words,
    )


# Marks of the write-up language and of Markdown, as a reader sees what they stand for.
_READ = (
    (re.compile(r"!\[([^\[\]]*+)\]\([^()]*+\)"), r"(drawing: \1)"),
    (re.compile(r"\[\[|\]\]|\*\*|^#+ ", re.MULTILINE), ""),
    (re.compile(r" ?\.\. ?"), " to "),
    (re.compile(r" \| "), ", if not: "),
)


def _as_read(text: str) -> str:
    for mark, read in _READ:
        text = mark.sub(read, text)
    return text


def _runs(pieces: Sequence[DiffPiece]) -> Iterator[MarkedRun]:
    """The pieces for the page; of a long run of words that stayed only what is next to a change."""
    for place, piece in enumerate(pieces):
        text = piece.text.lstrip()
        space = piece.text[: len(piece.text) - len(text)]
        if piece.mark == "same" and len(text) > LONG:
            text = _ends(text, head=place > 0, tail=place < len(pieces) - 1)
        yield MarkedRun(piece.mark, space, text)


def _ends(text: str, *, head: bool, tail: bool) -> str:
    """The first and the last words of a text, whole ones."""
    first = text[:NEAR].rpartition(" ")[0] if head else ""
    last = text[-NEAR:].partition(" ")[2] if tail else ""
    return f"{first} … {last}"
