"""How does the cover look as a board: levels down, days across, each gap with who is missing?"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from django.utils.translation import gettext

from procedures.records.days.reader import say_month
from training.cover.gaps import DayCover, IsAlone, days_between
from training.cover.rota import Rota
from training.standing.evidence import Shop
from training.standing.rules.here import has_left

WEEKS_BESIDE = 4
"""So many weeks stand beside each other; longer spans go on below."""

LevelDays = tuple[str, str, tuple[DayCover, ...]]
"""A workshop, a level, and its days."""


@dataclass(frozen=True, slots=True)
class Missing:
    """Somebody who does not fill a gap, and why."""

    name: str
    why: str


@dataclass(frozen=True, slots=True)
class BoardCell:
    """One day of a workshop and level. `look` says how it is drawn: nothing, enough, some or
    nobody; `key` names the gap.
    """

    day: date
    look: str
    there: int = 0
    wanted: int = 0
    names: tuple[str, ...] = ()
    missing: tuple[Missing, ...] = ()
    key: str = ""


@dataclass(frozen=True, slots=True)
class BoardRow:
    """One workshop and level over the days of a board."""

    workshop: str
    level: str
    cells: tuple[BoardCell, ...]


@dataclass(frozen=True, slots=True)
class Board:
    """Some weeks: the months above the days, with how many days each has there."""

    months: tuple[tuple[str, int], ...]
    days: tuple[date, ...]
    rows: tuple[BoardRow, ...]

    @property
    def gaps(self) -> tuple[tuple[BoardRow, BoardCell], ...]:
        """Each cell in which somebody is missing, with its row."""
        return tuple((row, cell) for row in self.rows for cell in row.cells if cell.key)


@dataclass(frozen=True, slots=True)
class BoardGround:
    """What the cells are made from: who is called what, who works when, and who may work alone."""

    shop: Shop
    rota: Rota
    is_alone: IsAlone
    gone: tuple[str, ...]
    title: Callable[[str], str]


def boards(
    rows: Sequence[LevelDays], ground: BoardGround, first: date, until: date
) -> tuple[Board, ...]:
    """The boards of a span of days, four weeks each."""
    starts = range(0, (until - first).days + 1, 7 * WEEKS_BESIDE)
    return tuple(
        _board(rows, ground, begins, min(begins + timedelta(weeks=WEEKS_BESIDE, days=-1), until))
        for begins in (first + timedelta(days=number) for number in starts)
    )


def _board(rows: Sequence[LevelDays], ground: BoardGround, first: date, until: date) -> Board:
    days = tuple(days_between(first, until))
    months = groupby(days, lambda day: (day.year, day.month))
    named = tuple(
        (say_month(here[0]) if len(here) > 5 else say_month(here[0])[:3], len(here))
        for here in (list(group) for _, group in months)
    )
    shown = (
        BoardRow(
            workshop, ground.title(level), tuple(_cells(days, cells, ground, f"{first:%m%d}-{at}"))
        )
        for at, (workshop, level, cells) in enumerate(rows)
    )
    return Board(named, days, tuple(shown))


def _cells(
    days: Iterable[date], cells: Iterable[DayCover], ground: BoardGround, key: str
) -> Iterator[BoardCell]:
    by_day = {one.day: one for one in cells}
    for day in days:
        one = by_day.get(day)
        if one is None:
            # Nobody is wanted on this day, so nobody is missing.
            yield BoardCell(day, "nothing")
            continue
        names = tuple(_called(ground, who) for who in one.there)
        if not one.missing:
            yield BoardCell(day, "enough", len(one.there), one.wanted, names)
            continue
        look = "some" if one.there else "nobody"
        missing = tuple(_missing(one, ground))
        named = f"gap-{key}-{day.day}"
        yield BoardCell(day, look, len(one.there), one.wanted, names, missing, named)


def _missing(one: DayCover, ground: BoardGround) -> Iterator[Missing]:
    """Who may work alone that day and is not there, then who is there and may not."""
    here = ground.rota.at_work(one.workshop, one.day)
    others = []
    for person in ground.shop.people:
        login = person.login
        if login in one.there or has_left(person, one.day):
            continue
        if ground.is_alone(login, one.level, one.day):
            yield Missing(person.name, _why_not_there(one, login, ground))
        # Who is there and may not is whom to train first.
        elif login in here and person.trade != "owner":
            others.append(Missing(person.name, gettext("at work, may not work alone")))
    yield from others


def _why_not_there(one: DayCover, login: str, ground: BoardGround) -> str:
    if login in ground.gone:
        return gettext("left out of this cover")
    presence = ground.rota.presence(login, one.day)
    if presence is None:
        return gettext("not on the rota")
    return gettext("at work in another workshop") if presence else gettext("away or off that day")


def _called(ground: BoardGround, login: str) -> str:
    person = ground.shop.files.people.get(login)
    return person.name if person else login
