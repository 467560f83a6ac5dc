"""What has a person shown of each revision that was released after a sign-off?"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from typing import NamedTuple, Protocol

from training.standing.calendar import add_days
from training.standing.evidence import (
    AsksWord,
    LevelRules,
    Observation,
    Passing,
    Reading,
    RevisionFact,
    SignOff,
)
from training.standing.known import Known
from training.standing.rules.observations import is_seen_right
from training.standing.rules.quiz import is_pass


class Proof(NamedTuple):
    """What a person has shown, by a day, about one revision released after the sign-off; None is
    what is missing.
    """

    revision: RevisionFact
    reading: Reading | None
    passing: Passing | None
    observation: Observation | None
    asks_answer: bool
    asks_showing: bool

    @property
    def is_whole(self) -> bool:
        """Say whether nothing is missing."""
        return (
            self.reading is not None
            and not (self.asks_answer and self.passing is None)
            and not (self.asks_showing and self.observation is None)
        )

    # Made only when told: nearly all looks ask `is_whole` alone.
    def missing(self) -> tuple[str, ...]:
        """Return the code of each thing asked and not shown, in the order of the rules."""
        codes = []
        if self.reading is None:
            codes.append("change-not-read")
        if self.asks_answer and self.passing is None:
            codes.append("change-not-answered")
        if self.asks_showing and self.observation is None:
            codes.append("change-not-shown")
        return tuple(codes)


# Rule 6 (README.md): whoever has to show a change has to answer it too.
_ASK_ANSWER: tuple[AsksWord, ...] = ("answer again", "show again")


def changes_since(known: Known, signoff: SignOff, rules: LevelRules, day: date) -> Iterator[Proof]:
    """Give what is shown of each revision that asks for something, released after the sign-off and
    by the day.
    """
    for revision in _asked_since(known, rules, signoff, day):
        yield _proof(known, signoff.person, rules, revision, day)


def changes_overdue(
    known: Known, signoff: SignOff, rules: LevelRules, day: date
) -> Iterator[Proof]:
    """Give the changes with something missing whose days of grace are over."""
    for revision in _asked_since(known, rules, signoff, day):
        # On the last day of grace nothing is missing yet.
        if day > add_days(revision.released, rules.grace_days):
            proof = _proof(known, signoff.person, rules, revision, day)
            if not proof.is_whole:
                yield proof


def _asked_since(
    known: Known, rules: LevelRules, signoff: SignOff, day: date
) -> Iterator[RevisionFact]:
    for revision in known.asking_revisions(rules):
        # In doubt the release counts as after the sign-off, so that it asks; a later day has not
        # come yet.
        if revision.released <= day and not _is_after(known, signoff, revision):
            yield revision


class _Dated(Protocol):
    @property
    def on(self) -> date: ...
    @property
    def recorded_at(self) -> datetime: ...


def _is_after(known: Known, entry: _Dated, revision: RevisionFact) -> bool:
    """Say whether an entry is sure to come after a release: on a later day, or on its day by their
    instants.

    The instants of release and entry order them only where both lie on that day. In doubt the entry
    does not come after: a sign-off then has the release still before it, and a pass or an
    observation answers nothing.
    """
    if entry.on != revision.released:
        return entry.on > revision.released
    at = revision.released_at
    # An entry written down days later carries an instant that says nothing of the order of its own
    # day.
    both_then = at is not None and known.day_of(at) == entry.on == known.day_of(entry.recorded_at)
    return both_then and at is not None and entry.recorded_at > at


def _proof(
    known: Known, person: str, rules: LevelRules, revision: RevisionFact, day: date
) -> Proof:
    """Return what is shown of one revision. Sittings and observations are looked for only where
    they are asked.
    """
    # A level without a quiz has nothing to answer.
    asks_answer = revision.asks in _ASK_ANSWER and rules.pass_percent > 0
    asks_showing = revision.asks == "show again"
    return Proof(
        revision,
        # No order is asked of a reading: nobody can have read a revision before there was one.
        _read(known, person, revision, day),
        _passed_again(known, person, rules, revision, day) if asks_answer else None,
        _seen_again(known, person, rules, revision, day) if asks_showing else None,
        asks_answer,
        asks_showing,
    )


def _read(known: Known, person: str, revision: RevisionFact, day: date) -> Reading | None:
    """Return the first reading of a revision or of a later one."""
    for row in known.readings(person, revision.writeup):
        # Or of a later revision: its text holds the change as well.
        if row.revision >= revision.number and row.on <= day:
            return row
    return None


def _passed_again(
    known: Known, person: str, rules: LevelRules, revision: RevisionFact, day: date
) -> Passing | None:
    rows = (
        row for row in known.passings(person, rules.level) if row.on <= day and is_pass(row, rules)
    )
    return next((row for row in rows if _is_after(known, row, revision)), None)


def _seen_again(
    known: Known, person: str, rules: LevelRules, revision: RevisionFact, day: date
) -> Observation | None:
    """Return the first observation of the changed write-up (or of one that is not named) done right
    after the release.
    """
    rows = (
        row
        for row in known.observations(person, rules.level)
        if row.on <= day and is_seen_right(row)
    )
    return next(
        (
            row
            for row in rows
            # The changed write-up itself, whatever level its header names: the change is seen
            # nowhere else.
            if row.writeup in ("", revision.writeup) and _is_after(known, row, revision)
        ),
        None,
    )
