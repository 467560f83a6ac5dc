"""What does a watching mechanic look at, for which write-up and which fork?"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from procedures.models import Revision
from procedures.records.study import StepShown
from procedures.rehearsal.variants import steps_for
from procedures.reports.writeups import study_steps
from procedures.writeup.amounts import factors_to
from procedures.writeup.check_sheet import SEEN, LineSeen, Value, check_sheet, mark_seen
from procedures.writeup.parse import level_of, parse
from training.models import Level, User
from training.records.gathering import gather
from training.records.released import variants_of
from training.records.sheets import observing_counts_for
from training.reports.at_bench import rules_in_force
from training.standing.evidence import Limits

LONGEST_VALUE, LONGEST_NOTE = 100, 500


@dataclass(frozen=True, slots=True)
class Observing:
    """How far the observer has come: the write-up and the fork chosen, and then the sheet with the
    steps that it is about.

    `elsewhere` are the level's write-ups that are not offered, each with the level that its header
    names (empty: none).
    """

    writeups: tuple[Revision, ...]
    elsewhere: tuple[tuple[str, str], ...]
    revision: Revision | None
    variants: Limits
    variant: dict[str, str]
    lines: tuple[LineSeen, ...]
    steps: Mapping[str, StepShown]

    @property
    def is_ready(self) -> bool:
        """Whether the write-up and every option are chosen."""
        return self.revision is not None and len(self.variant) == len(self.variants)


@dataclass(frozen=True, slots=True)
class ValueField:
    """One value to type; `low` and `high` are plain numbers as text, empty where there is no
    bound; `factors` turn another unit into the one asked for, as JSON.
    """

    name: str
    value: Value
    low: str
    high: str
    factors: str


@dataclass(frozen=True, slots=True)
class LineField:
    """One line as the page shows it: how it was seen so far, its step in full, and its values."""

    line: LineSeen
    step: StepShown
    values: tuple[ValueField, ...]


def observing_page(
    observer: User,
    person: User,
    level: Level,
    chosen: Mapping[str, str],
    *,
    today: date,
    now: datetime,
) -> Observing:
    """The page for what was chosen so far (`writeup`, and `v-NAME` for each variant)."""
    current, counts = (
        _current_writeups(level, today),
        observing_counts_for(person, level, on=today, now=now),
    )
    # An observation of another write-up would count for nothing, so it is not offered.
    writeups = tuple(revision for revision in current if counts(revision))
    titles = {row.name: str(row) for row in Level.objects.titled()}
    named = [
        (revision.writeup.title, level_of(revision.text))
        for revision in current
        if revision not in writeups
    ]
    elsewhere = tuple((title, titles.get(name, name)) for title, name in named)
    name = chosen.get("writeup", "")
    revision = next((row for row in writeups if row.writeup.name == name), None)
    if revision is None and len(writeups) == 1:
        revision = writeups[0]
    if revision is None:
        return Observing(writeups, elsewhere, None, (), {}, (), {})
    variants = variants_of(revision.text)
    variant = {
        name: chosen[f"v-{name}"]
        for name, options in variants
        if chosen.get(f"v-{name}") in options
    }
    if len(variant) < len(variants):
        return Observing(writeups, elsewhere, revision, variants, variant, (), {})
    lines = check_sheet(steps_for(parse(revision.text), variant))
    study = study_steps(observer, revision, variant, show_all=False)
    steps = {step.key: step for phase in study.phases for step in phase.steps}
    return Observing(writeups, elsewhere, revision, variants, variant, lines, steps)


def fields_of(lines: tuple[LineSeen, ...], steps: Mapping[str, StepShown]) -> tuple[LineField, ...]:
    """The lines, as they were seen so far, with what the page needs to ask for them."""
    return tuple(
        LineField(
            line,
            steps[line.step],
            tuple(
                _field(line.step, place, value) for place, value in enumerate(line.values, start=1)
            ),
        )
        for line in lines
        if line.step in steps
    )


def read_sheet(lines: tuple[LineSeen, ...], given: Mapping[str, str]) -> tuple[LineSeen, ...]:
    """The lines as the form says they were seen; a line that was not told stays open, and keeps
    what was typed in it.
    """
    found = []
    for line in lines:
        how = given.get(f"seen-{line.step}", "")
        measured = [
            given.get(f"value-{line.step}-{place}", "")[:LONGEST_VALUE]
            for place in range(1, len(line.values) + 1)
        ]
        note = given.get(f"note-{line.step}", "")[:LONGEST_NOTE]
        # What the browser sends under another word is as if the line had not been told.
        found.append(mark_seen(line, how if how in SEEN else "", measured, note))
    return tuple(found)


def _field(step: str, place: int, value: Value) -> ValueField:
    low, high = value.amount.low, value.amount.high
    return ValueField(
        f"value-{step}-{place}",
        value,
        "" if low is None else str(low),
        "" if high is None else str(high),
        json.dumps(factors_to(value.amount.unit)),
    )


def _current_writeups(level: Level, today: date) -> tuple[Revision, ...]:
    rules = rules_in_force(gather(), level.name, today)
    if rules is None:
        return ()
    newest: dict[str, Revision] = {}
    rows = (
        Revision.objects.released(today)
        .filter(writeup__name__in=rules.writeups)
        .select_related("writeup")
    )
    for row in rows.order_by("number"):
        newest[row.writeup.name] = row
    return tuple(newest[name] for name in rules.writeups if name in newest)
