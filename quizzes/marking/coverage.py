"""Which critical steps and cautions of a write-up does no question test, and no line of the check
sheet look at?
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from procedures.writeup.check_sheet import check_sheet
from procedures.writeup.model import Caution, WriteUp
from procedures.writeup.remarks import Remark, remark


@dataclass(frozen=True, slots=True)
class Gap:
    """One critical step or caution (`what`) and what it lacks; `step` is its id, empty for one
    before all steps.
    """

    what: Remark
    step: str
    no_question: bool
    no_line: bool


def gaps(writeup: WriteUp, tested: Collection[str]) -> tuple[Gap, ...]:
    """The gaps: first of cautions that stand before phases, then at steps, in the order of the
    write-up. `tested` are the ids of the steps that some question tests.

    A caution counts as covered through the step that it stands at; one that stands before a phase,
    through any step of the phase; one before everything, through any step.
    """
    looked_at = {line.step for line in check_sheet(writeup.steps)}
    found = (
        Gap(what, step, not steps & set(tested), not steps & looked_at)
        for what, step, steps in _to_cover(writeup)
    )
    return tuple(gap for gap in found if gap.no_question or gap.no_line)


def _to_cover(writeup: WriteUp) -> Iterator[tuple[Remark, str, set[str]]]:
    every = {step.id for step in writeup.steps}
    for caution in writeup.cautions:
        yield remark("gap-at-the-beginning", caution=_named(caution)), "", every
    for phase in writeup.phases:
        # By title, as steps know their phase: two phases of one title count as one.
        within = {step.id for step in writeup.steps if step.phase == phase.title}
        for caution in phase.cautions:
            what = remark("gap-before-phase", caution=_named(caution), phase=phase.title)
            yield what, "", within
    for step in writeup.steps:
        if step.critical:
            yield remark("gap-critical-step", step=step.title), step.id, {step.id}
        for caution in step.cautions:
            what = remark("gap-at-step", caution=_named(caution), step=step.title)
            yield what, step.id, {step.id}


def _named(caution: Caution) -> str:
    return f"{caution.word.upper()} “{caution.title}”" if caution.title else caution.word.upper()
