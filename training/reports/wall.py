"""What stands on the sheet for the wall, for one day or seven, and how large are its letters?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise

from django.utils.html import escape
from django.utils.safestring import SafeString
from django.utils.translation import gettext

from procedures.records.days.reader import say_near_day, say_weekday
from training.cover.rota import Rota
from training.records.gathering import gather
from training.records.wording.blocks import block_of, say_block
from training.reports.cover import rota_of
from training.reports.who_may import Cell, Grid, Row, grid
from training.standing.answer import answers, standings
from training.standing.entitlement import asking_of

MOST_PEOPLE = 5_000
WEEK = 7
LOWEST_FIRST = ("no", "watched", "alone")


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet lying on its side. In millimetres: the width between its margins, the height left
    under what stands in small letters, and the letters that it should have at least.
    """

    width: float
    height: float
    least: int


PAPERS = {"A3": Paper(400, 252, 9), "A4": Paper(277, 164, 6)}
# The sizes of letters of wall.css, in mm for an em; from one to the next the sheet visibly gains.
SIZES = (3, 4, 5, 6, 7, 8, 9, 10, 12, 14, 16)
# In em: the longest word of a cell, "supervised", with its edge; a bold letter of a name; a line of
# one person, what a second line of the name adds, and the heads.
CELL, LETTER, LINE, SECOND_LINE, HEADS = 5.15, 0.6, 2.1, 1.15, 5.2
LONG_NAME = 13  # letters; a longer name may take two lines
CAPITAL = 0.714  # of an em: the height of capitals in the usual sans-serif letters
# MUTCD 2003, section 2A.14: an inch of letter height for each 40 feet from which it is read.
READ_FROM = 40 * 12


@dataclass(frozen=True, slots=True)
class WallSheet:
    """The people and levels, their rows as written, and the letters."""

    grid: Grid
    rows: SafeString
    until: date
    """The last day that the sheet speaks of; the first one is the day of the grid."""
    letters: str
    """The size of an em, in mm."""
    metres: str
    """From how far the words can be read, rounded down to half a metre."""

    @property
    def is_week(self) -> bool:
        """Whether it speaks of more than one day."""
        return self.until > self.grid.on


def wall_sheet(
    *, on: date, known_at: datetime, workshop: str, is_week: bool, paper: str
) -> WallSheet:
    """The sheet for one workshop (empty: for all of them), for any fork."""
    # A wall has one page for everybody, so nothing is left for a second one.
    found = grid(on=on, known_at=known_at, variant={}, workshop=workshop, people_a_page=MOST_PEOPLE)
    days = tuple(on + timedelta(days=ahead) for ahead in range(WEEK if is_week else 1))
    changes = _changes(found, days) if is_week else {}
    rota = rota_of() if is_week else None
    size = letters_for(found, PAPERS[paper])
    return WallSheet(
        grid=found,
        rows=SafeString("".join(_pieces(found, days, changes, rota, workshop))),  # all escaped
        until=days[-1],
        letters=str(size),
        metres=f"{int(2 * size * CAPITAL * READ_FROM / 1000) / 2:g}",
    )


def letters_for(found: Grid, paper: Paper) -> int:
    """The largest letters of the scale with which the sheet is filled. Where so many people work
    here that they would grow too small to be read from afar, there are more sheets instead.
    """
    longest = _longest(found)
    across = len(found.levels) * CELL + longest * LETTER + 0.3
    down = HEADS + sum(LINE + SECOND_LINE * (len(row.person.name) > longest) for row in found.rows)
    down += len({row.person.workshop for row in found.rows}) if found.has_workshops else 0
    wide = [size for size in SIZES if size * across <= paper.width] or SIZES[:1]
    fitting = [size for size in wide if size * down <= paper.height]
    return max([*fitting, min(wide[-1], paper.least)])


def _longest(found: Grid) -> int:
    """How many letters of a name stand in one line."""
    names = [row.person.name for row in found.rows]
    words = (len(word) for name in names for word in name.split())
    return max(*(min(len(name), LONG_NAME) for name in names), *words, 1, 1)


def _changes(found: Grid, days: tuple[date, ...]) -> Mapping[tuple[str, str], tuple[str, str]]:
    """Those of whom something changes within the days: by person and level the block that holds on
    each of them, and what is said of the change.
    """
    shop, names = gather(), [name for name, _ in found.levels]
    logins = [row.person.login for row in found.rows]
    asking = asking_of(shop, found.known_at)
    by_day = {day: standings(shop, names, day, found.known_at, {}, logins, asking) for day in days}
    changes = {}
    for login in logins:
        for level in names:
            words = {day: by_day[day][login, level] for day in days}
            if len(set(words.values())) == 1:
                continue
            # A wall must not promise what falls on Thursday: the lowest answer is the one drawn.
            _, low = min((LOWEST_FIRST.index(word), day) for day, word in words.items())
            answer = answers(shop, level, low, found.known_at, {}, [login], asking)[0]
            changes[login, level] = block_of(answer), _say_change(words)
    return changes


def _say_change(words: Mapping[date, str]) -> str:
    """The first change within the days, as "alone until" or "alone from" a day."""
    before, after = next(
        (one, other) for one, other in pairwise(words) if words[one] != words[other]
    )
    if LOWEST_FIRST.index(words[before]) > LOWEST_FIRST.index(words[after]):
        text, word, day = gettext("{word} until {day}"), words[before], before
    else:
        text, word, day = gettext("{word} from {day}"), words[after], after
    return text.format(word=say_block(word), day=say_near_day(day))


def _pieces(
    found: Grid,
    days: tuple[date, ...],
    changes: Mapping[tuple[str, str], tuple[str, str]],
    rota: Rota | None,
    workshop: str,
) -> Iterator[str]:
    place, columns = "", len(found.levels) + 1
    for row in found.rows:
        if found.has_workshops and place != row.person.workshop:
            place = row.person.workshop
            yield f'<tr class="place"><th colspan="{columns}" scope="rowgroup">{escape(place)}'
            yield "</th></tr>"
        there = _days_at_work(row, days, rota, workshop) if rota else row.presence
        long = ' class="long"' if len(row.person.name) > _longest(found) else ""
        yield f'<tr><th scope="row"{long}>{escape(row.person.name)}'
        yield f"<small>{escape(row.role)} · {escape(there)}</small></th>"
        for cell in row.cells:
            told = changes.get((row.person.login, cell.level))
            yield f'<td data-level="{escape(cell.title)}">{_standing(cell, told)}</td>'
        yield "</tr>"


def _days_at_work(row: Row, days: tuple[date, ...], rota: Rota, workshop: str) -> str:
    """On which of the days somebody is at work, in words."""
    login = row.person.login
    there = [day for day in days if rota.presence(login, day, workshop)]
    if there:
        return " ".join(say_weekday(day)[:3] for day in there)
    return row.presence


def _standing(cell: Cell, told: tuple[str, str] | None) -> str:
    """The block, the word, and one small line; a change within the days is told in bold."""
    block, small = (told[0], f"<b>{escape(told[1])}</b>") if told else (cell.block, "")
    small = small or escape(cell.until)
    return (
        f'<span class="standing {block}"><svg class="mark" aria-hidden="true" focusable="false">'
        f'<use href="#mark-{block}"/></svg><span class="word">{escape(say_block(block))}</span>'
        f"{f'<small>{small}</small>' if small else ''}</span>"
    )
