"""What is wrong that needs no run: options, cautions, and what the write-up follows?"""

from collections.abc import Iterator, Mapping, Sequence

from procedures.rehearsal.cases import NONE
from procedures.rehearsal.findings import ADVICE, ERROR, Finding
from procedures.rehearsal.plan import Plan
from procedures.rehearsal.run import fit_into_sentence
from procedures.rehearsal.variants import Choices
from procedures.writeup.demands import is_said
from procedures.writeup.model import Condition, WriteUp
from procedures.writeup.names import make_plain
from procedures.writeup.parse import ALARMS
from procedures.writeup.remarks import remark

# Whoever never meets the step is not warned too late by it; unreadable text is told anyway.
SILENT_WHERE_NOT_REACHED = ("caution-after-action",)


def find_reading_faults(
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
                fault.remark,
                choices.written(where),
            )


def find_wrong_options(
    writeup: WriteUp, choices: Choices, reach: Mapping[str, int]
) -> Iterator[Finding]:
    """Options that the header does not have, steps that no fork reaches, variants that nothing asks
    for.
    """
    header = {
        make_plain(variant.name): frozenset(map(make_plain, variant.options))
        for variant in writeup.variants
    }
    for never in writeup.never:
        for about, line in _unknown(never.conditions, header):
            yield _unknown_option(None, about, line)
    for step in writeup.steps:
        unknown = list(_unknown(step.only_if, header))
        for about, line in unknown:
            yield _unknown_option(step.id, about, line, choices.written(reach[step.id]))
        # An unknown option never holds, and so explains by itself why no fork gets there.
        if not unknown and reach[step.id] == NONE:
            line = step.only_if[0].line if step.only_if else step.line
            yield Finding(
                "step-never-applies", ERROR, step.id, step.id, line, remark("step-never-applies")
            )
    asked = {make_plain(condition.variant) for step in writeup.steps for condition in step.only_if}
    for variant in writeup.variants:
        if make_plain(variant.name) not in asked:
            said = remark("variant-changes-nothing", about=variant.name)
            yield Finding("variant-changes-nothing", ADVICE, None, variant.name, variant.line, said)


def _unknown(
    conditions: Sequence[Condition], header: Mapping[str, frozenset[str]]
) -> Iterator[tuple[str, int]]:
    """The variants and options of these conditions that the header does not have, as written, with
    their lines.
    """
    for condition in conditions:
        options = header.get(make_plain(condition.variant))
        if options is None:
            yield condition.variant, condition.line
        else:
            yield from (
                (option, condition.line)
                for option in condition.options
                if make_plain(option) not in options
            )


def find_missing_cautions(
    writeup: WriteUp, choices: Choices, reach: Mapping[str, int]
) -> Iterator[Finding]:
    """Steps that open a source of danger without a DANGER or WARNING."""
    for step in writeup.steps:
        if reach[step.id] == NONE or any(caution.word in ALARMS for caution in step.cautions):
            continue
        for source, line in zip(step.opens, step.lines_of("opens"), strict=True):
            said, where = remark("opens-without-caution", about=source), reach[step.id]
            yield Finding(
                "opens-without-caution", ERROR, step.id, source, line, said, choices.written(where)
            )


def find_unmet_demands(
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
                or make_plain(demand.names) in missed
                or is_said(demand, step.cautions)
            ):
                continue
            missed.add(make_plain(demand.names))
            said = remark(
                "demand-no-caution",
                about=demand.names,
                word=demand.caution.upper(),
                because=fit_into_sentence(demand.because),
            )
            yield Finding(
                "demand-no-caution",
                ERROR,
                step.id,
                demand.names,
                line,
                said,
                choices.written(reach[step.id]),
            )
    for given in plan.contradicting:
        said = remark("given-excluded", about=given.name)
        yield Finding("bad-header", ERROR, None, given.name, given.line, said)


def find_misfits_before(
    writeup: WriteUp, plan: Plan, others: Mapping[str, WriteUp]
) -> Iterator[Finding]:
    """Where the write-up that this one follows is missing or does not end as this one starts."""
    if not writeup.follows:
        return
    (line,) = writeup.lines_of("follows")
    before = {make_plain(name): other for name, other in others.items()}.get(
        make_plain(writeup.follows)
    )
    if before is None:
        said = remark("follows-not-there", about=writeup.follows)
        yield Finding("follows-not-met", ERROR, None, writeup.follows, line, said)
        return
    key = plan.meanings.key
    # By what its header promises; that it keeps the promise is rehearsed with itself.
    left = {key(name) for name in before.leaves}
    left_off = {key(name): name for name in before.leaves_off}
    wrong = [given.name for fact, given in plan.given.items() if fact not in left]
    wrong += [off.name for part, off in plan.off.items() if part not in left_off]
    wrong += [name for part, name in left_off.items() if part not in plan.off]
    for about in wrong:
        said = remark("follows-not-met", about=about, name=writeup.follows)
        yield Finding("follows-not-met", ERROR, None, about, line, said)


def _unknown_option(
    step: str | None, about: str, line: int, variant: Mapping[str, str] | None = None
) -> Finding:
    said = remark("unknown-option", about=about)
    return Finding("unknown-option", ERROR, step, about, line, said, variant or {})
