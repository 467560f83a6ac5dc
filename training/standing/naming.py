"""By which name does an entry stand among what a reason is about, or a rule rests on?

A name is a code with arguments: who it is about is known beside it, so that it says only what kind
of entry it is, of which day, and by whom.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from training.standing.evidence import (
    Appointment,
    Job,
    Observation,
    Passing,
    Reading,
    RevisionFact,
    SignOff,
    StandDown,
)
from training.standing.known import Known
from training.standing.results import EntryName, Support

NamedEntry = (
    Appointment | Reading | Passing | Job | Observation | SignOff | StandDown | RevisionFact
)


def name_entry(known: Known, row: NamedEntry) -> EntryName:
    """Return the name of one entry, or of a revision."""
    return _NAMES[type(row)](known, row)


def name_entries(known: Known, rows: Iterable[NamedEntry]) -> tuple[EntryName, ...]:
    """Return the names of entries, each once."""
    return tuple(dict.fromkeys(name_entry(known, row) for row in rows))


# Once each: one entry can answer two changes, and is still one entry.
def supports(
    known: Known, rows: Iterable[Reading | Passing | Job | Observation | SignOff]
) -> tuple[Support, ...]:
    """Return the entries as what a rule rests on, each once."""
    return tuple(dict.fromkeys(Support(name_entry(known, row), row.on) for row in rows))


def _reading(known: Known, row: Reading) -> EntryName:
    args = (("title", known.title(row.writeup)), ("number", row.revision), ("day", row.on))
    return EntryName("reading", args)


def _passing(known: Known, row: Passing) -> EntryName:
    args = (("day", row.on), ("percent", row.percent))
    return EntryName("paper-pass" if row.on_paper else "sitting", args)


def _job(known: Known, row: Job) -> EntryName:
    return EntryName("job", (("day", row.on), ("late", row.late)))


def _observation(known: Known, row: Observation) -> EntryName:
    return EntryName("observation", (("name", known.name(row.observer)), ("day", row.on)))


def _sign_off(known: Known, row: SignOff) -> EntryName:
    args = (("day", row.on), ("name", known.name(row.signer)))
    if not row.founding:
        return EntryName("sign-off", args)
    # Told wherever it is shown: an owner's word on their own work must not look like a senior's.
    return EntryName("founding-own" if row.signer == row.person else "founding", args)


def _stand_down(known: Known, row: StandDown) -> EntryName:
    return EntryName("stand-down", (("day", row.first), ("name", known.name(row.by))))


def _appointment(known: Known, row: Appointment) -> EntryName:
    return EntryName("appointment", (("name", known.name(row.by)), ("day", row.first)))


def _revision(known: Known, row: RevisionFact) -> EntryName:
    return EntryName("revision", (("title", known.title(row.writeup)), ("number", row.number)))


_NAMES: dict[type, Callable[[Known, Any], EntryName]] = {
    Reading: _reading,
    Passing: _passing,
    Job: _job,
    Observation: _observation,
    SignOff: _sign_off,
    StandDown: _stand_down,
    Appointment: _appointment,
    RevisionFact: _revision,
}
