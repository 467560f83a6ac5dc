"""What is wrong that needs no run: options, cautions, and what the write-up follows?"""

from collections.abc import Iterator, Mapping, Sequence

from procedures.rehearsal.cases import NONE
from procedures.rehearsal.findings import ADVICE, ERROR, Finding
from procedures.rehearsal.plan import Plan
from procedures.rehearsal.variants import Choices
from procedures.rehearsal.wording import EXCLUDED, NOT_THERE, say
from procedures.writeup.demands import is_said
from procedures.writeup.model import Condition, WriteUp
from procedures.writeup.names import plain
from procedures.writeup.parse import ALARMS

SILENT_WHERE_NOT_REACHED = ("caution-after-action",)


def of_the_reader(
    writeup: WriteUp, choices: Choices, reach: Mapping[str, int]
) -> Iterator[Finding]:
    """What the reader of the text could not read, with the combinations that reach the step it
    stands in.
    """
    for fault in writeup.faults:
        where = reach.get(fault.step, NONE) if fault.step is not None else choices.there_are
        if where != NONE or fault.code not in SILENT_WHERE_NOT_REACHED:
            yield Finding(
                fault.code,
                fault.level,
                fault.step,
                fault.about,
                fault.line,
                fault.message,
                choices.written(where),
            )


def of_options(writeup: WriteUp, choices: Choices, reach: Mapping[str, int]) -> Iterator[Finding]:
    """Options that the header does not have, steps that no fork reaches, variants that nothing asks
    for.
    """
    header = {
        plain(variant.name): frozenset(map(plain, variant.options)) for variant in writeup.variants
    }
    for never in writeup.never:
        for about, line in _unknown(never.conditions, header):
            yield _finding("unknown-option", None, about, line)
    for step in writeup.steps:
        unknown = list(_unknown(step.only_if, header))
        for about, line in unknown:
            yield _finding("unknown-option", step.id, about, line, choices.written(reach[step.id]))
        if not unknown and reach[step.id] == NONE:
            line = step.only_if[0].line if step.only_if else step.line
            yield _finding("step-never-applies", step.id, step.id, line)
    asked = {plain(condition.variant) for step in writeup.steps for condition in step.only_if}
    for variant in writeup.variants:
        if plain(variant.name) not in asked:
            yield _finding(
                "variant-changes-nothing", None, variant.name, variant.line, level=ADVICE
            )


def _unknown(
    conditions: Sequence[Condition], header: Mapping[str, frozenset[str]]
) -> Iterator[tuple[str, int]]:
    """The variants and options of these conditions that the header does not have, as written, with
    their lines.
    """
    for condition in conditions:
        options = header.get(plain(condition.variant))
        if options is None:
            yield condition.variant, condition.line
        else:
            yield from (
                (option, condition.line)
                for option in condition.options
                if plain(option) not in options
            )


def of_cautions(writeup: WriteUp, choices: Choices, reach: Mapping[str, int]) -> Iterator[Finding]:
    """Steps that open a source of danger without a DANGER or WARNING."""
    for step in writeup.steps:
        if reach[step.id] == NONE or any(caution.word in ALARMS for caution in step.cautions):
            continue
        for source, line in zip(step.opens, step.lines_of("opens"), strict=True):
            yield _finding(
                "opens-without-caution", step.id, source, line, choices.written(reach[step.id])
            )


def of_demands(
    writeup: WriteUp, plan: Plan, choices: Choices, reach: Mapping[str, int]
) -> Iterator[Finding]:
    """Steps without a safety message that the shop's rules demand, and facts given that exclude one
    given before them.
    """
    for step, demanded in zip(writeup.steps, plan.demanded, strict=True):
        missed: set[str] = set()
        for demand, line in demanded:
            if (
                reach[step.id] == NONE
                or not demand.names
                or plain(demand.names) in missed
                or is_said(demand, step.cautions)
            ):
                continue
            missed.add(plain(demand.names))
            message = say("demand-no-caution", demand.names, demand.because, demand.caution.upper())
            yield Finding(
                "demand-no-caution",
                ERROR,
                step.id,
                demand.names,
                line,
                message,
                choices.written(reach[step.id]),
            )
    for given in plan.contradicting:
        yield Finding(
            "bad-header", ERROR, None, given.name, given.line, EXCLUDED.format(about=given.name)
        )


def of_what_it_follows(
    writeup: WriteUp, plan: Plan, others: Mapping[str, WriteUp]
) -> Iterator[Finding]:
    """Where the write-up that this one follows is missing or does not end as this one starts."""
    if not writeup.follows:
        return
    (line,) = writeup.lines_of("follows")
    before = {plain(name): other for name, other in others.items()}.get(plain(writeup.follows))
    if before is None:
        yield Finding(
            "follows-not-met",
            ERROR,
            None,
            writeup.follows,
            line,
            NOT_THERE.format(about=writeup.follows),
        )
        return
    key = plan.meanings.key
    left = {key(name) for name in before.leaves}
    left_off = {key(name): name for name in before.leaves_off}
    wrong = [given.name for fact, given in plan.given.items() if fact not in left]
    wrong += [off.name for part, off in plan.off.items() if part not in left_off]
    wrong += [name for part, name in left_off.items() if part not in plan.off]
    for about in wrong:
        yield Finding(
            "follows-not-met",
            ERROR,
            None,
            about,
            line,
            say("follows-not-met", about, writeup.follows),
        )


def _finding(
    code: str,
    step: str | None,
    about: str,
    line: int,
    variant: Mapping[str, str] | None = None,
    *,
    level: str = ERROR,
) -> Finding:
    return Finding(code, level, step, about, line, say(code, about), variant or {})
