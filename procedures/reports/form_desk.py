"""What does the page of a draft show, when it is written as a form: its head, its phases and steps,
and what the rehearsal says beside each?
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from procedures.models import Revision, WriteUp
from procedures.records import texts
from procedures.records.above import level_titles
from procedures.records.study import StepShown
from procedures.reports.desk import Beside, Checked, check_text
from procedures.reports.outline import DraftPart, Outline, make_outline
from procedures.writeup.blocks import TextBlock, cut_blocks
from procedures.writeup.heads import Fork, Head, read_head
from procedures.writeup.model import Step
from procedures.writeup.names import make_plain
from procedures.writeup.remarks import Unreadable

HEAD = "head"


@dataclass(frozen=True, slots=True)
class Names:
    """The names that a text uses so far, for whoever types the next one."""

    facts: tuple[str, ...]
    parts: tuple[str, ...]
    tools: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Draft:
    """A draft as it is written as a form."""

    name: str
    number: int
    title: str
    seen: str
    saved_by: str
    saved_at: datetime
    sent_back_because: str
    errors: str
    advice: str
    blocks: bool


@dataclass(frozen=True, slots=True)
class FormPage:
    """The whole draft: what its head says, and its parts in their order, folded. `head` is None
    where the head cannot be changed as a form.
    """

    draft: Draft
    head: Head | None
    level: str
    follows: str
    found: tuple[Beside, ...]
    parts: tuple[DraftPart, ...]
    outline: Outline


@dataclass(frozen=True, slots=True)
class PartPage:
    """One part of a draft being changed, with what was found in it, and the step as people will see
    it.
    """

    draft: Draft
    found: tuple[Beside, ...]
    shown: StepShown | None
    names: Names


def form_page(row: Revision, opened: str = "") -> FormPage:
    """The draft as a form; the part named `opened` is unfolded."""
    checked = check_text(row, row.text, {})
    try:
        head = read_head(row.text)
    except Unreadable:
        head = None
    parts = _parts(row.text, checked)
    return FormPage(
        draft=_draft(row, checked),
        head=head,
        level=level_titles().get(head.level, head.level) if head else "",
        follows=writeup_titles(row).get(head.follows, head.follows) if head else "",
        found=_found_in(row.text, checked, HEAD),
        parts=parts,
        outline=make_outline(parts, opened),
    )


def part_page(row: Revision, text: str, key: str) -> PartPage:
    """A part of the draft, `text` being the whole text as it would be saved."""
    read = texts.parse_once(text)
    step = next((step for step in read.steps if step.id == key), None)
    forks = {one.variant: one.options[0] for one in step.only_if} if step else {}
    checked = check_text(row, text, forks)
    return PartPage(
        draft=_draft(row, checked),
        found=_found_in(text, checked, key),
        shown=_shown(checked, key),
        names=names_of(text),
    )


def find_opened_text(row: Revision, seen: datetime) -> str | None:
    """The text that the draft had when it was opened; None where that is not known any more."""
    if seen == row.changed_at:
        return row.text
    found = row.earlier_texts.filter(changed_at=seen).values_list("text", flat=True).last()
    return None if found is None else str(found)


def list_forks(text: str) -> tuple[Fork, ...]:
    """The questions about the fork, each with its answers, as the rehearsal reads them."""
    return tuple((one.name, one.options) for one in texts.parse_once(text).variants)


def steps_beside(text: str, key: str) -> tuple[tuple[str, str], ...]:
    """Every other step by its id, with its number and title."""
    return tuple(
        (step.id, f"{step.number}. {step.title}")
        for step in texts.parse_once(text).steps
        if step.id != key
    )


def list_dangers() -> tuple[str, ...]:
    """The sources of danger that the shop's rules name."""
    return tuple(texts.rules_in_force().safe)


def writeup_titles(row: Revision) -> dict[str, str]:
    """Every other write-up's title by its name."""
    others = WriteUp.objects.exclude(pk=row.writeup_id).order_by("title")
    return dict(others.values_list("name", "title"))


def names_of(text: str) -> Names:
    """The facts, parts and tools that a text names, each once."""
    read = texts.parse_once(text)
    facts = [*read.given, *(fact for step in read.steps for fact in step.makes)]
    parts = [*read.off, *(part for step in read.steps for part in _parts_of(step))]
    tools = [tool for step in read.steps for tool in step.tools]
    return Names(_once(facts), _once(parts), _once(tools))


def _parts_of(step: Step) -> tuple[str, ...]:
    return (*step.takes_off, *step.fits, *step.scraps, *step.fits_new)


def _once(names: Sequence[str]) -> tuple[str, ...]:
    return tuple(sorted({make_plain(name): name for name in reversed(names)}.values()))


def _draft(row: Revision, checked: Checked) -> Draft:
    return Draft(
        name=row.writeup.name,
        number=row.number,
        title=texts.parse_once(row.text).title or row.writeup.title,
        seen=row.changed_at.isoformat(),
        saved_by=str(row.author) if row.author else "",
        saved_at=row.changed_at,
        sent_back_because=row.sent_back_because,
        errors=checked.errors,
        advice=checked.advice,
        blocks=checked.blocks,
    )


def _found_in(text: str, checked: Checked, key: str) -> tuple[Beside, ...]:
    """What was found in one part; at the head stands also what belongs to no part."""
    blocks = cut_blocks(text).blocks
    return tuple(one for one in checked.beside if _home_of(one.line, blocks) == key)


def _home_of(line: int, blocks: Sequence[TextBlock]) -> str:
    for block in blocks[1:]:
        if block.line <= line < block.end:
            return block.key
    return HEAD


def _parts(text: str, checked: Checked) -> tuple[DraftPart, ...]:
    blocks = cut_blocks(text).blocks
    steps = {step.id: step for step in texts.parse_once(text).steps}
    by_home: dict[str, list[Beside]] = {}
    for one in checked.beside:
        by_home.setdefault(_home_of(one.line, blocks), []).append(one)
    return tuple(_part(block, steps, by_home) for block in blocks[1:])


def _part(
    block: TextBlock, steps: Mapping[str, Step], by_home: Mapping[str, Sequence[Beside]]
) -> DraftPart:
    step = steps.get(block.key) if block.is_step else None
    chips = [
        *(["critical"] if step and step.critical else []),
        *(["hold"] if step and step.hold else []),
        *(f"{one.variant}: {', '.join(one.options)}" for one in (step.only_if if step else ())),
    ]
    return DraftPart(
        key=block.key,
        is_step=block.is_step,
        number=str(step.number) if step else "",
        title=block.title,
        chips=tuple(chips),
        found=tuple(by_home.get(block.key, ())),
    )


def _shown(checked: Checked, key: str) -> StepShown | None:
    phases = checked.study.phases if checked.study else ()
    return next((step for phase in phases for step in phase.steps if step.key == key), None)
