"""Where do a shop's entries lie, so that only those are read that a question is about?

Whoever gathers a shop may hand in the entries of each person as one bundle of slips. A person's
bundle is sorted when that person is first asked about, and a slip is read (which is what takes
long) when its level or write-up is.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import Generic, Protocol, TypeVar


class _OfPerson(Protocol):
    @property
    def person(self) -> str: ...
    @property
    def on(self) -> date: ...


Row = TypeVar("Row", bound=_OfPerson)
Slip = TypeVar("Slip")
Drawer = Mapping[str, Sequence[Row]]
"""One person's entries by what they are about."""


class Shelf(Collection[Row], Generic[Row]):
    """The entries of one kind by person and by what they are about; iterating gives every one,
    person by person.
    """

    def __init__(self, people: Iterable[str], opened: Callable[[str], Drawer[Row]]) -> None:
        # A dict for its order: iterating gives people as they were handed in, in each run.
        self._people = dict.fromkeys(people)
        self._opened = opened
        self._drawers: dict[str, Drawer[Row]] = {}
        # Turned round once: a table asks by level, and the shelf lies by person.
        self._dated: dict[str, list[tuple[str, list[date]]]] = {}

    def drawer(self, person: str) -> Drawer[Row]:
        """Return one person's entries by what they are about; empty for somebody without any."""
        drawer = self._drawers.get(person)
        if drawer is None:
            # The empty one is kept too: whoever has no entries is asked about as often.
            drawer = self._drawers[person] = self._opened(person) if person in self._people else {}
        return drawer

    def rows(self, person: str, about: str) -> Sequence[Row]:
        """Return one person's entries about a level (a reading: about a write-up), in the order of
        their keeping.
        """
        return self.drawer(person).get(about, ())

    def days(self, person: str, about: str) -> Iterable[date]:
        """Return the days of one person's entries about a level or write-up; none is read for
        it.
        """
        drawer = self.drawer(person)
        if isinstance(drawer, Slips):
            return drawer.days(about)
        return [row.on for row in drawer.get(about, ())]

    def people_between(self, about: str, first: date, until: date) -> frozenset[str]:
        """Return who has an entry about something that happened between two days, both included,
        whether it counts or not. No entry is read for it.
        """
        if not self._dated:
            for person, name in self.pairs():
                days = list(self.days(person, name))
                self._dated.setdefault(name, []).append((person, days))
        found = set()
        for person, days in self._dated.get(about, ()):
            for day in days:
                if first <= day <= until:
                    found.add(person)
                    break
        return frozenset(found)

    def pairs(self) -> Iterator[tuple[str, str]]:
        """Give each pair of person and level (or write-up) that there are entries of."""
        return ((person, about) for person in self._people for about in self.drawer(person))

    def __iter__(self) -> Iterator[Row]:
        """Give every entry."""
        return (row for person, about in self.pairs() for row in self.rows(person, about))

    def __len__(self) -> int:
        """Count them."""
        return sum(len(self.rows(person, about)) for person, about in self.pairs())

    def __contains__(self, row: object) -> bool:
        """Say whether this very entry is here."""
        # By identity: two jobs of one day can be equal in every column and are two.
        return any(row is other for other in self)


class Slips(Mapping[str, Sequence[Row]], Generic[Row, Slip]):
    """A drawer whose slips are read when they are asked for."""

    def __init__(
        self,
        slips: Mapping[str, list[Slip]],
        read: Callable[[str, list[Slip]], Sequence[Row]],
        day_of: Callable[[Slip], date],
    ) -> None:
        self._slips, self._read, self._day_of = slips, read, day_of
        self._rows: dict[str, Sequence[Row]] = {}

    def __getitem__(self, about: str) -> Sequence[Row]:
        """Return the entries about something; raises KeyError where there are none."""
        if about not in self._rows:
            self._rows[about] = self._read(about, self._slips[about])
        return self._rows[about]

    # Mapping's own way would read the slips to say it.
    def __contains__(self, about: object) -> bool:
        """Say, without reading, whether there is anything."""
        return about in self._slips

    def days(self, about: str) -> Iterable[date]:
        """Return the days of the entries about something, without reading more of them."""
        return map(self._day_of, self._slips.get(about, ()))

    def get(self, about: str, default: Sequence[Row] = ()) -> Sequence[Row]:  # type: ignore[override]
        """Return the entries about something, or the default (the mapping's own way would raise and
        catch).
        """
        return self[about] if about in self._slips else default

    def __iter__(self) -> Iterator[str]:
        """Give what there are entries about."""
        return iter(self._slips)

    def __len__(self) -> int:
        """Count what there are entries about."""
        return len(self._slips)


def put_on_shelf(rows: Collection[Row], about: Callable[[Row], str]) -> Shelf[Row]:
    """Return rows on a shelf; a shelf comes back as it is."""
    # `replace` hands a shelf on as it is: taking it apart would read every entry of the shop.
    if isinstance(rows, Shelf):
        return rows
    drawers: dict[str, dict[str, list[Row]]] = {}
    for row in rows:
        drawers.setdefault(row.person, {}).setdefault(about(row), []).append(row)
    return Shelf(drawers, drawers.__getitem__)
