"""Which entries count, as known at one moment?

An entry counts when it was recorded by then and no void recorded by then says that it never
counted. Rows come back in the order of their days, later days included: whoever asks about a day
leaves out what comes after it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Protocol, TypeVar
from zoneinfo import ZoneInfo

from training.standing.evidence import (
    Appointment,
    Job,
    LevelRules,
    Observation,
    Passing,
    Person,
    Reading,
    RevisionFact,
    Shop,
    SignOff,
    StandDown,
    Void,
    VoidKind,
)


class _Entry(Protocol):
    @property
    def person(self) -> str: ...
    @property
    def on(self) -> date: ...
    @property
    def recorded_at(self) -> datetime: ...


Entry = TypeVar("Entry", bound=_Entry)
PersonAndThing = tuple[str, str]


class Known:
    """What is on record in a shop at one aware instant."""

    def __init__(self, shop: Shop, at: datetime) -> None:
        self.at = at
        self._zone = ZoneInfo(shop.time_zone)
        self.day = self.day_of(at)
        self.files = shop.files
        self.titles = shop.titles
        self._signoffs: dict[PersonAndThing, tuple[SignOff, ...]] = {}
        self._readings: dict[PersonAndThing, tuple[Reading, ...]] = {}
        self._passings: dict[PersonAndThing, tuple[Passing, ...]] = {}
        self._jobs: dict[PersonAndThing, tuple[Job, ...]] = {}
        self._observations: dict[PersonAndThing, tuple[Observation, ...]] = {}
        self._revisions: dict[str, tuple[RevisionFact, ...]] = {}
        self._current: dict[tuple[int, date], tuple[LevelRules, tuple[RevisionFact, ...]]] = {}
        self._asking_revisions: dict[int, tuple[LevelRules, tuple[RevisionFact, ...]]] = {}
        # Most questions are about now: then no row need be held against the moment.
        self._knows_all = shop.newest is not None and shop.newest <= at

    def day_of(self, instant: datetime) -> date:
        """Return the day of the workshop on which an instant lies."""
        return instant.astimezone(self._zone).date()

    def person(self, login: str) -> Person | None:
        """Return the person as the shop knows them now."""
        # As they are now, whatever the moment: first and last days of people are no entries of
        # their own.
        return self.files.people.get(login)

    def name(self, login: str) -> str:
        """Return the printed name, or the login of somebody who is not among the shop's people."""
        person = self.files.people.get(login)
        return person.name if person else login

    def title(self, writeup: str) -> str:
        """Return a write-up as people call it, or its name where the shop gives no title."""
        return self.titles.get(writeup, writeup)

    def revisions(self, writeup: str) -> tuple[RevisionFact, ...]:
        """Return the known revisions of a write-up by day of release; each is known from that
        day.
        """
        if writeup not in self._revisions:
            rows = self.files.revisions.get(writeup, ())
            # By day: a revision brought in from paper has no instant of its own.
            self._revisions[writeup] = tuple(row for row in rows if row.released <= self.day)
        return self._revisions[writeup]

    def current(self, rules: LevelRules, day: date) -> tuple[RevisionFact, ...]:
        """Return the current revision of each write-up of a level that has one: the highest number
        released by the day.
        """
        found = self._current.get((id(rules), day))
        if found is None:  # kept with the rules, whose id is then never another's
            released = (
                [row for row in self.revisions(name) if row.released <= day]
                for name in rules.writeups
            )
            newest = tuple(max(rows, key=lambda row: row.number) for rows in released if rows)
            found = self._current[id(rules), day] = (rules, newest)
        return found[1]

    def asking_revisions(self, rules: LevelRules) -> tuple[RevisionFact, ...]:
        """Return the known revisions of a level's write-ups that ask for something."""
        found = self._asking_revisions.get(id(rules))
        if found is None:  # kept with the rules, whose id is then never another's
            revisions = (row for name in rules.writeups for row in self.revisions(name))
            asking = tuple(row for row in revisions if row.asks != "nothing")
            found = self._asking_revisions[id(rules)] = (rules, asking)
        return found[1]

    def appointments(self, person: str, level: str) -> tuple[Appointment, ...]:
        """Return the known appointments of a person to sign off a level, each until the first of
        its known ends.
        """
        rows = self.files.appointments.get((person, level), ())
        return tuple(self._ended(row) for row in rows if row.recorded_at <= self.at)

    def _ended(self, row: Appointment) -> Appointment:
        # The first end counts: a later entry cannot stretch an appointment, only a fresh one can.
        ends = [until for until, recorded_at in row.ends if recorded_at <= self.at]
        return replace(row, until=min([*ends, row.until or date.max])) if ends else row

    def standdowns(self, person: str) -> tuple[StandDown, ...]:
        """Return the known stand-downs of a person, lifted or not."""
        rows = self.files.standdowns.get(person)
        return tuple(row for row in rows if row.recorded_at <= self.at) if rows else ()

    def lifted_on(self, row: StandDown) -> date | None:
        """Return the day of lifting, where the lifting is known; one with no time of its own is as
        old as its row.
        """
        return row.lifted_on if (row.lift_recorded_at or row.recorded_at) <= self.at else None

    def signoffs(self, person: str, level: str) -> tuple[SignOff, ...]:
        """Return the sign-offs of a person for a level that count."""
        key = (person, level)
        if key not in self._signoffs:
            rows = self.files.signoffs.rows(*key)
            self._signoffs[key] = self._counting("signoff", level, rows)
        return self._signoffs[key]

    def readings(self, person: str, writeup: str) -> tuple[Reading, ...]:
        """Return the readings of a write-up by a person that count."""
        found = self._readings.get((person, writeup))
        if found is None:
            found = self._counting("reading", writeup, self.files.readings.rows(person, writeup))
            self._readings[person, writeup] = found
        return found

    def passings(self, person: str, level: str) -> tuple[Passing, ...]:
        """Return the finished sittings of a person in a level's quiz that count, passed or not."""
        key = (person, level)
        if key not in self._passings:
            self._passings[key] = self._counting("pass", level, self.files.passings.rows(*key))
        return self._passings[key]

    def jobs(self, person: str, level: str) -> tuple[Job, ...]:
        """Return the jobs of a person recorded under one level that count; one said to be watched
        from its confirmation on, one taken back no more.
        """
        key = (person, level)
        if key not in self._jobs:
            rows = [
                row
                for row in self.files.jobs.rows(*key)
                if row.counts_from
                and row.counts_from <= self.at
                # As known before the taking back it did count: an old question keeps its old
                # answer.
                and (row.taken_back_at is None or self.at < row.taken_back_at)
            ]
            self._jobs[key] = self._counting("job", level, rows)
        return self._jobs[key]

    def is_short_of_jobs(self, person: str, levels: Iterable[str], asked: int, first: date) -> bool:
        """Say whether so few jobs of these levels are on record from a day on, counting or not,
        that they cannot be enough; none is read for it.
        """
        for level in levels:
            for day in self.files.jobs.days(person, level):
                # Later days are counted too: the bound may only be too high, never too low.
                asked -= day >= first
        return asked > 0

    def observations(self, person: str, level: str) -> tuple[Observation, ...]:
        """Return the observations of a person at a level that count, right or not."""
        key = (person, level)
        if key not in self._observations:
            self._observations[key] = self._counting(
                "observation", level, self.files.observations.rows(*key)
            )
        return self._observations[key]

    def _counting(self, kind: VoidKind, about: str, rows: Sequence[Entry]) -> tuple[Entry, ...]:
        if not rows:
            return ()
        at = self.at
        kept = rows if self._knows_all else [row for row in rows if row.recorded_at <= at]
        # All rows here are of one person and one thing, so that the first says whose they are.
        voids = self.files.voids.get((kind, rows[0].person, about))
        if voids:
            kept = [row for row in kept if not self._is_void(row, voids)]
        if len(kept) > 1:
            kept = sorted(kept, key=_by_day)
        return tuple(kept)

    def _is_void(self, row: _Entry, voids: Sequence[Void]) -> bool:
        # Recorded after the void it is a fresh entry, which the void did not mean: a thing can be
        # done anew.
        return any(
            void.on == row.on and row.recorded_at <= void.recorded_at <= self.at for void in voids
        )


def _by_day(row: _Entry) -> tuple[date, datetime]:
    # The instant orders a day: `reversed` gives the latest of the day first, on both databases.
    return row.on, row.recorded_at
