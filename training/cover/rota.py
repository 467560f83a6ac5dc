"""Who is at work in a workshop on a day?

Somebody is at work on a weekday of theirs, within the span of days that this holds for, unless away
on that day. Every first and last day is included. Whether somebody has started or left is the
standing's business.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Shift:
    """On which weekdays (0 is Monday) somebody works in a workshop, from the first day to the last
    (None: no bound).
    """

    person: str
    workshop: str
    weekdays: frozenset[int]
    first: date | None = None
    until: date | None = None


@dataclass(frozen=True, slots=True)
class Away:
    """A span of days on which somebody is not at work."""

    person: str
    first: date
    until: date


class Rota:
    """Answers who is at work, from all shifts and absences of a shop."""

    def __init__(self, shifts: Iterable[Shift], away: Iterable[Away]) -> None:
        self._shifts: dict[tuple[str, str], list[Shift]] = {}
        self._places: dict[str, dict[str, None]] = {}
        self._away: dict[str, list[Away]] = {}
        self._at_work: dict[tuple[str, date], tuple[str, ...]] = {}
        for shift in shifts:
            self._shifts.setdefault((shift.person, shift.workshop), []).append(shift)
            self._places.setdefault(shift.workshop, {})[shift.person] = None
        for row in away:
            self._away.setdefault(row.person, []).append(row)

    def is_at_work(self, person: str, workshop: str, day: date) -> bool:
        """Say whether somebody works in a workshop on a day."""
        # An absence is of the person and not of a workshop: away is away everywhere.
        return any(
            _holds(row, day) for row in self._shifts.get((person, workshop), ())
        ) and not any(row.first <= day <= row.until for row in self._away.get(person, ()))

    def presence(self, person: str, day: date, workshop: str = "") -> bool | None:
        """Say whether somebody is at work on a day, in one workshop or (empty) in any; None where
        the rota says nothing at all of this person and day. It changes nobody's standing.
        """
        # By the span and not the weekday: a free Tuesday is "away", no rota at all is "not known".
        holding = [row for row in self._of(person) if _is_in_span(row, day)]
        if not holding:
            return None
        return any(
            self.is_at_work(person, row.workshop, day)
            for row in holding
            if workshop in {"", row.workshop}
        )

    def is_closed(self, day: date, people: Iterable[str], workshop: str = "") -> bool:
        """Say whether the shop (or one workshop) is closed on a day: it has a rota for these
        people, and nobody of them has that weekday there. That all are away is not closed.
        """
        # Without a rota nothing is known, which is not closed.
        rows = [row for who in people for row in self._of(who) if _is_in_span(row, day)]
        rows = [row for row in rows if workshop in {"", row.workshop}]
        return bool(rows) and not any(day.weekday() in row.weekdays for row in rows)

    def _of(self, person: str) -> list[Shift]:
        places = self.workshops_of(person)
        return [row for place in places for row in self._shifts[person, place]]

    def works(self, person: str, day: date) -> bool:
        """Say whether somebody is at work in any workshop on a day."""
        return any(self.is_at_work(person, place, day) for place in self.workshops_of(person))

    def meet(self, one: str, other: str, day: date) -> bool:
        """Say whether two people are at work in one workshop on a day. Nobody meets themselves."""
        # Nobody teaches, observes or signs for themselves: here it holds for all three.
        return one != other and any(
            self.is_at_work(one, place, day) and self.is_at_work(other, place, day)
            for place in self.workshops_of(one)
        )

    def people_of(self, workshop: str) -> tuple[str, ...]:
        """Return everybody who has a shift in a workshop, on whatever days."""
        return tuple(self._places.get(workshop, ()))

    def workshops_of(self, person: str) -> tuple[str, ...]:
        """Return the workshops in which somebody has a shift."""
        return tuple(place for place, people in self._places.items() if person in people)

    def at_work(self, workshop: str, day: date) -> tuple[str, ...]:
        """Return everybody at work in a workshop on a day; worked out once."""
        key = (workshop, day)
        if key not in self._at_work:
            self._at_work[key] = tuple(
                who for who in self.people_of(workshop) if self.is_at_work(who, workshop, day)
            )
        return self._at_work[key]


def _holds(shift: Shift, day: date) -> bool:
    return _is_in_span(shift, day) and day.weekday() in shift.weekdays


def _is_in_span(shift: Shift, day: date) -> bool:
    return (shift.first is None or shift.first <= day) and (
        shift.until is None or day <= shift.until
    )


Wanted = Mapping[tuple[str, str], tuple[int, ...]]
"""For a workshop and a level, how many people with standing alone the owner wants on each weekday,
Monday first.
"""
