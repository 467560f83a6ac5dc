"""What keeps somebody at a step at the bench, and what was measured there, for the job?

The browser asks the same, so that it works without network; what counts is asked here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from django.utils.translation import gettext

from procedures.models import Revision
from procedures.records import texts
from procedures.records.wording.say import say
from procedures.rehearsal.variants import agrees, steps_for
from procedures.writeup.amounts import BadAmount
from procedures.writeup.check_sheet import Value
from procedures.writeup.model import Step, Target

LONGEST_VALUE, LONGEST_REASON = 100, 300


@dataclass(frozen=True, slots=True)
class StillOpen:
    """What is missing before the work goes on: the field to fill, and what is said of it."""

    step: str
    title: str
    field: str
    says: str


@dataclass(frozen=True, slots=True)
class Typed:
    """One value of a step as it was typed at the bench; `is_sure`: “I measured this” is ticked."""

    field: str
    name: str
    target: Target
    value: str
    is_sure: bool
    reason: str

    @property
    def sure_field(self) -> str:
        return self.field.replace("value-", "sure-", 1)

    @property
    def reason_field(self) -> str:
        return self.field.replace("value-", "why-", 1)

    def is_within(self) -> bool | None:
        """Whether it lies in its range; None where nothing was typed or there is no range. Raises
        BadAmount for what cannot be read.
        """
        return Value(self.name, self.target.amount, self.value).is_within


def values_typed(step: Step, given: Mapping[str, str]) -> tuple[Typed, ...]:
    """Each value that a step asks for, with what was typed so far."""
    targets = (*step.torques, *step.measures)
    return tuple(
        Typed(
            field=f"value-{step.id}-{number}",
            name=target.name or _plain_name(number, step),
            target=target,
            # Cut and not refused: it comes from an offline page, which could not be told.
            value=given.get(f"value-{step.id}-{number}", "").strip()[:LONGEST_VALUE],
            is_sure=given.get(f"sure-{step.id}-{number}") == "yes",
            reason=given.get(f"why-{step.id}-{number}", "").strip()[:LONGEST_REASON],
        )
        for number, target in enumerate(targets, start=1)
    )


def _plain_name(number: int, step: Step) -> str:
    # Not translated: it goes into the job, whose entry must read the same in every language.
    return "torque" if number <= len(step.torques) else "measured"


def held_field(step: Step) -> str:
    """The name of the tick of a hold point; empty for a step without one."""
    return f"held-{step.id}" if step.hold else ""


def must_fill(name: str) -> str:
    """What is said where a critical value is missing."""
    return gettext("Fill in “{name}”. It is critical, so you cannot go on without it.").format(
        name=name
    )


def must_say_why(asked: str) -> str:
    """What is said where a value lies outside and nobody has stood up for it."""
    return gettext(
        "This is outside {asked}. Stop, then put it right or ask. If it must stay "
        "like this, tick “I measured this” and say why."
    ).format(asked=asked)


def must_be_looked_at() -> str:
    """What is said at a hold point that is not ticked."""
    return gettext("Stop here until the mechanic who watches has looked. Tick it, then go on.")


def find_open(step: Step, given: Mapping[str, str]) -> StillOpen | None:
    """The first thing that keeps the work at this step, or None where it may go on."""
    for typed in values_typed(step, given):
        found = _open_value(step, typed)
        if found:
            return StillOpen(step.id, step.title, *found)
    field = held_field(step)
    if field and given.get(field) != "yes":
        return StillOpen(step.id, step.title, field, must_be_looked_at())
    return None


def _open_value(step: Step, typed: Typed) -> tuple[str, str] | None:
    if not typed.value:
        # Only critical ones hold the work up: who must type everything types anything.
        return (typed.field, must_fill(typed.name)) if step.critical else None
    try:
        is_outside = typed.is_within() is False
    except BadAmount as bad:
        return typed.field, say(bad.remark)
    # Outside may stay, said and reasoned: refusing it would only make people type the range.
    if not is_outside or (typed.is_sure and typed.reason):
        return None
    # The tick first: the mistake of a digit is far more common than a value that must stay.
    field = typed.reason_field if typed.is_sure else typed.sure_field
    return field, must_say_why(typed.target.amount.said)


def open_in_job(
    revision: Revision, variant: Mapping[str, str], given: Mapping[str, str]
) -> StillOpen | None:
    """What is missing before this job can be written down: the fork, else the first thing in its
    steps.
    """
    writeup = texts.parse_once(revision.text)
    is_whole = all(one.name in variant for one in writeup.variants)
    # A fork that the write-up rules out has no steps, and would be done at once.
    if not is_whole or any(agrees(never.conditions, variant) for never in writeup.never):
        says = gettext("Choose which fork or shock it is, then work through its steps.")
        return StillOpen("", writeup.title, "", says)
    found = (find_open(step, given) for step in steps_for(writeup, variant))
    return next((one for one in found if one), None)


def values_for_job(
    revision: Revision, variant: Mapping[str, str], given: Mapping[str, str]
) -> list[dict[str, str]]:
    """What was measured, for the job, in the order of its steps: step, name, what was asked and the
    value; for one outside its range also that it was measured so, and why it stays.
    """
    steps = steps_for(texts.parse_once(revision.text), variant)
    return [_for_job(step, typed) for step, typed in _each(steps, given) if typed.value]


def _each(steps: tuple[Step, ...], given: Mapping[str, str]) -> Iterator[tuple[Step, Typed]]:
    return ((step, typed) for step in steps for typed in values_typed(step, given))


def _for_job(step: Step, typed: Typed) -> dict[str, str]:
    said = typed.target.amount.said
    told = {"step": step.id, "name": typed.name, "asked": said, "value": typed.value}
    try:
        is_outside = typed.is_within() is False
    except BadAmount:
        # A value that is not critical is kept as it was typed, whatever it says.
        return told
    # Only then: the entries of most jobs stay as short as before.
    return told | {"outside": "measured so", "reason": typed.reason} if is_outside else told


def say_outside(values: Iterable[Mapping[str, str]]) -> str:
    """What of a job's values lies outside its range, with the reasons, in words; empty for none."""
    return "; ".join(
        gettext("{name} {value}, outside {asked}: {reason}").format(**value)
        for value in values
        if value.get("outside")
    )


def values_said(values: Iterable[Mapping[str, str]]) -> tuple[str, ...]:
    """Each value of a job, in words."""
    return tuple(
        (
            gettext("{name} {value}, asked {asked}. Outside: {reason}")
            if value.get("outside")
            else gettext("{name} {value}, asked {asked}")
        ).format(**value)
        for value in values
    )
