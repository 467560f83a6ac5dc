"""Where do the header, the phases and the steps of a text begin and end?"""

import re
from dataclasses import dataclass

LONGEST = 1_000_000

# Not splitlines(): that also cuts at U+2028 and form feeds, where no editor counts a line.
_BREAK = re.compile(r"\r\n|\n|\r")
_PARTED = re.compile(r"(\r\n|\n|\r)")
_HEADING = re.compile(r" {0,3}(#{2,3})(?!#)[ \t]*+(.*)$")
_FENCE = re.compile(r" {0,3}(`{3,}|~{3,})(.*)$")
RULER = "---"


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and the lines below it, up to the next heading. `depth` is 0 for the text before
    the first heading.
    """

    depth: int
    title: str
    written_id: str | None
    line: int
    end: int

    @property
    def lines(self) -> range:
        """The numbers of the lines below the heading."""
        return range(self.line + 1, self.end)


@dataclass(frozen=True, slots=True)
class Sheet:
    """A text cut into numbered lines (`line(1)` is the first) and sections; `header` is None where
    there is none. `open_fence` is the line of a code fence that never ends, 0 without one.
    """

    rows: tuple[str, ...]
    header: str | None
    closed: bool
    sections: tuple[Section, ...]
    fenced: frozenset[int]
    fences: frozenset[int]
    open_fence: int = 0

    def line(self, number: int) -> str:
        """The text of a line, counted from 1."""
        return self.rows[number - 1]


def split_lines(text: str) -> list[tuple[str, str]]:
    """Each line of a text with the line end behind it; put together again they give the text."""
    parts = _PARTED.split(text)
    return list(zip(parts[::2], [*parts[1::2], ""], strict=True))


def cut(text: str) -> Sheet:
    """The header and the sections of a text; what stands in a code fence is never a heading."""
    rows = tuple(_BREAK.split(text.removeprefix("\ufeff")))
    body, header, closed = _header(rows)
    sections: list[Section] = []
    fenced: set[int] = set()
    fences: set[int] = set()
    start: tuple[int, str, str | None, int] = (0, "", None, body - 1)
    fence = ""
    for number in range(body, len(rows) + 1):
        row = rows[number - 1]
        mark = _fence(row, fence)
        if fence or mark:
            fenced.add(number)
            if mark and not fence:
                fences.add(number)
            fence = "" if fence and mark else fence or mark
            continue
        heading = _HEADING.match(row)
        if heading:
            sections.append(Section(*start, number))
            title, written = _title(heading[2])
            start = (len(heading[1]), title, written if len(heading[1]) == 3 else None, number)
    sections.append(Section(*start, len(rows) + 1))
    return Sheet(
        rows,
        header,
        closed,
        tuple(sections),
        frozenset(fenced),
        frozenset(fences),
        max(fences) if fence else 0,
    )


def _header(rows: tuple[str, ...]) -> tuple[int, str | None, bool]:
    """The line on which the body starts, the header's text, and whether it ends where a header
    should.
    """
    if rows[0].rstrip() != RULER:
        return 1, None, True
    for index, row in enumerate(rows[1:], 1):
        if row.rstrip() == RULER:
            return index + 2, "\n".join(rows[1:index]), True
    # A header that never ends hides no steps: all of it is read as text, beside the fault.
    return 2, None, False


def _fence(row: str, open_with: str) -> str:
    """The mark with which this line opens a fence, or closes the open one; "" when it does
    neither.
    """
    found = _FENCE.match(row)
    if not found:
        return ""
    mark, rest = found[1], found[2]
    if not open_with:
        # CommonMark 4.5: with a backtick behind it, a row of backticks is code inside a line.
        return "" if mark[0] == "`" and "`" in rest else mark
    # CommonMark 4.5: a fence is closed by one at least as long, with nothing behind it.
    return mark if mark.startswith(open_with) and not rest.strip() else ""


def _title(written: str) -> tuple[str, str | None]:
    """The title of a heading and the id written behind it."""
    whole = written.strip()
    title, opening, rest = whole.rpartition("{#")
    if not opening or rest.find("}") != len(rest) - 1 or (title and not title[-1].isspace()):
        return whole, None
    return title.strip(), rest[:-1].strip()
