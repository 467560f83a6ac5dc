"""How do the steps of a question look that has been set aside: when it was last read, and now?"""

from __future__ import annotations

from dataclasses import dataclass

from procedures.records.texts import parse_once
from procedures.reports.drawn_changes import NOTHING, Drawer, Drawn
from quizzes.models import QuestionVersion
from quizzes.records.confirming import find_changed_since, find_text_read
from quizzes.records.sources import Source


@dataclass(frozen=True, slots=True)
class StepSides:
    """A changed step before and now. `is_known`: whether it is known what it said then."""

    title: str
    drawn: Drawn
    is_known: bool


def draw_changed_steps(version: QuestionVersion, source: Source | None) -> tuple[StepSides, ...]:
    """The steps for which this version is set aside beside its current revision; six queries."""
    if source is None:
        return ()
    writeup = version.question.writeup_id
    _number, steps = find_changed_since([version], {writeup: source}).get(version.pk, (0, ()))
    if not steps:
        return ()
    text = find_text_read(version)
    old = source.text if text is None else text
    was, now = parse_once(old), parse_once(source.text)
    drawer = Drawer(was, now, (old, source.text))
    titles = {step.id: step.title for step in (*was.steps, *now.steps)}
    found = []
    for key in steps:
        both = drawer.draw_step(key)
        shown = both if text is not None else Drawn(NOTHING, both.now)
        found.append(StepSides(titles.get(key, key), shown, text is not None))
    return tuple(found)
