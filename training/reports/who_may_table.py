"""How is the big table of who may do what written, cell by cell?

In Python as trusted pieces, of which few are distinct, because a template takes many times as long
over thousands of cells. Each text from the shop is escaped where it comes in.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache, lru_cache
from typing import NamedTuple
from urllib.parse import quote

from django.urls import reverse
from django.utils.html import escape
from django.utils.safestring import SafeString
from django.utils.translation import gettext

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
    said = _Said()
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


class _Said(dict[tuple[str, object], str]):
    """The first sentence and the day of each cell, for one page and its reader: most cells say the
    same. Whatever asks for the reader's language takes a lock, for which two threads would wait.
    """

    def until_of(self, cell: Cell) -> str:
        """Return the last good day, in words; nothing where there is none in sight."""
        key = ("until", cell.answer.lapses_on)
        if key not in self:
            self[key] = cell.until
        return self[key]

    def first_of(self, cell: Cell) -> str:
        """Return the first thing that is missing; nothing where nothing is."""
        if not cell.answer.reasons:
            return ""
        first = cell.answer.reasons[0]
        key = (first.code, first.args)
        if key not in self:
            self[key] = say_reason(first)
        return self[key]


def _cells_of(
    row: Row, grid: Grid, query: str, heads: Sequence[_Head], said: _Said
) -> Iterator[str]:
    # Put together by hand: an address looked up for each cell doubles the time of the table.
    who = f"{escape(quote(row.person.login, safe=SAFE_IN_ADDRESS))}/{query}"
    name, write = escape(row.person.name), _one_level if grid.is_one_level else _short
    for cell, head in zip(row.cells, heads, strict=True):
        face = said.until_of(cell), cell.ends_soon(grid.on)
        piece = write(cell, face, name, head, said.first_of(cell), who)
        yield f'<td data-level="{head.title}">{piece}</td>'


def _short(cell: Cell, face: tuple[str, bool], name: str, head: _Head, first: str, who: str) -> str:
    """Block and day; pressed, the sentence and the way to the reasons. `face` is the last good day
    in words, and whether it comes soon.
    """
    opened = _opened(cell.answer.standing, face[0], first)
    return (
        f'<details class="answer" name="answer"><summary>{_face(cell.block, *face)}'
        f'<span class="unseen">: {name}, {head.title}</span></summary><div class="says">'
        f'<p><b>{name}, {head.title}</b></p>{opened}<a href="{head.address}{who}">{_why()}</a>'
        "</div></details>"
    )


def _one_level(
    cell: Cell, face: tuple[str, bool], name: str, head: _Head, first: str, who: str
) -> str:
    """Where one level only is asked about there is room for the sentence."""
    shown = _face(cell.block, *face)
    link = f'<a href="{head.address}{who}">{_why()}<span class="unseen">: {name}</span></a>'
    return f'{shown}</td><td class="sentence">{escape(first)} {link}'


@cache
def _why() -> str:
    return escape(gettext("Reasons and record"))


@cache
def _address(level: str) -> str:
    """The address of a level's answers up to the login."""
    return reverse("training:one", args=(level, "x")).removesuffix("x/")


@lru_cache(maxsize=4096)  # a day is written in as many ways as there are readers
def _face(block: str, until: str, is_soon: bool) -> str:
    """What a cell shows: the block, and the last good day or the word."""
    word = escape(say_block(block))
    said = f'<span class="unseen">{word} </span>{escape(until)}' if until else word
    said = f"<b>{said}</b>" if is_soon else said
    return f'<span class="standing {block}">{_mark(block)}{said}</span>'


@lru_cache(maxsize=4096)
def _opened(standing: str, until: str, first: str) -> str:
    """The sentences behind a cell: the answer first, the reason second."""
    told = {
        "alone": gettext("May work alone."),
        "watched": gettext("May work under supervision."),
        "no": gettext("May not do this."),
    }[standing]
    signed = gettext("Signed off {until}.").format(until=until) if until else first
    return f"<p>{escape(told)} {escape(signed)}</p>"


def _mark(block: str) -> str:
    return (
        f'<svg class="mark" aria-hidden="true" focusable="false"><use href="#mark-{block}"/></svg>'
    )


def standing_piece(standing: str, small: str) -> str:
    """The section block with its word and one small line, just as `pieces/_standing.html` writes
    it.
    """
    small = f"<small>{escape(small)}</small>" if small else ""
    word = escape(say_block(standing))
    return f'<span class="standing {standing}">{_mark(standing)}{word}{small}</span>'
