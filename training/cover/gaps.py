"""On which days are fewer people with standing alone at work than the owner wants?"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from training.cover.rota import Rota, Wanted

IsAlone = Callable[[str, str, date], bool]
"""Person, level, day: is the standing of that day alone?"""


@dataclass(frozen=True, slots=True)
class Gap:
    """One day on which a workshop has fewer people alone at a level than wanted."""

    workshop: str
    level: str
    day: date
    wanted: int
    there: tuple[str, ...]

    @property
    def missing(self) -> int:
        """How many more are wanted."""
        return self.wanted - len(self.there)


def days_between(first: date, until: date) -> Iterator[date]:
    """Every day from the first to the last, both included."""
    return (first + timedelta(days=number) for number in range((until - first).days + 1))


def gaps(rota: Rota, wanted: Wanted, days: Iterable[date], is_alone: IsAlone) -> tuple[Gap, ...]:
    """Every workshop, level and day below what is wanted, in the order of the days."""
    found = []
    for day in days:
        for (workshop, level), by_weekday in wanted.items():
            want = by_weekday[day.weekday()]
            if not want:
                continue
            there = tuple(person for person in rota.at_work(workshop, day) if is_alone(person, level, day))
            if len(there) < want:
                found.append(Gap(workshop, level, day, want, there))
    return tuple(found)


def broken(with_it: Iterable[Gap], without: Iterable[Gap]) -> tuple[Gap, ...]:
    """The gaps that are there with a change only, or are wider with it."""
    before = {(gap.workshop, gap.level, gap.day): gap.missing for gap in without}
    return tuple(gap for gap in with_it if gap.missing > before.get((gap.workshop, gap.level, gap.day), 0))
