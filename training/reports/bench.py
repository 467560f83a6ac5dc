"""What does a mechanic see at the bench: one step after another, what is measured in each, and
where the work stands?
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from procedures.models import Revision
from procedures.records import texts
from procedures.records.study import CautionShown, StepShown, Study
from procedures.reports.writeups import study_steps
from procedures.writeup.model import Step, Target
from training.models import BenchPlace, User


@dataclass(frozen=True, slots=True)
class Measured:
    """One value to type: `low` and `high` are plain numbers as text, empty where there is no
    bound.
    """

    field: str
    name: str
    asked: str
    unit: str
    low: str
    high: str
    typed: str


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


def bench_page(person: User, revision: Revision, *, step: str = "") -> BenchPage:
    """The page for the fork that this person chose last, at the step asked for or the one that was
    kept.
    """
    study = study_steps(person, revision, {}, show_all=False)
    fork = dict(study.chosen)
    place = BenchPlace.objects.filter(person=person, writeup=revision.writeup).first()
    kept = place if place and place.revision == revision.number and place.fork == fork else None
    given = {name: str(value) for name, value in kept.given.items()} if kept else {}
    steps = _screens(study, {row.id: row for row in texts.parsed(revision.text).steps}, given)
    asked = (
        int(step)
        if step.isascii() and step.isdigit() and len(step) < 6
        else (kept.step if kept else 1)
    )
    at = _no_further_than_holds(steps, min(max(asked, 1), len(steps) + 1))
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


def values_given(revision: Revision, given: Mapping[str, str]) -> list[dict[str, str]]:
    """What was measured, for the job: step, name, what was asked and the value, in the order of the
    steps.
    """
    return [
        {"step": step.id, "name": field.name, "asked": field.asked, "value": field.typed}
        for step in texts.parsed(revision.text).steps
        for field in _measured(step, given)
        if field.typed
    ]


def _no_further_than_holds(steps: tuple[BenchStep, ...], at: int) -> int:
    waiting = (row.place for row in steps if row.hold_field and not row.has_looked)
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
            hold = f"held-{step.key}" if step.hold else ""
            found.append(
                BenchStep(
                    place=len(found) + 1,
                    phase=phase.title,
                    step=step,
                    cautions=(*first, *before, *step.cautions),
                    measured=_measured(row, given),
                    hold_field=hold,
                    has_looked=given.get(hold) == "yes",
                )
            )
            before = ()
    return tuple(found)


def _measured(step: Step, given: Mapping[str, str]) -> tuple[Measured, ...]:
    targets: tuple[Target, ...] = (*step.torques, *step.measures)
    return tuple(
        Measured(
            field=(name := f"value-{step.id}-{number}"),
            name=target.name or ("torque" if number <= len(step.torques) else "measured"),
            asked=target.amount.said,
            unit=target.amount.unit,
            low="" if target.amount.low is None else str(target.amount.low),
            high="" if target.amount.high is None else str(target.amount.high),
            typed=given.get(name, "")[:100],
        )
        for number, target in enumerate(targets, start=1)
    )
