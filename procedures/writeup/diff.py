"""What changed between two revisions of a write-up, and what does each change ask of people who are
signed off?

Steps are lined up by their id, phases and cautions by their title and then by their place; fields
are compared one by one and word by word. What each kind of change asks, and why, stands in
`asks.py`. A suggestion is never a decision: the author may raise it, or lower it with a reason.
"""

import hashlib
from bisect import bisect_left
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeVar

from procedures.writeup.asks import ANSWER, SHOW, Asks, judge_change, pick_highest, rank
from procedures.writeup.facets import (
    Facet,
    Meaning,
    list_caution_facets,
    list_header_facets,
    list_phase_facets,
    list_step_facets,
)
from procedures.writeup.model import Caution, Step, WriteUp
from procedures.writeup.names import make_plain
from procedures.writeup.remarks import Remark, remark
from procedures.writeup.word_diff import DiffPiece, word_diff

HEADER = ""
"""The key under which the header, the introduction and the phases stand: no step has it."""

Row = TypeVar("Row")
RowPair = tuple[Row | None, Row | None]


@dataclass(frozen=True, slots=True)
class FieldChange:
    """One field that changed. `words` marks which words stayed, went and came; `is_wording`:
    nothing but words changed.
    """

    label: str
    old: str
    new: str
    words: tuple[DiffPiece, ...]
    asks: Asks
    why: Remark
    is_wording: bool


@dataclass(frozen=True, slots=True)
class StepChange:
    """One step that changed, came, went or stands elsewhere; also (with the key HEADER) all that
    stands around the steps.

    `number` and `old_number` are its places; None where it is not.
    """

    key: str
    title: str
    old_title: str
    number: int | None
    old_number: int | None
    is_critical: bool
    is_moved: bool
    fields: tuple[FieldChange, ...]
    asks: Asks
    why: Remark

    @property
    def state(self) -> Literal["new", "gone", "changed"]:
        """Whether the step came, went, or is there in both."""
        if self.key != HEADER and self.old_number is None:
            return "new"
        return "gone" if self.key != HEADER and self.number is None else "changed"

    @property
    def is_retitled(self) -> bool:
        """Whether a step that stayed has another title."""
        return self.state == "changed" and self.title != self.old_title

    @property
    def is_wording(self) -> bool:
        """Whether nothing but words changed."""
        return (
            self.state == "changed"
            and not self.is_moved
            and all(field.is_wording for field in self.fields)
        )

    @property
    def digest(self) -> str:
        """What names this very change: another one of the same step has another digest."""
        fields = (f"{one.label}\0{one.old}\0{one.new}" for one in self.fields)
        # Parted by control signs: words that move from one field to the next give another digest.
        said = [self.key, self.state, str(self.is_moved), *fields]
        return hashlib.sha256("\1".join(said).encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class Comparison:
    """All that changed, first around the steps, then step by step in the order of the new text;
    steps that went stand where they stood.
    """

    changes: tuple[StepChange, ...]

    @property
    def asks(self) -> Asks:
        """What the whole asks: the highest of its changes."""
        return pick_highest(change.asks for change in self.changes)

    def of(self, key: str) -> StepChange | None:
        """The change of one step (or of HEADER), or None where it did not change."""
        return next((change for change in self.changes if change.key == key), None)


def compare(old: WriteUp, new: WriteUp) -> Comparison:
    """What changed from the one to the other; without changes when both say the same."""
    return Comparison((*_around(old, new), *_steps(old, new)))


def _around(old: WriteUp, new: WriteUp) -> Iterator[StepChange]:
    fields = [
        *_fields(list_header_facets(old), list_header_facets(new), "", critical=False),
        *_cautions(old.cautions, new.cautions, "", critical=False),
    ]
    for was, now in _paired(old.phases, new.phases, lambda phase: phase.title):
        shown = now or was
        where = f"phase “{shown.title}”: " if shown else ""
        fields += _fields(
            list_phase_facets(was) if was else (),
            list_phase_facets(now) if now else (),
            where,
            critical=False,
        )
        fields += _cautions(
            was.cautions if was else (), now.cautions if now else (), where, critical=False
        )
    if fields:
        asks, why = _gravest(fields)
        yield StepChange(
            HEADER, new.title, old.title, None, None, False, False, tuple(fields), asks, why
        )


def _steps(old: WriteUp, new: WriteUp) -> Iterator[StepChange]:
    was = {step.id: step for step in old.steps}
    now = {step.id: step for step in new.steps}
    # Only ids in both: a step put in or taken out moves none of the others.
    before, after = [key for key in was if key in now], [key for key in now if key in was]
    grave = [key for key in before if was[key].critical or now[key].critical]
    old_place, new_place = ({key: at for at, key in enumerate(keys)} for keys in (before, after))
    moved = {key: _passed(key, grave, old_place, new_place) for key in _moved(before, after)}
    for key in _in_order(old.steps, new.steps):
        change = _step(
            key, was.get(key), now.get(key), is_moved=key in moved, near=moved.get(key, False)
        )
        if change:
            yield change


def _in_order(old: Sequence[Step], new: Sequence[Step]) -> list[str]:
    """The ids of the new text in its order, each id that went right after the one that it stood
    behind.
    """
    known = {step.id for step in new}
    gone: dict[str, list[str]] = {}  # by the step that they stood behind
    behind = ""
    for step in old:
        if step.id in known:
            behind = step.id
        else:
            gone.setdefault(behind, []).append(step.id)
    return [
        *gone.get("", ()),
        *(each for step in new for each in (step.id, *gone.get(step.id, ()))),
    ]


def _moved(old: list[str], new: list[str]) -> frozenset[str]:
    """The fewest ids that stand elsewhere: those outside a longest run that both orders share
    (patience sorting).
    """
    place = {key: number for number, key in enumerate(old)}
    ends: list[int] = []  # the lowest place with which a run of each length can end
    last: list[str] = []
    before: dict[str, str | None] = {}
    for key in new:
        length = bisect_left(ends, place[key])
        before[key] = last[length - 1] if length else None
        ends[length : length + 1], last[length : length + 1] = [place[key]], [key]
    kept, at = set(), last[-1] if last else None
    while at is not None:
        kept.add(at)
        at = before[at]
    return frozenset(new) - kept


def _passed(
    key: str, grave: Iterable[str], before: Mapping[str, int], after: Mapping[str, int]
) -> bool:
    """Whether a step changed its place with a critical one; `before` and `after` are the places in
    both orders.
    """
    return any(
        (before[other] < before[key]) != (after[other] < after[key])
        for other in grave
        if other != key
    )


def _step(
    key: str, was: Step | None, now: Step | None, *, is_moved: bool, near: bool
) -> StepChange | None:
    """The change of one step, None for none; `near`: it changed its place with a critical one."""
    critical = bool((was and was.critical) or (now and now.critical))
    fields = [
        *_fields(
            list_step_facets(was) if was else (),
            list_step_facets(now) if now else (),
            "",
            critical=critical,
        ),
        *_cautions(was.cautions if was else (), now.cautions if now else (), "", critical=critical),
    ]
    if not fields and not is_moved:
        return None
    whole = _whole(was, now, is_moved=is_moved, near=near)
    asks, why = _gravest([*whole, *fields], critical=critical)
    shown, old = now or was, was or now
    return StepChange(
        key,
        shown.title if shown else "",
        old.title if old else "",
        now.number if now else None,
        was.number if was else None,
        critical,
        is_moved,
        tuple(fields),
        asks,
        why,
    )


def _whole(was: Step | None, now: Step | None, *, is_moved: bool, near: bool) -> list[FieldChange]:
    """What the change of a step as a whole asks, as if it were a field."""
    if near:
        return [FieldChange("", "", "", (), SHOW, remark("swapped-with-critical"), False)]
    why = (
        remark("step-new")
        if was is None
        else remark("step-gone")
        if now is None
        else remark("step-moved")
    )
    return (
        [FieldChange("", "", "", (), ANSWER, why, False)]
        if is_moved or was is None or now is None
        else []
    )


def _gravest(fields: Sequence[FieldChange], *, critical: bool = False) -> tuple[Asks, Remark]:
    first = max(fields, key=lambda field: rank(field.asks))  # of equals the first
    # A step that came, went or moved has no field that was judged by its criticality.
    if critical and first.asks == ANSWER:
        return SHOW, remark("and-critical", because=first.why)
    return first.asks, first.why


def _cautions(
    old: Sequence[Caution], new: Sequence[Caution], where: str, *, critical: bool
) -> Iterator[FieldChange]:
    for was, now in _paired(old, new, lambda caution: caution.title):
        shown = now or was
        # By its title, so that cautions that only changed places are compared each with itself.
        label = f"{where}caution “{shown.title}”, " if shown else where
        yield from _fields(
            list_caution_facets(was) if was else (),
            list_caution_facets(now) if now else (),
            label,
            critical=critical,
        )


def _fields(
    old: Iterable[Facet], new: Iterable[Facet], where: str, *, critical: bool
) -> Iterator[FieldChange]:
    was, now = ({facet.label: facet for facet in facets} for facets in (old, new))
    for label, facet in {**was, **now}.items():
        before, after = was.get(label), now.get(label)
        change = _field(facet.kind, where + label, before, after, critical=critical)
        if change:
            yield change


def _field(
    kind: str, label: str, before: Facet | None, after: Facet | None, *, critical: bool
) -> FieldChange | None:
    old, new = before.text if before else "", after.text if after else ""
    same = _meaning(before) == _meaning(after)
    words = word_diff(old, new)
    if same and not words:
        return None
    asks, why, is_wording = judge_change(kind, old, new, same_meaning=same, critical=critical)
    return FieldChange(label, old, new, words, asks, why, is_wording)


def _meaning(facet: Facet | None) -> Meaning:
    """A field that is not there means what an empty one means."""
    return facet.meaning if facet and facet.text else ()


def _paired(
    old: Sequence[Row], new: Sequence[Row], title: Callable[[Row], str]
) -> Iterator[RowPair[Row]]:
    """Rows of the same title beside each other, the first ones of one title first; the others by
    their place.
    """
    places: dict[
        str, deque[int]
    ] = {}  # of the old rows of a title that have no row beside them yet
    for place, row in enumerate(old):
        places.setdefault(make_plain(title(row)), deque()).append(place)
    found = [
        (there.popleft() if (there := places.get(make_plain(title(now)))) else None, now)
        for now in new
    ]
    taken = {place for place, _ in found}
    left = deque(row for place, row in enumerate(old) if place not in taken)
    for at, after in found:
        yield (old[at] if at is not None else left.popleft() if left else None), after
    yield from ((row, None) for row in left)
