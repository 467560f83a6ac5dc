"""What does a mechanic see at the bench: one step after another, what is measured in each, and
where the work stands?
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from procedures.models import Revision
from procedures.records import texts
from procedures.records.study import CautionShown, StepShown, Study
from procedures.reports.writeups import study_steps
from procedures.writeup.amounts import BadAmount, factors_to
from procedures.writeup.model import Step
from training.models import BenchPlace, User
from training.records.benchwork import (
    StillOpen,
    Typed,
    find_open,
    held_field,
    must_fill,
    must_say_why,
    values_typed,
)

# The fields of a step that its author needs for the rehearsal, and those that a hand needs. A
# torque and a measure stand beside the field to type them in.
FOLDED = ("only for", "needs", "now true", "no longer true", "opens")
FACTS = ("tool", "uses", "check", "if not", "off", "on", "scrap", "new")


@dataclass(frozen=True, slots=True)
class Measured:
    """One value to type: `low` and `high` are plain numbers as text, empty where there is no
    bound; `factors` turn another unit into the one asked for, as JSON; `fill` is what is said where
    a critical one is missing.
    """

    typed: Typed
    unit: str
    low: str
    high: str
    factors: str
    fill: str
    stands: str
    is_outside: bool


@dataclass(frozen=True, slots=True)
class BenchStep:
    """One screen: a step, the cautions that stand before it, and what it asks. `has_looked`: the
    hold was ticked.
    """

    place: int
    phase: str
    step: StepShown
    cautions: tuple[CautionShown, ...]
    measured: tuple[Measured, ...]
    hold_field: str
    has_looked: bool
    folded: tuple[tuple[str, str], ...]
    facts: tuple[tuple[str, str], ...]
    is_open: StillOpen | None


@dataclass(frozen=True, slots=True)
class BenchPage:
    """A write-up at the bench. `at` is the screen shown: 1 to `count` are steps, `count` + 1 writes
    the job down.
    """

    study: Study
    steps: tuple[BenchStep, ...]
    count: int
    at: int
    given: dict[str, str]
    kept_at: str
    fork: dict[str, str]
    other_revision: int | None

    @property
    def stopped_by(self) -> StillOpen | None:
        """What is missing at the step that is shown."""
        return self.steps[self.at - 1].is_open if self.at <= self.count else None


def bench_page(person: User, revision: Revision, *, step: str = "") -> BenchPage:
    """The page for the fork that this person chose last, at the step asked for or the one that was
    kept.
    """
    study = study_steps(person, revision, {}, show_all=False)
    fork = dict(study.chosen)
    place = BenchPlace.objects.filter(person=person, writeup=revision.writeup).first()
    # Values typed for another revision or fork may belong to steps that are not there.
    kept = place if place and place.revision == revision.number and place.fork == fork else None
    given = {name: str(value) for name, value in kept.given.items()} if kept else {}
    steps = _screens(study, {row.id: row for row in texts.parse_once(revision.text).steps}, given)
    asked = (
        int(step)
        if step.isascii() and step.isdigit() and len(step) < 6
        else (kept.step if kept else 1)
    )
    # Also by the address: a hold point and a critical value cannot be skipped by typing a number.
    at = _no_further_than_open(steps, min(max(asked, 1), len(steps) + 1))
    return BenchPage(
        study=study,
        steps=steps,
        count=len(steps),
        at=at,
        given=given,
        fork=fork,
        kept_at=kept.kept_at.isoformat() if kept else "",
        other_revision=place.revision if place and place.revision != revision.number else None,
    )


def _no_further_than_open(steps: tuple[BenchStep, ...], at: int) -> int:
    waiting = (row.place for row in steps if row.is_open)
    return min(at, next(waiting, at))


def _screens(
    study: Study, rows: Mapping[str, Step], given: Mapping[str, str]
) -> tuple[BenchStep, ...]:
    found: list[BenchStep] = []
    for phase in study.phases:
        # What stands before a phase must be read before its first step, so it stands on that
        # screen.
        before = phase.cautions
        for step in phase.steps:
            row, first = rows[step.key], study.cautions if not found else ()
            hold = held_field(row)
            found.append(
                BenchStep(
                    place=len(found) + 1,
                    phase=phase.title,
                    step=step,
                    cautions=(*first, *before, *step.cautions),
                    measured=_measured(row, given),
                    hold_field=hold,
                    has_looked=given.get(hold) == "yes",
                    folded=tuple(one for one in step.fields if one[0] in FOLDED),
                    facts=_together(step.fields),
                    is_open=find_open(row, given),
                )
            )
            before = ()
    return tuple(found)


def _together(fields: Sequence[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    """What a hand needs, each word once: several tools on one line. A check keeps its own line."""
    found: list[tuple[str, str]] = []
    for label, text in fields:
        if found and found[-1][0] == label and label not in ("check", "if not"):
            found[-1] = (label, f"{found[-1][1]}, {text}")
        elif label in FACTS:
            found.append((label, text))
    return tuple(found)


def _measured(step: Step, given: Mapping[str, str]) -> tuple[Measured, ...]:
    return tuple(_one_measured(step, typed) for typed in values_typed(step, given))


def _one_measured(step: Step, typed: Typed) -> Measured:
    amount = typed.target.amount
    try:
        is_outside = typed.is_within() is False
    except BadAmount:
        # What cannot be read is refused when it is sent; here it is only not shown as outside.
        is_outside = False
    return Measured(
        typed=typed,
        unit=amount.unit,
        low="" if amount.low is None else str(amount.low),
        high="" if amount.high is None else str(amount.high),
        factors=json.dumps(factors_to(amount.unit)),
        fill=must_fill(typed.name) if step.critical else "",
        stands=must_say_why(amount.said),
        is_outside=is_outside,
    )
