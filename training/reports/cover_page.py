"""Where will too few be at work who may work alone, on whom does the shop lean, and what if
somebody were gone?
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby

from django.utils.safestring import SafeString

from training.cover.gaps import DayCover, cover, days_between
from training.cover.pace import at_usual_pace
from training.cover.release import Standings
from training.cover.without import fallen, leaned_on, without
from training.records.gathering import gather
from training.reports.cover import Short, Titles, called, rota_of, say_days, short_days, wanted_of
from training.reports.drawn import DrawnRow, DrawnSpan, drawing
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
    """One person or two without whom days fall below what is wanted: how many of them."""

    logins: tuple[str, ...]
    names: str
    falls: str


@dataclass(frozen=True, slots=True)
class CoverPage:
    """The cover over a span of days; `falls` are the days that fall below without those who are
    thought gone.
    """

    first: date
    until: date
    gone: str
    drawing: SafeString
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
        shop = at_usual_pace(shop, on, until, now)
    titles = dict(shop_levels(shop, on))
    held = Standings(asking_of(shop, now), on, until)
    days = tuple(cover(rota_of(), wanted, days_between(on, until), held.is_alone))
    left = without(days, asked.gone)

    def title(level: str) -> str:
        return titles.get(level, level)

    rows = tuple(_rows(left))
    return CoverPage(
        first=on,
        until=until,
        gone=" and ".join(called(shop, who) for who in asked.gone),
        drawing=_drawn(rows, title, on, until),
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
        falls=short_days(fallen(days, asked.gone), title, shop),
        one=tuple(_leaning(shop, days, 1)),
        two=tuple(_leaning(shop, days, 2)),
    )


Row = tuple[str, str, tuple[DayCover, ...]]


def _rows(days: Iterable[DayCover]) -> Iterator[Row]:
    """The days by workshop and level."""

    def place(one: DayCover) -> tuple[str, str]:
        return one.workshop, one.level

    for (workshop, level), cells in groupby(
        sorted(days, key=place), place
    ):  # sorting keeps the order of the days
        yield workshop, level, tuple(cells)


def _fill(one: DayCover) -> str:
    if not one.missing:
        return "solid"
    return "hatched" if one.there else "open"


def _drawn(rows: Sequence[Row], title: Titles, first: date, until: date) -> SafeString:
    """One line for each workshop and level; neighbouring days that look the same are one span."""
    shown = []
    has_several = len({place for place, _, _ in rows}) > 1
    for place, level, cells in rows:
        spans: list[DrawnSpan] = []
        for one in cells:
            last = spans[-1] if spans else None
            if last and last.fill == _fill(one) and last.until + timedelta(days=1) == one.day:
                spans[-1] = DrawnSpan(last.first, one.day, last.fill)
            else:
                spans.append(DrawnSpan(one.day, one.day, _fill(one)))
        shown.append(DrawnRow(title(level), tuple(spans), under=place if has_several else ""))
    return drawing(shown, first, until, title="Cover")


def _leaning(shop: Shop, days: tuple[DayCover, ...], size: int) -> Iterator[Leaning]:
    for lean in leaned_on(days, size)[:MOST_LEANED_ON]:
        yield Leaning(
            lean.people,
            " and ".join(called(shop, who) for who in lean.people),
            say_days(lean.falls),
        )
