"""What is there to compare in a step and in a header: each field as people read it, and what it
means?

`text` is what is shown and compared word by word. `meaning` is the same however it is written:
names as they compare, amounts as numbers with their unit. Two fields with one meaning differ in
their wording at most.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from procedures.writeup.model import (
    Amount,
    Caution,
    Check,
    Condition,
    Phase,
    Step,
    Target,
    Variant,
    WriteUp,
)
from procedures.writeup.names import make_plain

Meaning = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Facet:
    """One field. `kind` says how a change of it is judged (procedures.writeup.asks)."""

    kind: str
    label: str
    text: str
    meaning: Meaning


def list_step_facets(step: Step) -> Iterator[Facet]:
    """The fields of a step that can differ, in the order in which a mechanic asks for them."""
    yield _words("title", "title", step.title)
    yield _words("critical", "critical", step.critical)
    yield _words("body", "text", step.body)
    yield Facet(
        "condition", "only if", "; ".join(map(_condition, step.only_if)), _conditions(step.only_if)
    )
    for label, names in (
        ("needs", step.needs),
        ("makes", step.makes),
        ("ends", step.ends),
        ("opens", step.opens),
        ("takes off", step.takes_off),
        ("scraps", step.scraps),
        ("fits", step.fits),
        ("fits new", step.fits_new),
    ):
        yield _names("names", label, names)
    yield _names("order", "after", step.after)
    # A set: tools lie ready together, in no order.
    yield Facet("tool", "tool", "; ".join(step.tools), (frozenset(map(make_plain, step.tools)),))
    yield Facet(
        "value",
        "uses",
        "; ".join(_used(one.name, one.amount) for one in step.uses),
        tuple((make_plain(one.name), one.amount and _amount(one.amount)) for one in step.uses),
    )
    yield _targets("torque", step.torques)
    yield _targets("measure", step.measures)
    yield Facet(
        "check",
        "check",
        "; ".join(map(_check, step.checks)),
        tuple((make_plain(one.look), make_plain(one.otherwise)) for one in step.checks),
    )
    yield Facet("hold", "hold", "yes" if step.hold else "", (step.hold,))


def list_header_facets(writeup: WriteUp) -> Iterator[Facet]:
    """The header's fields and the introduction, without the cautions in it."""
    yield _words("title", "title", writeup.title)
    # “tool” is the kind that asks for reading again, which is all that the level asks too.
    yield Facet("tool", "level", writeup.level, (make_plain(writeup.level),))
    yield Facet("value", "interval", writeup.interval, (make_plain(writeup.interval),))
    yield Facet(
        "condition",
        "variants",
        "; ".join(map(_variant, writeup.variants)),
        tuple(
            (make_plain(one.name), frozenset(map(make_plain, one.options)))
            for one in writeup.variants
        ),
    )
    never = [one.conditions for one in writeup.never]
    yield Facet(
        "condition",
        "never",
        " / ".join("; ".join(map(_condition, one)) for one in never),
        (frozenset(map(_conditions, never)),),
    )
    for label, names in (
        ("given", writeup.given),
        ("leaves", writeup.leaves),
        ("off", writeup.off),
        ("leaves off", writeup.leaves_off),
    ):
        # A set: at the start and at the end all of it holds at once; in a step the order counts.
        yield Facet("names", label, "; ".join(names), (frozenset(map(make_plain, names)),))
    yield Facet("tool", "follows", writeup.follows, (make_plain(writeup.follows),))
    yield _words("body", "introduction", writeup.intro)


def list_phase_facets(phase: Phase) -> Iterator[Facet]:
    """What stands in a phase before its first step, without its cautions."""
    yield _words("title", "title", phase.title)
    yield _words("body", "text", phase.body)


def list_caution_facets(caution: Caution) -> Iterator[Facet]:
    """A caution in its pieces."""
    yield Facet("signal", "signal word", caution.word.upper(), (caution.word,))
    yield _words("message", "title", caution.title)
    yield _words("message", "hazard", caution.hazard)
    yield _words("message", "harm", caution.harm)
    yield _words("avoid", "how to avoid it", caution.avoid)
    yield _words("message", "text", caution.text)


def _words(kind: str, label: str, text: str) -> Facet:
    return Facet(kind, label, text, ())


def _names(kind: str, label: str, names: Iterable[str]) -> Facet:
    # In their order: inside a step the rehearsal takes one value after the other.
    names = tuple(names)
    return Facet(kind, label, "; ".join(names), tuple(map(make_plain, names)))


def _targets(label: str, targets: tuple[Target, ...]) -> Facet:
    meaning = tuple((make_plain(one.name), _amount(one.amount)) for one in targets)
    return Facet("value", label, "; ".join(_used(one.name, one.amount) for one in targets), meaning)


def _used(name: str, amount: Amount | None) -> str:
    return f"{name} {amount.said}".strip() if amount else name


def _amount(amount: Amount) -> Meaning:
    return (amount.low, amount.value, amount.high, amount.unit)


def _condition(condition: Condition) -> str:
    return f"{condition.variant} = {' | '.join(condition.options)}"


def _conditions(conditions: Iterable[Condition]) -> Meaning:
    return (
        frozenset(
            (make_plain(one.variant), frozenset(map(make_plain, one.options))) for one in conditions
        ),
    )


def _variant(variant: Variant) -> str:
    return f"{variant.name}: {', '.join(variant.options)}"


def _check(check: Check) -> str:
    return f"{check.look} | {check.otherwise}" if check.otherwise else check.look
