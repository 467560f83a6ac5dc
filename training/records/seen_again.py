"""What did an observer see, line by line, and what is put before a senior who signs that it was
shown again?
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from procedures.writeup.check_sheet import UNAIDED
from training.models import Observation, User
from training.records.sheets import digest_of

MEANING = (
    "I have shown {person} again each step that was not right, and then seen {person} do it right."
)


@dataclass(frozen=True, slots=True)
class ValueKept:
    """One value as it was written down; `is_within` is None where there was no range to hold it
    against.
    """

    wanted: str
    measured: str
    is_within: bool | None


@dataclass(frozen=True, slots=True)
class LineKept:
    """One line of a check sheet as it was written down."""

    step: str
    title: str
    critical: bool
    seen: str
    values: tuple[ValueKept, ...]
    note: str

    @property
    def is_missed(self) -> bool:
        """Whether this line kept the observation from being right: not right, or a critical one
        that was not unaided.
        """
        # As `is_right` of the check sheet judges it: prompted is enough where nothing is critical.
        return self.seen == "not right" or (self.critical and self.seen != UNAIDED)


@dataclass(frozen=True, slots=True)
class ShownAgainSheet:
    """What the senior sees and signs; the digest is SHA-256 over all of it, in canonical JSON (RFC
    8785).
    """

    lines: tuple[LineKept, ...]
    meaning: str
    digest: str


def lines_of(lines: Sequence[Mapping[str, object]]) -> tuple[LineKept, ...]:
    """The lines of an observation, from the JSON that was written down."""
    return tuple(
        LineKept(
            str(line["step"]),
            str(line["title"]),
            bool(line["critical"]),
            str(line["seen"]),
            tuple(_value(value) for value in _list(line.get("values"))),
            # `get`: a line holds a note only where there is one.
            str(line.get("note", "")),
        )
        for line in lines
    )


def missed_lines(observation: Observation) -> tuple[LineKept, ...]:
    """The lines that kept this observation from being right."""
    return tuple(line for line in lines_of(observation.lines) if line.is_missed)


def shown_again_sheet(observation: Observation, *, signer: User, on: date) -> ShownAgainSheet:
    """The sheet for one statement on an observation that was not right."""
    lines = missed_lines(observation)
    meaning = MEANING.format(person=observation.person.name)
    digest = digest_of(
        observation=observation.pk,
        person=observation.person.login,
        level=observation.level.name,
        signer=signer.login,
        name=signer.name,
        on=on,
        steps=[line.step for line in lines],
        # Ids and titles: the id is what is signed, the title what was read.
        titles=[line.title for line in lines],
        meaning=meaning,
    )
    return ShownAgainSheet(lines, meaning, digest)


def _list(values: object) -> Sequence[Mapping[str, object]]:
    return values if isinstance(values, list) else ()


def _value(value: Mapping[str, object]) -> ValueKept:
    within = value.get("within")
    return ValueKept(
        str(value["wanted"]), str(value["measured"]), within if isinstance(within, bool) else None
    )
