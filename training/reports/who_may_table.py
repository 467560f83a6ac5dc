"""How is the big table of who may do what written, cell by cell?

In Python as trusted pieces, of which few are distinct, because a template takes many times as long
over thousands of cells. Each text from the shop is escaped where it comes in.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from urllib.parse import quote

from django.urls import reverse
from django.utils.html import escape
from django.utils.safestring import SafeString

from training.reports.who_may import Grid

# what Django's own addresses leave as it is (RFC 3986, 2.2 and 3.3)
SAFE_IN_ADDRESS = "!$&'()*+,;=/~:@"


def table_rows(grid: Grid, query: str) -> SafeString:
    """The rows of the table's body; `query` is the question as the end of an address, without its
    question mark.
    """
    # every text in it is escaped
    return SafeString("".join(_pieces(grid, escape(f"?{query}") if query else "")))


def wall_rows(grid: Grid) -> SafeString:
    """The rows of the sheet for the wall: nothing to click, and beside an answer only the day on
    which it lapses.
    """
    block = cache(standing_piece)
    rows = (
        f'<tr><th scope="row">{escape(row.person.name)}'
        f"<small>{escape(row.trade)} · {escape(row.presence)}</small></th>"
        + "".join(
            f'<td data-level="{escape(cell.title)}">{block(cell.answer.standing, cell.lapse)}</td>'
            for cell in row.cells
        )
        + "</tr>"
        for row in grid.rows
    )
    return SafeString("".join(rows))  # every text in it is escaped


def _pieces(grid: Grid, query: str) -> Iterator[str]:
    heads = [
        (
            f'<td data-level="{escape(title)}"><a class="answer" href="{escape(_address(level))}',
            f" at {escape(title)}</span></a></td>",
        )
        for level, title in grid.levels
    ]
    block = cache(standing_piece)
    for row in grid.rows:
        who, name = (
            f"{escape(quote(row.person.login, safe=SAFE_IN_ADDRESS))}/{query}",
            escape(row.person.name),
        )
        what = escape(row.trade_and_workshop if grid.has_workshops else row.trade)
        there = escape(row.presence)
        yield f'<tr><th scope="row">{name}<small>{what} · {there}</small></th>'
        for (before, after), cell in zip(heads, row.cells, strict=True):
            block_ = block(cell.answer.standing, cell.small)
            yield f'{before}{who}">{block_}<span class="unseen">: why, for {name}{after}'
        yield "</tr>"


def _address(level: str) -> str:
    """The address of a level's answers up to the login."""
    return reverse("training:one", args=(level, "x")).removesuffix("x/")


def standing_piece(standing: str, small: str) -> str:
    """The section block with its word and one small line, just as `pieces/_standing.html` writes
    it.
    """
    small = f"<small>{escape(small)}</small>" if small else ""
    return (
        f'<span class="standing {standing}"><svg class="mark" aria-hidden="true" focusable="false">'
        f'<use href="#mark-{standing}"/></svg>{standing}{small}</span>'
    )
