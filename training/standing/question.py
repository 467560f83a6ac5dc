"""What is asked: may this person, at this level, on this day, do what names these options?"""

from collections.abc import Iterable, Mapping
from datetime import date
from itertools import product
from typing import NamedTuple

from training.standing.evidence import Limits

OptionsNamed = frozenset[tuple[str, str]]
"""The options that a question names, as pairs of variant and option."""

NOTHING_NAMED: OptionsNamed = frozenset()


class Asked(NamedTuple):
    """One question: may this person, at this level, on this day, do what names these options?

    `as_signer`: the standing is asked because the person signed something on that day.
    """

    person: str
    level: str
    day: date
    question: OptionsNamed
    # Part of the key: on the day of signing the same person may be alone as a mechanic and not as a
    # signer.
    as_signer: bool = False


def as_question(variant: Mapping[str, str]) -> OptionsNamed:
    """Return the question that names these options."""
    return frozenset(variant.items())


def covers(limits: Limits, question: OptionsNamed) -> bool:
    """Say whether limits cover a question: for each variant that they limit it names one of the
    options.
    """
    # Rule 3 (README.md): a question that names no option of a limited variant asks for an
    # unlimited sign-off.
    return all(
        any((variant, option) in question for option in options) for variant, options in limits
    )


def join_options(several: Iterable[Limits]) -> Limits:
    """Return the variants of several write-ups, each with every option that one of them names."""
    found: dict[str, dict[str, None]] = {}
    for variants in several:
        for variant, options in variants:
            found.setdefault(variant, {}).update(dict.fromkeys(options))
    return tuple((variant, tuple(options)) for variant, options in found.items())


def questions_covered(limits: Limits) -> tuple[OptionsNamed, ...]:
    """Return one question for each combination of the options; without limits the one that names
    nothing.
    """
    named = [[(variant, option) for option in options] for variant, options in limits]
    return tuple(frozenset(pairs) for pairs in product(*named))
