"""Is the person employed here on the day?"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Protocol

from training.standing.calendar import add_days
from training.standing.evidence import Person
from training.standing.results import BARS_ALL, Asks, Reason, Step
from training.standing.rules.rule import HOLDS, Case, Finding, Rule, fails


class Employed(Protocol):
    """Somebody with a first and a last day, where these are known."""

    @property
    def started(self) -> date | None: ...
    @property
    def left(self) -> date | None: ...


def is_here(person: Employed | None, day: date) -> bool:
    """Say whether somebody has started and has not left; both days count as here."""
    if person is None:
        return False
    return (person.started is None or person.started <= day) and not has_left(person, day)


def has_left(person: Employed, day: date) -> bool:
    """Say whether somebody's last day is over."""
    return person.left is not None and person.left < day


class Here(Rule):
    """`not-here`: the person has started and has not left."""

    name = "here"
    steps = {"not-here": Step("check-days-of-work", "owner", BARS_ALL, of_level=False)}
    bars_signing = True

    def look(self, case: Case) -> Finding:
        person = case.known.person(case.person)
        if is_here(person, case.day):
            return HOLDS
        return fails(lambda: _why(case, person))

    def asks(self, case: Case) -> Asks:
        return Asks("here")

    def days(self, case: Case, until: date) -> Iterator[date]:
        person = case.known.person(case.person)
        if person is not None and person.started is not None:
            yield person.started
        if person is not None and person.left is not None:
            # The last day at work is one at work: not here begins after it.
            yield add_days(person.left, 1)


def _why(case: Case, person: Person | None) -> Reason:
    if person is None:
        return Reason("not-here", (("login", case.person),))
    if person.left is not None and person.left < case.day:
        return Reason("not-here", (("name", person.name), ("left", person.left)))
    return Reason("not-here", (("name", person.name), ("starts", person.started)))
