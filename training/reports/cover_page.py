"""Where will too few be at work who may work alone, on whom does the shop lean, and what if
somebody were gone?
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby

from training.cover.gaps import DayCover, cover, days_between
from training.cover.pace import shop_at_usual_pace
from training.cover.release import Standings
from training.cover.without import days_broken, days_without, people_leaned_on
from training.records.gathering import gather
from training.records.wording.pieces import join_and
from training.reports.cover import Short, name_of, rota_of, say_days, short_days, wanted_of
from training.reports.cover_board import Board, BoardGround, LevelDays, boards
from training.reports.who_may import shop_levels
from training.standing.entitlement import asking_of
from training.standing.evidence import Shop

MOST_LEANED_ON = 6


@dataclass(frozen=True, slots=True)
class CoverAsked:
    """For how many weeks, whether the usual pace of jobs goes on, and without whom."""

    weeks: int
    at_pace: bool
    gone: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """One workshop and level: on how many days somebody is wanted, and on how many too few are
    there.
    """

    workshop: str
    level: str
    wanted: str
    short: str


@dataclass(frozen=True, slots=True)
class Leaning:
    """One person or two without whom days fall below what is wanted: how many of them, and how
    many that is of a hundred of the most that fall without anybody.
    """

    logins: tuple[str, ...]
    names: str
    falls: str
    share: str


@dataclass(frozen=True, slots=True)
class CoverPage:
    """The cover over a span of days; `falls` are the days that fall below without those who are
    thought gone.
    """

    first: date
    until: date
    gone: str
    gone_logins: tuple[str, ...]
    boards: tuple[Board, ...]
    rows: tuple[PlaceRow, ...]
    short: tuple[Short, ...]
    falls: tuple[Short, ...]
    one: tuple[Leaning, ...]
    two: tuple[Leaning, ...]


def cover_page(asked: CoverAsked, *, on: date, now: datetime) -> CoverPage | None:
    """The cover of the weeks from a day on; None where the shop says nowhere how many it wants."""
    wanted = wanted_of()
    if not wanted:
        return None
    until = on + timedelta(weeks=asked.weeks, days=-1)
    shop = gather()
    if asked.at_pace:
        shop = shop_at_usual_pace(shop, on, until, now)
    titles = dict(shop_levels(shop, on))
    held = Standings(asking_of(shop, now), on, until)
    rota = rota_of()
    # Once with everybody: whoever is thought gone is taken out of the days, not worked out anew.
    days = tuple(cover(rota, wanted, days_between(on, until), held.is_alone))
    left = days_without(days, asked.gone)

    def title(level: str) -> str:
        return titles.get(level, level)

    rows = tuple(_rows(left))
    return CoverPage(
        first=on,
        until=until,
        gone=join_and([name_of(shop, who) for who in asked.gone]),
        gone_logins=asked.gone,
        boards=boards(rows, BoardGround(shop, rota, held.is_alone, asked.gone, title), on, until),
        rows=tuple(
            PlaceRow(
                place,
                title(level),
                say_days(len(cells)),
                say_days(sum(1 for one in cells if one.missing)),
            )
            for place, level, cells in rows
        ),
        short=short_days((one for one in left if one.missing), title, shop),
        falls=short_days(days_broken(days, asked.gone), title, shop),
        one=tuple(_leaning(shop, days, 1)),
        two=tuple(_leaning(shop, days, 2)),
    )


def _rows(days: Iterable[DayCover]) -> Iterator[LevelDays]:
    """The days by workshop and level."""

    def place(one: DayCover) -> tuple[str, str]:
        return one.workshop, one.level

    # Sorting keeps the order of the days.
    for (workshop, level), cells in groupby(sorted(days, key=place), place):
        yield workshop, level, tuple(cells)


def _leaning(shop: Shop, days: tuple[DayCover, ...], size: int) -> Iterator[Leaning]:
    heaviest = people_leaned_on(days, size)[:MOST_LEANED_ON]
    for lean in heaviest:
        yield Leaning(
            lean.people,
            join_and([name_of(shop, who) for who in lean.people]),
            say_days(lean.falls),
            str(round(100 * lean.falls / heaviest[0].falls)),
        )
