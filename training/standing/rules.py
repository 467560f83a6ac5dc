"""Does each single rule of a level hold for a person on a day, leaving aside who was entitled to
sign?
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from itertools import product
from typing import Protocol

from training.standing.calendar import days_on, months
from training.standing.evidence import (
    Asks,
    Job,
    LevelRules,
    Limits,
    Observation,
    Passing,
    Person,
    Reading,
    RevisionFact,
    SignOff,
    StandDown,
)
from training.standing.known import Known

Question = frozenset[tuple[str, str]]
"""The options that a question names, as pairs of variant and option."""


def is_here(person: Person | None, day: date) -> bool:
    """Say whether somebody has started and has not left; both days count as here."""
    if person is None:
        return False
    return (person.started is None or person.started <= day) and (
        person.left is None or day <= person.left
    )


def standdowns_in_force(known: Known, person: str, level: str, day: date) -> tuple[StandDown, ...]:
    """Return the stand-downs for a level or for all that began by the day and are not lifted by
    it.
    """
    rows = known.standdowns(person)
    return (
        tuple(row for row in rows if row.level in (None, level) and _in_force(known, row, day))
        if rows
        else ()
    )


def _in_force(known: Known, row: StandDown, day: date) -> bool:
    lifted = known.lifted_on(row)
    return row.first <= day and (lifted is None or lifted > day)


def covers(limits: Limits, question: Question) -> bool:
    """Say whether limits cover a question: for each variant that they limit it names one of the
    options.
    """
    return all(
        any((variant, option) in question for option in options) for variant, options in limits
    )


def questions_covered(limits: Limits) -> tuple[Question, ...]:
    """Return one question for each combination of the options; without limits the one that names
    nothing.
    """
    named = [[(variant, option) for option in options] for variant, options in limits]
    return tuple(frozenset(pairs) for pairs in product(*named))


def is_pass(row: Passing, rules: LevelRules) -> bool:
    """Say whether a sitting reached the percentage with every critical question right."""
    return row.critical_right and row.percent >= rules.pass_percent


def valid_pass(known: Known, person: str, rules: LevelRules, day: date) -> Passing | None:
    """Return the latest pass of the level's quiz that is still valid on the day."""
    passes = (
        row for row in known.passings(person, rules.level) if row.on <= day and is_pass(row, rules)
    )
    latest = max(passes, key=lambda row: (row.on, row.recorded_at), default=None)
    return latest if latest is not None and day <= months(latest.on, rules.valid_months) else None


def has_quiz_done(known: Known, person: str, rules: LevelRules, day: date) -> bool:
    """Say whether the quiz is passed and the pass still valid, or no quiz is asked. This is what
    watched asks.
    """
    return rules.pass_percent == 0 or valid_pass(known, person, rules, day) is not None


def latest_sitting(known: Known, person: str, rules: LevelRules, day: date) -> Passing | None:
    """Return the latest sitting by a day, here or on paper: by its day, then by its instant.

    Of two with one instant (a folder that says none) it is the one that is no pass: the order that
    is safe.
    """
    rows = (row for row in known.passings(person, rules.level) if row.on <= day)
    return max(
        rows, key=lambda row: (row.on, row.recorded_at, not is_pass(row, rules)), default=None
    )


def has_latest_passed(known: Known, person: str, rules: LevelRules, day: date) -> bool:
    """Say whether the latest sitting is a pass that is still valid, or no quiz is asked. This is
    what a sign-off asks.
    """
    latest = latest_sitting(known, person, rules, day)
    return rules.pass_percent == 0 or (
        latest is not None
        and is_pass(latest, rules)
        and day <= months(latest.on, rules.valid_months)
    )


def unread_revisions(
    known: Known, person: str, rules: LevelRules, day: date
) -> tuple[RevisionFact, ...]:
    """Return the current revision of each write-up of the level that the person has not read by the
    day.

    Current is the highest number released by the day; a write-up with none has nothing to be read.
    """
    return tuple(
        current
        for current in current_revisions(known, rules, day)
        if not any(
            r.revision == current.number and r.on <= day
            for r in known.readings(person, current.writeup)
        )
    )


def current_revisions(known: Known, rules: LevelRules, day: date) -> list[RevisionFact]:
    """Return the current revision of each write-up of the level that has one."""
    released = (
        [row for row in known.revisions(name) if row.released <= day] for name in rules.writeups
    )
    return [max(rows, key=lambda row: row.number) for rows in released if rows]


def is_practice_asked(rules: LevelRules, day: date) -> bool:
    """Say whether a level asks for practice on a day: not in the first months after the shop began
    to write jobs down.
    """
    if rules.practice_jobs == 0 or rules.practice_months == 0:
        return False
    return rules.practice_from is None or day > last_day_unasked(rules, rules.practice_from)


def last_day_unasked(rules: LevelRules, practice_from: date) -> date:
    """Return the last day on which practice is not asked yet."""
    return months(practice_from, rules.practice_months)


def window_start(rules: LevelRules, day: date) -> date:
    """Return the first day of the window in which a level asks for practice."""
    return months(day, -rules.practice_months)


@dataclass(frozen=True, slots=True)
class Proof:
    """What a person has shown, by a day, about one revision released after the sign-off; None is
    what is missing.
    """

    revision: RevisionFact
    reading: Reading | None
    passing: Passing | None
    observation: Observation | None
    asks_answer: bool
    asks_showing: bool

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


_ASK_ANSWER: tuple[Asks, ...] = ("answer again", "show again")


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
        if day > days_on(revision.released, rules.grace_days):
            proof = _proof(known, signoff.person, rules, revision, day)
            if proof.missing():
                yield proof


def _asked_since(
    known: Known, rules: LevelRules, signoff: SignOff, day: date
) -> Iterator[RevisionFact]:
    for writeup in rules.writeups:
        for revision in known.revisions(writeup):
            if (
                revision.released <= day
                and revision.asks != "nothing"
                and not _is_after(known, signoff, revision)
            ):
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
    both_then = at is not None and known.day_of(at) == entry.on == known.day_of(entry.recorded_at)
    return both_then and at is not None and entry.recorded_at > at


def _proof(
    known: Known, person: str, rules: LevelRules, revision: RevisionFact, day: date
) -> Proof:
    """Return what is shown of one revision. Sittings and observations are looked for only where
    they are asked.
    """
    asks_answer = revision.asks in _ASK_ANSWER and rules.pass_percent > 0
    asks_showing = revision.asks == "show again"
    readings = (
        r
        for r in known.readings(person, revision.writeup)
        if r.revision >= revision.number and r.on <= day
    )
    return Proof(
        revision=revision,
        reading=next(readings, None),
        passing=_passed_again(known, person, rules, revision, day) if asks_answer else None,
        observation=_seen_again(known, person, rules, revision, day) if asks_showing else None,
        asks_answer=asks_answer,
        asks_showing=asks_showing,
    )


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
        if row.on <= day and _is_seen_right(row)
    )
    return next(
        (
            row
            for row in rows
            if row.writeup in ("", revision.writeup) and _is_after(known, row, revision)
        ),
        None,
    )


def _is_seen_right(row: Observation) -> bool:
    return row.right and row.observer != row.person


def counts_for(row: Observation, level: str) -> bool:
    """Say whether an observation counts before a sign-off for a level: its write-up names the
    level, or none was named.
    """
    return not row.writeup or row.named_level == level


@dataclass(frozen=True, slots=True)
class Shown:
    """What somebody has shown at a level before a first sign-off: watched jobs and observations
    done right.
    """

    watched: tuple[Job, ...]
    options_lacking: tuple[tuple[str, str], ...]
    seen_right: tuple[Observation, ...]

    @property
    def observers(self) -> frozenset[str]:
        """Return who saw it done right."""
        return frozenset(row.observer for row in self.seen_right)

    def enough_jobs(self, rules: LevelRules) -> bool:
        """Say whether the watched jobs are enough, in all and with each option."""
        return len(self.watched) >= rules.watched_jobs and not self.options_lacking

    def enough_observations(self, rules: LevelRules) -> bool:
        """Say whether the observations are enough, and by enough different observers."""
        return len(self.seen_right) >= rules.observations and len(self.observers) >= rules.observers


def shown(known: Known, person: str, rules: LevelRules, day: date, options: Limits) -> Shown:
    """Return what is shown by the day; `options` are those with each of which a watched job may be
    asked.
    """
    jobs = known.jobs(person, rules.level)
    watched = tuple(
        row for row in jobs if row.on <= day and row.watched_by not in (None, "", person)
    )
    done = {pair for row in watched for pair in row.variant}
    asked = [(variant, option) for variant, its_options in options for option in its_options]
    return Shown(
        watched=watched,
        options_lacking=tuple(pair for pair in asked if pair not in done)
        if rules.watched_per_option
        else (),
        seen_right=tuple(
            row
            for row in known.observations(person, rules.level)
            if row.on <= day and _is_seen_right(row) and counts_for(row, rules.level)
        ),
    )
