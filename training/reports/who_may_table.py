"""How is the big table of who may do what written, cell by cell?

In Python as trusted pieces, of which few are distinct, because a template takes many times as long
over thousands of cells. Each text from the shop is escaped where it comes in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import cache, lru_cache
from typing import NamedTuple
from urllib.parse import quote

from django.urls import reverse
from django.utils import timezone
from django.utils.html import escape
from django.utils.safestring import SafeString
from django.utils.translation import get_language, gettext

from procedures.records.days.reader import region_of_reader
from training.records.wording.blocks import say_block
from training.records.wording.reasons import say_reason
from training.reports.who_may import Cell, Grid, Row

# what Django's own addresses leave as it is (RFC 3986, 2.2 and 3.3)
SAFE_IN_ADDRESS = "!$&'()*+,;=/~:@"


def table_rows(grid: Grid, query: str) -> SafeString:
    """The bodies of the table, one for each workshop; `query` is the question as the end of an
    address, without its question mark.
    """
    pieces = _pieces(grid, escape(f"?{query}") if query else "")
    return SafeString("".join(pieces))  # every text in it is escaped


def _pieces(grid: Grid, query: str) -> Iterator[str]:
    # where there is one level only, a sentence stands beside its block
    columns = max(len(grid.levels) + 1, 3)
    # What is the same in each row or on the whole page is put into words and escaped once.
    heads = [_Head(escape(title), escape(_address(level))) for level, title in grid.levels]
    zone = timezone.get_current_timezone_name()
    said = _said_to(get_language(), region_of_reader(), zone)
    place = None
    for row in grid.rows:
        if place != row.person.workshop:
            yield "</tbody>" if place is not None else ""
            place = row.person.workshop
            yield "<tbody>"
            if grid.has_workshops:
                yield f'<tr class="place"><th colspan="{columns}" scope="rowgroup">'
                yield f"{escape(place)}</th></tr>"
        yield _head_of(row, grid)
        yield from _cells_of(row, grid, query, heads, said)
        yield "</tr>"
    yield "</tbody>"


def _head_of(row: Row, grid: Grid) -> str:
    """Name and role; that somebody is not at work only where the shop is open."""
    what: str = escape(row.role)
    if row.at_work is not True and not grid.is_closed:
        what = f"{what} · <b>{escape(row.presence)}</b>"
    is_off = ' class="off"' if row.at_work is not True else ""
    return f'<tr{is_off}><th scope="row">{escape(row.person.name)} <small>{what}</small></th>'


class _Head(NamedTuple):
    """A level's title and the address of its answers up to the login, both escaped."""

    title: str
    address: str


class _Said(dict[tuple[object, ...], str]):
    """What the cells say to one kind of reader, from page to page: most say the same. Whatever asks
    for the reader's language takes a lock, for which two threads would wait.
    """

    MOST = 20_000  # then all is forgotten

    def __init__(self) -> None:
        super().__init__()
        self.why: str = escape(gettext("Reasons and record"))
        self._signed: str = gettext("Signed off {until}.")
        self._told: dict[str, str] = {
            "alone": gettext("May work alone."),
            "watched": gettext("May work under supervision."),
            "no": gettext("May not do this."),
        }

    def until_of(self, cell: Cell) -> str:
        """Return the last good day, in words; nothing where there is none in sight."""
        return self._kept(("until", cell.answer.lapses_on), lambda: cell.until)

    def first_of(self, cell: Cell) -> str:
        """Return the first thing that is missing; nothing where nothing is."""
        if not cell.answer.reasons:
            return ""
        first = cell.answer.reasons[0]
        return self._kept((first.code, first.args), lambda: say_reason(first))

    def face_of(self, cell: Cell, *, is_soon: bool) -> str:
        """Return what a cell shows: the block, and the last good day or the word."""
        until = self.until_of(cell)
        key = ("face", cell.block, until, is_soon)
        return self._kept(key, lambda: _face(cell.block, until, is_soon=is_soon))

    def opened_of(self, cell: Cell) -> str:
        """Return the sentences behind a cell: the answer first, the reason second."""
        standing, until, first = cell.answer.standing, self.until_of(cell), self.first_of(cell)
        return self._kept(
            ("opened", standing, until, first), lambda: self._opened(standing, until, first)
        )

    def _opened(self, standing: str, until: str, first: str) -> str:
        signed = self._signed.format(until=until) if until else first
        return f"<p>{escape(self._told[standing])} {escape(signed)}</p>"

    def _kept(self, key: tuple[object, ...], say: Callable[[], str]) -> str:
        # Not first asked and then taken: another thread may forget all in between.
        said = self.get(key)
        if said is None:
            if len(self) >= self.MOST:
                self.clear()
            said = self[key] = say()
        return said


@lru_cache(maxsize=16)
def _said_to(language: str | None, region: str, zone: str) -> _Said:
    """The words for one kind of reader; each of the three makes them other words."""
    return _Said()


def _cells_of(
    row: Row, grid: Grid, query: str, heads: Sequence[_Head], said: _Said
) -> Iterator[str]:
    # Put together by hand: an address looked up for each cell doubles the time of the table.
    who = f"{escape(quote(row.person.login, safe=SAFE_IN_ADDRESS))}/{query}"
    name, write = escape(row.person.name), _one_level if grid.is_one_level else _short
    for cell, head in zip(row.cells, heads, strict=True):
        face = said.face_of(cell, is_soon=cell.ends_soon(grid.on))
        yield f'<td data-level="{head.title}">{write(cell, face, name, head, said, who)}</td>'


def _short(cell: Cell, face: str, name: str, head: _Head, said: _Said, who: str) -> str:
    """Block and day; pressed, the sentence and the way to the reasons."""
    return (
        f'<details class="answer" name="answer"><summary>{face}'
        f'<span class="unseen">: {name}, {head.title}</span></summary><div class="says">'
        f"<p><b>{name}, {head.title}</b></p>{said.opened_of(cell)}"
        f'<a href="{head.address}{who}">{said.why}</a></div></details>'
    )


def _one_level(cell: Cell, face: str, name: str, head: _Head, said: _Said, who: str) -> str:
    """Where one level only is asked about there is room for the sentence."""
    link = f'<a href="{head.address}{who}">{said.why}<span class="unseen">: {name}</span></a>'
    return f'{face}</td><td class="sentence">{escape(said.first_of(cell))} {link}'


@cache
def _address(level: str) -> str:
    """The address of a level's answers up to the login."""
    return reverse("training:one", args=(level, "x")).removesuffix("x/")


def _face(block: str, until: str, *, is_soon: bool) -> str:
    word = escape(say_block(block))
    said = f'<span class="unseen">{word} </span>{escape(until)}' if until else word
    said = f"<b>{said}</b>" if is_soon else said
    return f'<span class="standing {block}">{_mark(block)}{said}</span>'


def _mark(block: str) -> str:
    return (
        f'<svg class="mark" aria-hidden="true" focusable="false"><use href="#mark-{block}"/></svg>'
    )
