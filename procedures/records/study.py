"""What of a write-up is shown for one fork, and in which order?"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from django.utils.safestring import SafeString
from django.utils.translation import gettext

from procedures.records.library import render_markdown
from procedures.records.wording.pieces import join_or
from procedures.rehearsal.variants import agrees
from procedures.writeup.drawings import Picture
from procedures.writeup.model import Caution, Condition, Step, Target, WriteUp
from procedures.writeup.render import say_amounts

GRAVE_WORDS = ("danger", "warning")
SIGNAL_WORDS = ("danger", "warning", "caution", "notice")


@dataclass(frozen=True, slots=True)
class OptionShown:
    name: str
    is_chosen: bool


@dataclass(frozen=True, slots=True)
class VariantShown:
    """One question about the fork, with its possible answers."""

    name: str
    options: tuple[OptionShown, ...]


@dataclass(frozen=True, slots=True)
class CautionShown:
    """A safety message; `html` is what stands in it beside its three lines."""

    word: str
    title: str
    hazard: str
    harm: str
    avoid: str
    html: SafeString


@dataclass(frozen=True, slots=True)
class StepShown:
    """A step as a page shows it. `id` is the anchor on the page, `key` the id in the text; `struck`
    when not for this fork.

    `number` counts the steps for this fork without a gap; it is empty for one that is struck.
    """

    id: str
    key: str
    number: str
    title: str
    critical: str
    hold: bool
    struck: bool
    cautions: tuple[CautionShown, ...]
    html: SafeString
    fields: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class PhaseShown:
    title: str
    cautions: tuple[CautionShown, ...]
    html: SafeString
    steps: tuple[StepShown, ...]


@dataclass(frozen=True, slots=True)
class AroundShown:
    """What stands around the steps of a write-up."""

    title: str
    fields: tuple[tuple[str, str], ...]
    cautions: tuple[CautionShown, ...]
    html: SafeString
    phases: tuple[PhaseShown, ...]


@dataclass(frozen=True, slots=True)
class Study:
    """A write-up for one fork. While `is_asking`, options are still to be chosen and no phase is
    shown; `problem` says why.
    """

    title: str
    number: int
    released_on: date | None
    level: str
    interval: str
    variants: tuple[VariantShown, ...]
    chosen: tuple[tuple[str, str], ...]
    is_asking: bool
    problem: str
    show_all: bool
    cautions: tuple[CautionShown, ...]
    html: SafeString
    phases: tuple[PhaseShown, ...]
    left_out: int
    follows: str

    @property
    def first_warning(self) -> tuple[str, CautionShown] | None:
        """The first message of DANGER or WARNING, with the number of the step that it stands
        before, empty for one that stands before all phases. On paper it stands on the first page
        as well.
        """
        for number, caution in self._all_cautions():
            if caution.word.lower() in GRAVE_WORDS:
                return number, caution
        return None

    def _all_cautions(self) -> Iterator[tuple[str, CautionShown]]:
        yield from (("", caution) for caution in self.cautions)
        for phase in self.phases:
            first = next((step.number for step in phase.steps if not step.struck), "")
            yield from ((first, caution) for caution in phase.cautions)
            for step in phase.steps:
                if not step.struck:
                    yield from ((step.number, caution) for caution in step.cautions)


def study_for(
    writeup: WriteUp,
    chosen: Mapping[str, str],
    *,
    show_all: bool,
    title: str,
    number: int,
    released_on: date | None,
    pictures: Mapping[str, Picture] = MappingProxyType({}),
    levels: Mapping[str, str] = MappingProxyType({}),
) -> Study:
    """The write-up for the fork with these options; with `show_all` the steps for other forks too,
    struck through.

    `pictures` holds the drawings that it may show, `levels` the titles of service levels, both by
    name.
    """
    combination = known_options(writeup, chosen)
    problem = _problem(writeup, combination)
    is_asking = bool(problem) or len(combination) < len(writeup.variants)
    return Study(
        title=writeup.title or title,
        number=number,
        released_on=released_on,
        level=levels.get(writeup.level, writeup.level),
        interval=writeup.interval,
        variants=tuple(
            VariantShown(
                variant.name,
                tuple(
                    OptionShown(option, combination.get(variant.name) == option)
                    for option in variant.options
                ),
            )
            for variant in writeup.variants
        ),
        chosen=tuple(combination.items()),
        is_asking=is_asking,
        problem=problem,
        show_all=show_all,
        cautions=_cautions(writeup.cautions, pictures),
        html=render_markdown(writeup.intro, uid="intro", given=pictures),
        phases=()
        if is_asking
        else tuple(_phases(writeup, combination, pictures, show_all=show_all)),
        left_out=0
        if is_asking
        else sum(1 for step in writeup.steps if not agrees(step.only_if, combination)),
        follows=writeup.follows,
    )


def known_options(writeup: WriteUp, chosen: Mapping[str, str]) -> dict[str, str]:
    """Of what was chosen, the options that the write-up's header has, by variant."""
    return {
        variant.name: chosen[variant.name]
        for variant in writeup.variants
        if chosen.get(variant.name) in variant.options
    }


def _problem(writeup: WriteUp, combination: Mapping[str, str]) -> str:
    complete = len(combination) == len(writeup.variants)
    if complete and any(agrees(never.conditions, combination) for never in writeup.never):
        return gettext("No fork or shock has these options together. Choose again.")
    return ""


def _phases(
    writeup: WriteUp,
    combination: Mapping[str, str],
    pictures: Mapping[str, Picture],
    *,
    show_all: bool,
) -> Iterator[PhaseShown]:
    """The phases that have something to show; a step before the first phase stands in one without a
    title.
    """
    here = [step for step in writeup.steps if agrees(step.only_if, combination)]
    numbers = {step.id: str(number) for number, step in enumerate(here, start=1)}
    # Beyond every line: the last phase goes on to the end of the text.
    ends = [phase.line for phase in writeup.phases] + [10**9]
    before = [step for step in writeup.steps if step.line < ends[0]]
    if before:
        yield PhaseShown(
            "", (), SafeString(""), _steps(before, numbers, pictures, show_all=show_all)
        )
    for phase, end in zip(writeup.phases, ends[1:], strict=True):
        steps = [step for step in writeup.steps if phase.line < step.line < end]
        kept = _steps(steps, numbers, pictures, show_all=show_all)
        if kept or phase.body or phase.cautions:
            html = render_markdown(phase.body, uid=f"line-{phase.line}", given=pictures)
            yield PhaseShown(phase.title, _cautions(phase.cautions, pictures), html, kept)


def _steps(
    steps: Iterable[Step],
    numbers: Mapping[str, str],
    pictures: Mapping[str, Picture],
    *,
    show_all: bool,
) -> tuple[StepShown, ...]:
    """The steps that have a number, which are those for this fork; with `show_all` the others
    too.
    """
    return tuple(
        show_step(step, numbers.get(step.id, ""), pictures)
        for step in steps
        if show_all or step.id in numbers
    )


def show_step(
    step: Step, number: str, pictures: Mapping[str, Picture], *, uid: str = ""
) -> StepShown:
    """One step by itself; `uid` stands before the ids of its drawings, for a page that has it
    twice.
    """
    return StepShown(
        id=f"step-{step.id}",
        key=step.id,
        number=number,
        title=step.title,
        critical=step.critical,
        hold=step.hold,
        struck=not number,
        cautions=_cautions(step.cautions, pictures, uid),
        html=render_markdown(step.body, uid=f"{uid}line-{step.line}", given=pictures),
        fields=tuple(_fields(step)),
    )


def show_around(writeup: WriteUp, pictures: Mapping[str, Picture], *, uid: str = "") -> AroundShown:
    """What stands around the steps: the header in words, the introduction and the phases."""
    return AroundShown(
        title=writeup.title,
        fields=tuple(_header_fields(writeup)),
        cautions=_cautions(writeup.cautions, pictures, uid),
        html=render_markdown(writeup.intro, uid=f"{uid}intro", given=pictures),
        phases=tuple(
            PhaseShown(
                phase.title,
                _cautions(phase.cautions, pictures, uid),
                render_markdown(phase.body, uid=f"{uid}line-{phase.line}", given=pictures),
                (),
            )
            for phase in writeup.phases
        ),
    )


def _header_fields(writeup: WriteUp) -> Iterator[tuple[str, str]]:
    if writeup.interval:
        yield "every", writeup.interval
    for variant in writeup.variants:
        yield variant.name, ", ".join(variant.options)
    for never in writeup.never:
        yield "never together", ", ".join(map(_condition, never.conditions))
    yield from _each("true at the start", writeup.given)
    yield from _each("true at the end", writeup.leaves)
    yield from _each("off at the start", writeup.off)
    yield from _each("off at the end", writeup.leaves_off)
    if writeup.follows:
        yield "follows", writeup.follows


def _fields(step: Step) -> Iterator[tuple[str, str]]:
    """What stands in the margin of a step, in the order in which a mechanic asks for it."""
    yield from (("only for", _condition(condition)) for condition in step.only_if)
    yield from _each("needs", step.needs)
    yield from _each("now true", step.makes)
    yield from _each("no longer true", step.ends)
    yield from _each("opens", step.opens)
    yield from _each("tool", step.tools)
    for used in step.uses:
        yield "uses", f"{used.name} {used.amount.said}" if used.amount else used.name
    yield from _each("torque", map(_target, step.torques))
    yield from _each("measure", map(_target, step.measures))
    for check in step.checks:
        yield "check", check.look
        if check.otherwise:
            yield "if not", check.otherwise
    yield from _each("off", step.takes_off)
    yield from _each("on", step.fits)
    yield from _each("scrap", step.scraps)
    yield from _each("new", step.fits_new)


def _each(label: str, values: Iterable[str]) -> Iterator[tuple[str, str]]:
    return ((label, value) for value in values)


def _condition(condition: Condition) -> str:
    return f"{condition.variant} {join_or(condition.options)}"


def _target(target: Target) -> str:
    return f"{target.name} {target.amount.said}".strip()


def _cautions(
    cautions: Iterable[Caution], pictures: Mapping[str, Picture], uid: str = ""
) -> tuple[CautionShown, ...]:
    """The gravest first (ANSI Z535.6 and MIL-STD-38784: warnings precede cautions, cautions precede
    notices).
    """
    return tuple(
        CautionShown(
            one.word,
            say_amounts(one.title),
            say_amounts(one.hazard),
            say_amounts(one.harm),
            say_amounts(one.avoid),
            render_markdown(one.text, uid=f"{uid}line-{one.line}", given=pictures),
        )
        # The sort is stable: those of one signal word keep the author's order.
        for one in sorted(cautions, key=lambda one: SIGNAL_WORDS.index(one.word))
    )
