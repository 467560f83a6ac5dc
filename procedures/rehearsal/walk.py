"""Is a write-up safe and complete for every fork, and where not?"""

from collections.abc import Iterable, Iterator, Mapping

from procedures.rehearsal import texts
from procedures.rehearsal.cases import TooManyCases
from procedures.rehearsal.findings import ERROR, Finding, sort_findings
from procedures.rehearsal.plan import Plan
from procedures.rehearsal.run import Run, Seen, remark_of
from procedures.rehearsal.variants import Choices
from procedures.writeup.model import WriteUp
from procedures.writeup.names import make_plain
from procedures.writeup.remarks import remark
from procedures.writeup.rules import ShopRules

# Their `about` is a name, which compares without regard to case and white space; that of the others
# compares exactly.
_NAMES_COMPARE = (
    "unknown-option",
    "variant-changes-nothing",
    "opens-without-caution",
    "demand-no-caution",
    "follows-not-met",
)


def rehearse(
    writeup: WriteUp, rules: ShopRules, *, others: Mapping[str, WriteUp] | None = None
) -> tuple[Finding, ...]:
    """Every finding of a dry run in every combination of options, by line, code and what it is
    about.

    `others` are the write-ups at hand, by the name under which `follows` knows them. Never raises:
    when the options meet in too many ways, the one finding about that stands beside what the reader
    of the text found.
    """
    try:
        return sort_findings(_once(_all(writeup, rules, others or {})))
    except TooManyCases:
        line = min((variant.line for variant in writeup.variants), default=1)
        # Without a variant each: which combinations show it is what could not be worked out.
        told = [
            Finding(fault.code, fault.level, fault.step, fault.about, fault.line, fault.remark)
            for fault in writeup.faults
        ]
        too_many = remark("too-many-cases")
        return sort_findings(
            _once([*told, Finding("bad-header", ERROR, None, "variants", line, too_many)])
        )


def _all(writeup: WriteUp, rules: ShopRules, others: Mapping[str, WriteUp]) -> Iterator[Finding]:
    choices = Choices(writeup)
    plan = Plan(writeup, rules)
    reach = [
        choices.cases.both(choices.meeting(step.only_if), choices.there_are)
        for step in writeup.steps
    ]
    reached = {step.id: where for step, where in zip(writeup.steps, reach, strict=True)}
    yield from texts.find_reading_faults(writeup, choices, reached)
    yield from texts.find_wrong_options(writeup, choices, reached)
    yield from texts.find_missing_cautions(writeup, choices, reached)
    yield from texts.find_unmet_demands(writeup, plan, choices, reached)
    yield from texts.find_misfits_before(writeup, plan, others)
    run = Run(plan, choices.cases, reach, choices.there_are)
    state = run.start()
    seen = [found for index in range(len(writeup.steps)) for found in run.step(state, index)]
    for first, where in _gathered([*seen, *run.end(state)], choices):
        said = remark_of(first)
        yield Finding(
            first.code, ERROR, first.step, first.about, first.line, said, choices.written(where)
        )


def _gathered(seen: Iterable[Seen], choices: Choices) -> Iterable[tuple[Seen, int]]:
    """One for each code, step and what it is about (for a fact that is never made: one for the
    fact), with all combinations.
    """
    found: dict[tuple[str, str | None, str], tuple[Seen, int]] = {}
    for each in seen:
        key = (each.code, None if each.code == "never-made" else each.step, each.key)
        first, where = found.get(key, (each, each.cases))
        found[key] = (first, choices.cases.either(where, each.cases))
    return found.values()


def _once(findings: Iterable[Finding]) -> Iterable[Finding]:
    """One finding for each code, step and what it is about: the one that stands first."""
    first: dict[tuple[str, str | None, str], Finding] = {}
    for finding in sorted(findings, key=lambda found: found.line):
        about = make_plain(finding.about) if finding.code in _NAMES_COMPARE else finding.about
        first.setdefault((finding.code, finding.step, about), finding)
    return first.values()
