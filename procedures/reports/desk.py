"""What does the author's desk show beside the text: findings by line, the text as it will be
studied, and what was kept?
"""

import secrets
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import islice, product

from django.utils.translation import gettext, gettext_lazy, ngettext

from procedures.access.acts import Person
from procedures.models import Revision, Typed
from procedures.records import texts
from procedures.records.above import level_titles
from procedures.records.library import pictures
from procedures.records.study import Study, VariantShown, study_for
from procedures.rehearsal.variants import agrees
from procedures.reports.examples import FromExamples, find_example
from procedures.reports.proofing import ProofFound, proof_page
from procedures.reports.writeups import Findings, findings_page
from procedures.writeup.drawings import names_in
from procedures.writeup.model import WriteUp
from procedures.writeup.pieces import FIELDS, PIECES, Piece
from procedures.writeup.three_texts import AROUND, Stretch, stretches

LONGEST_SHOWN = 150_000  # letters of a text that is laid out while it is typed
MOST_DRAWN = 200  # drawings in it
MOST_BESIDE = 300  # findings beside the text; the rest are counted
MOST_TRIED = 2_000  # combinations tried to find a fork that exists


@dataclass(frozen=True, slots=True)
class Beside:
    """One finding as it stands beside its line; `where` is the line as text, `kind` error, advice,
    proofing or hint.
    """

    line: int
    where: str
    kind: str
    name: str
    message: str
    variant: str
    source: str


@dataclass(frozen=True, slots=True)
class Checked:
    """All that is worked out of a text while it is written. `study` is None for a text too long to
    be laid out at once.
    """

    beside: tuple[Beside, ...]
    left_out: str
    errors: str
    advice: str
    blocks: bool
    hints: tuple[Beside, ...]
    study: Study | None
    forks: tuple[VariantShown, ...]


@dataclass(frozen=True, slots=True)
class Kept:
    """Text that this person typed at another opening of the page and did not save."""

    desk: str
    kept_at: datetime
    text: str
    follows_this: bool


@dataclass(frozen=True, slots=True)
class DeskPage:
    """The page of one draft being written."""

    name: str
    number: int
    title: str
    sent_back_because: str
    saved_by: str
    saved_at: datetime
    copy_key: str
    saved_by_me: bool
    kept: tuple[Kept, ...]
    checked: Checked
    pieces: tuple[Piece, ...]
    fields: tuple[Piece, ...]
    example: FromExamples | None
    beside: "Clash | None"


@dataclass(frozen=True, slots=True)
class Row:
    """One line of one of three texts: its number as text, and whether it differs from where both
    began.
    """

    number: str
    text: str
    is_changed: bool


@dataclass(frozen=True, slots=True)
class Block:
    """A stretch of the three texts side by side; `left_out` counts the same lines that are not
    shown.
    """

    kind: str
    said: str
    opened: tuple[Row, ...]
    theirs: tuple[Row, ...]
    mine: tuple[Row, ...]
    left_out: str


@dataclass(frozen=True, slots=True)
class Clash:
    """A draft that somebody saved while another person wrote on it. `has_opened` is False where the
    first text is not known any more.
    """

    name: str
    number: int
    title: str
    saved_by: str
    saved_at: datetime
    has_opened: bool
    blocks: tuple[Block, ...]
    theirs: str
    changed_both: str


SAID = {
    "same": gettext_lazy("the same in all three texts"),
    "theirs": gettext_lazy("they changed this"),
    "mine": gettext_lazy("you changed this"),
    "alike": gettext_lazy("both changed this in the same way"),
    "both": gettext_lazy("both changed this in different ways"),
}


def make_desk() -> str:
    """A name for one opening of the page."""
    return secrets.token_urlsafe(9)


def desk_page(
    person: Person,
    row: Revision,
    text: str,
    *,
    desk: str,
    forks: Mapping[str, str],
    beside: "Clash | None" = None,
) -> DeskPage:
    """The draft as it is being written, `text` being what stands in the field."""
    return DeskPage(
        name=row.writeup.name,
        number=row.number,
        title=texts.parse_once(text).title or row.writeup.title,
        sent_back_because=row.sent_back_because,
        saved_by=str(row.author) if row.author else "",
        saved_at=row.changed_at,
        copy_key=f"benchright typed {row.pk} {person.pk} ",
        saved_by_me=row.author_id == person.pk,
        kept=_kept(person, row, desk),
        checked=check_text(row, text, forks),
        pieces=PIECES,
        fields=FIELDS,
        example=find_example(person, row),
        beside=beside,
    )


def _kept(person: Person, row: Revision, desk: str) -> tuple[Kept, ...]:
    rows = Typed.objects.filter(revision=row, person_id=person.pk).exclude(desk=desk)
    return tuple(Kept(one.desk, one.kept_at, one.text, one.seen == row.changed_at) for one in rows)


def check_text(row: Revision, text: str, forks: Mapping[str, str]) -> Checked:
    """What the rehearsal and the proofing find in this text, by line, and how it will be studied
    for the fork named.
    """
    found: Findings = findings_page(text, name=row.writeup.name)
    proof = proof_page(row.writeup, text)
    proofed = [_proofed(one) for group in proof.groups for one in group.found if one.answer is None]
    beside = [
        *(
            Beside(one.line, str(one.line), one.level, one.code, one.message, one.variant, "")
            for one in found.found
        ),
        *(each for each in proofed if each.kind == "proofing"),
    ]
    beside.sort(key=lambda one: one.line)
    left_out = len(beside) - MOST_BESIDE
    is_short = (
        len(text) <= LONGEST_SHOWN
        and text.count("drawing:") <= MOST_DRAWN
        and len(texts.parse_once(text).steps) <= texts.MOST_STEPS
    )
    study = _study(row, text, forks) if is_short else None
    return Checked(
        beside=tuple(beside[:MOST_BESIDE]),
        left_out=str(left_out) if left_out > 0 else "",
        errors=say_errors(found.errors),
        advice=say_suggestions(len(beside) - found.errors),
        blocks=found.blocks or proof.blocks,
        hints=tuple(each for each in proofed if each.kind == "hint")[:MOST_BESIDE],
        study=replace(study, variants=()) if study else None,
        forks=study.variants if study else (),
    )


def _proofed(one: ProofFound) -> Beside:
    message = f"“{one.about}” {one.message}" if one.about else one.message
    return Beside(
        int(one.line),
        one.line,
        "proofing" if one.asks else "hint",
        one.name,
        message,
        "",
        f"{one.rule}, {one.source}",
    )


def say_errors(number: int) -> str:
    """How many errors there are, as a sentence."""
    if not number:
        return gettext("No error.")
    return ngettext("{number} error.", "{number} errors.", number).format(number=number)


def say_suggestions(number: int) -> str:
    """How many suggestions there are, as a sentence."""
    if not number:
        return gettext("No suggestion.")
    text = ngettext("{number} suggestion.", "{number} suggestions.", number)
    return text.format(number=number)


def _study(row: Revision, text: str, forks: Mapping[str, str]) -> Study:
    """The text as it will be studied for the fork named; what is not said is filled up so that such
    a fork exists.
    """
    read = texts.parse_once(text)
    return study_for(
        read,
        _some_fork(read, forks),
        show_all=False,
        title=row.writeup.title,
        number=row.number,
        released_on=None,
        pictures=pictures(names_in(text)),
        levels=level_titles(),
    )


def _some_fork(read: WriteUp, forks: Mapping[str, str]) -> dict[str, str]:
    """The options named, and for the other variants the first ones that exist together with
    them.
    """
    named = {
        each.name: (forks[each.name],)
        for each in read.variants
        if forks.get(each.name) in each.options
    }
    names = [each.name for each in read.variants]
    options = [named.get(each.name, each.options) for each in read.variants]
    first: dict[str, str] = dict(zip(names, (each[0] for each in options), strict=True))
    for chosen in islice(product(*options), MOST_TRIED):
        fork = dict(zip(names, chosen, strict=True))
        if not any(agrees(never.conditions, fork) for never in read.never):
            return fork
    return first


def clash_page(row: Revision, *, mine: str, seen: datetime) -> Clash:
    """The text that was opened (saved at `seen`), the one saved since, and the one typed, side by
    side.
    """
    opened = row.earlier_texts.filter(changed_at=seen).values_list("text", flat=True).last()
    if opened is None and seen == row.changed_at:
        opened = row.text
    cut = stretches(row.text if opened is None else opened, row.text, mine)
    return Clash(
        name=row.writeup.name,
        number=row.number,
        title=row.writeup.title,
        saved_by=str(row.author) if row.author else "",
        saved_at=row.changed_at,
        has_opened=opened is not None,
        blocks=_blocks(cut),
        theirs=row.text,
        changed_both=str(sum(1 for each in cut if each.kind == "both")),
    )


def _blocks(cut: tuple[Stretch, ...]) -> tuple[Block, ...]:
    """The stretches with their line numbers; of the same lines between two changes only the nearest
    are shown.
    """
    found: list[Block] = []
    at = {"opened": 1, "theirs": 1, "mine": 1}
    for place, each in enumerate(cut):
        rows = {
            side: tuple(
                Row(str(at[side] + step), line, _differs(each.kind, side))
                for step, line in enumerate(getattr(each, side))
            )
            for side in at
        }
        for side in at:
            at[side] += len(rows[side])
        if each.kind == "same":
            found += _same(rows, first=place == 0, last=place == len(cut) - 1)
        else:
            found.append(Block(each.kind, str(SAID[each.kind]), **rows, left_out=""))
    return tuple(found)


def _same(rows: Mapping[str, tuple[Row, ...]], *, first: bool, last: bool) -> list[Block]:
    """The same lines: of many only those next to a change, and how many are left out between
    them.
    """
    length = len(rows["mine"])
    head, tail = (
        (length, length)
        if length <= 2 * AROUND + 1
        else (0 if first else AROUND, length - (0 if last else AROUND))
    )
    near = (
        [
            Block(
                "same",
                str(SAID["same"]),
                **{side: its[:head] for side, its in rows.items()},
                left_out="",
            )
        ]
        if head
        else []
    )
    between = [Block("gap", "", (), (), (), str(tail - head))] if tail > head else []
    after = (
        [
            Block(
                "same",
                str(SAID["same"]),
                **{side: its[tail:] for side, its in rows.items()},
                left_out="",
            )
        ]
        if tail < length
        else []
    )
    return [*near, *between, *after]


def _differs(kind: str, side: str) -> bool:
    return kind in ("both", "alike") or (kind != "same" and side in (kind, "opened"))
