"""On which days do the rules of a level itself hold for somebody, as things are or with a piece of
training done?

Only the standing decides: it is asked about a shop of this one person, in which the level names no
earlier one (those are asked for themselves), whose sign-offs are those by an entitled signer.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal

from training.cover.gaps import days_between
from training.standing.days import spans
from training.standing.entitlement import Asked, Asking
from training.standing.evidence import LevelRules, Observation, Passing, Reading, Shop, SignOff
from training.standing.question import NOTHING_NAMED
from training.standing.rules.here import is_here
from training.standing.rules.stood_down import standdowns_in_force


@dataclass(frozen=True, slots=True)
class Done:
    """What a piece of training leaves on record at its end: the current write-ups read and the quiz
    passed on one day, the work seen right and signed for on another.
    """

    studied_on: date
    signed_on: date
    signer: str

    def readings(self, asking: Asking, person: str, rules: LevelRules) -> Iterable[Reading]:
        """The readings of what is current on that day."""
        for row in asking.known.current(rules, self.studied_on):
            yield Reading(person, row.writeup, row.number, self.studied_on, asking.known.at)

    def passing(self, person: str, level: str, at: datetime) -> Passing:
        """The pass of the level's quiz."""
        return Passing(person, level, self.studied_on, Decimal(100), True, at)

    def observation(self, person: str, level: str, observer: str, at: datetime) -> Observation:
        """One piece of work seen right."""
        return Observation(person, level, self.signed_on, observer, True, at)

    def signoff(self, person: str, level: str, at: datetime, *, founding: bool) -> SignOff:
        """The sign-off."""
        return SignOff(person, level, self.signed_on, self.signer, (), founding, at)


class StandingDays:
    """Answers for a span of days; each answer is worked out once."""

    def __init__(self, asking: Asking, first: date, until: date) -> None:
        self.asking, self.first, self.until = asking, first, until
        self._own: dict[tuple[str, str, date | None, str], frozenset[date]] = {}
        self._free: dict[tuple[str, str], frozenset[date]] = {}

    def own(
        self, person: str, level: str, done: Done | None = None, at: str = ""
    ) -> frozenset[date]:
        """The days of the span on which the rules of the level itself hold, with a piece of
        training done or without one; `at` names its level where it is another one (what was read
        for that counts here too).
        """
        at = at or level
        # By day and not by signer: who signs changes nothing here, since each counts as entitled
        # below.
        key = (person, level, done.signed_on if done else None, at)
        if key not in self._own:
            self._own[key] = self._worked_out(person, level, done, at)
        return self._own[key]

    def _worked_out(self, person: str, level: str, done: Done | None, at: str) -> frozenset[date]:
        book = self.asking.books.on(self.first)
        # The small shop has no earlier levels, so that a circle would not be seen in it.
        if level not in book.rules or book.in_a_circle(level):
            return frozenset()
        # A shop of one, since the whole would be worked out again for each way of doing each task.
        small = Asking(self._shop_of(person, level, done, at), self.asking.known.at)
        asked = Asked(person, level, self.first, NOTHING_NAMED)
        return frozenset(
            day
            for span in spans(small, asked, self.until)
            if span.standing == "alone"
            for day in days_between(span.first, span.until)
        )

    def _shop_of(self, person: str, level: str, done: Done | None, of: str) -> Shop:
        known, shop = self.asking.known, self.asking.shop
        versions = tuple(replace(row, earlier=()) for row in shop.files.versions[level])
        writeups = tuple(dict.fromkeys(name for row in versions for name in row.writeups))
        book = self.asking.books.on(self.first)
        readings = [row for name in writeups for row in known.readings(person, name)]
        passings = list(known.passings(person, level))
        seen = list(known.observations(person, level))
        signed = [
            # Founding ones count without their signer, who is not in this shop.
            row._replace(founding=True)
            for row in known.signoffs(person, level)
            if self.asking.entitled(row)
        ]
        if done is not None:
            at = known.at
            rules = self.asking.books.on(done.signed_on).rules[of]
            names = set(writeups)
            read = done.readings(self.asking, person, rules)
            readings += [row for row in read if row.writeup in names]
        # For another level only what is read counts: quiz, work and signature belong to one.
        if done is not None and of == level:
            passings.append(done.passing(person, level, at))
            seen.append(done.observation(person, level, done.signer, at))
            signed.append(done.signoff(person, level, at, founding=True))
        return Shop(
            people=tuple(one for one in shop.people if one.login == person),
            levels=versions,
            revisions=tuple(row for name in writeups for row in shop.files.revisions.get(name, ())),
            appointments=(),
            readings=readings,
            passings=passings,
            # Jobs of later levels keep in practice too, and those levels are not in this shop.
            jobs=[row._replace(level=level) for row in self.asking.jobs(person, level, book)],
            observations=seen,
            signoffs=signed,
            standdowns=known.standdowns(person),
            voids=(),
            time_zone=shop.time_zone,
            options={},
        )

    def free(self, person: str, level: str) -> frozenset[date]:
        """The days of the span on which somebody is here and not stood down at the level or at one
        that comes before it: without that nobody may even learn at it.
        """
        key = (person, level)
        if key not in self._free:
            # Being watched asks rules 1 and 2 of every earlier level as well.
            levels = (level, *self.asking.books.on(self.first).before.get(level, ()))
            self._free[key] = frozenset(
                day
                for day in days_between(self.first, self.until)
                if self._is_free(person, levels, day)
            )
        return self._free[key]

    def _is_free(self, person: str, levels: Iterable[str], day: date) -> bool:
        known = self.asking.known
        return is_here(known.person(person), day) and not any(
            standdowns_in_force(known, person, level, day) for level in levels
        )
