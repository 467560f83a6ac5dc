"""On which days are fewer people with standing alone at work than the owner wants?"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from training.cover.rota import Rota, Wanted

IsAlone = Callable[[str, str, date], bool]
"""Person, level, day: is the standing of that day alone?"""


@dataclass(frozen=True, slots=True)
class DayCover:
    """One day of a workshop and level: how many people alone are wanted, and who of them is at
    work.
    """

    workshop: str
    level: str
    day: date
    wanted: int
    there: tuple[str, ...]

    @property
    def missing(self) -> int:
        """How many more are wanted."""
        # One too many on Tuesday does not make good for one too few on Monday.
        return max(self.wanted - len(self.there), 0)


def days_between(first: date, until: date) -> Iterator[date]:
    """Every day from the first to the last, both included."""
    return (first + timedelta(days=number) for number in range((until - first).days + 1))


def cover(
    rota: Rota, wanted: Wanted, days: Iterable[date], is_alone: IsAlone
) -> Iterator[DayCover]:
    """Give every workshop, level and day on which somebody is wanted, in the order of the days."""
    for day in days:
        for (workshop, level), by_weekday in wanted.items():
            if by_weekday[day.weekday()]:
                # The rota first: it is quick, and leaves few of whom a standing has to be asked.
                there = tuple(
                    person for person in rota.at_work(workshop, day) if is_alone(person, level, day)
                )
                yield DayCover(workshop, level, day, by_weekday[day.weekday()], there)


def gaps(
    rota: Rota, wanted: Wanted, days: Iterable[date], is_alone: IsAlone
) -> tuple[DayCover, ...]:
    """Every workshop, level and day below what is wanted, in the order of the days."""
    return tuple(one for one in cover(rota, wanted, days, is_alone) if one.missing)


def gaps_of_change(
    with_it: Iterable[DayCover], without: Iterable[DayCover]
) -> tuple[DayCover, ...]:
    """The gaps that are there with a change only, or are wider with it."""
    # Not by the people: a gap that is as wide with others there is not broken by the change.
    before = {(gap.workshop, gap.level, gap.day): gap.missing for gap in without}
    return tuple(
        gap for gap in with_it if gap.missing > before.get((gap.workshop, gap.level, gap.day), 0)
    )
