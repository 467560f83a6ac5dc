"""What stands in a PDF?

A PDF (ISO 32000) holds words at places and no paragraphs, headings or tables: lines are put
together again by where they stand, and a heading is told by its size. All of that is a guess, and
it is said once for the whole document.
"""

from __future__ import annotations

import io
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from procedures.records.documents.model import BadDocument, Document, Gathering, OldPiece, Span
from procedures.records.documents.pictures import take_picture
from procedures.writeup.old_lines import read_line
from procedures.writeup.remarks import remark

MOST_PAGES = 60
LARGEST_PAGE = 3_000_000  # bytes of one page's drawing, unpacked
MOST_PIXELS = 16_000_000  # of a picture: it is unpacked whole
LARGER = 1.15  # a line that much larger than the most words is a heading
REPEATED = 3  # pages on which a line must stand to be a head or a foot
_DIGITS = re.compile(r"\d+")
_Picture = tuple[Any, str]  # the page and the name of the picture on it


@dataclass(slots=True)
class _Line:
    """One line of a page: its words, their size, and how far down it stands."""

    page: int
    runs: list[Span] = field(default_factory=list)
    size: float = 0.0
    down: float = 0.0

    @property
    def text(self) -> str:
        return " ".join("".join(run.text for run in self.runs).split())

    @property
    def is_bold(self) -> bool:
        words = [run for run in self.runs if run.text.strip()]
        return bool(words) and all(run.bold for run in words)


def read_pdf(data: bytes) -> Document:
    """What stands in the PDF. Raises BadDocument for what cannot be opened, is locked, or has too
    many pages.
    """
    from pypdf import PdfReader

    with _bounded():
        try:
            reader = PdfReader(io.BytesIO(data))
            is_locked = reader.is_encrypted
            count = 0 if is_locked else len(reader.pages)
        # The library raises whatever a broken file makes it stumble over.
        except Exception as broken:
            raise BadDocument(remark("document-damaged")) from broken
        if is_locked:
            raise BadDocument(remark("document-locked"))
        if count > MOST_PAGES:
            raise BadDocument(remark("document-many-pages", count=count, most=MOST_PAGES))
        return _read_pages(reader, count)


def _read_pages(reader: Any, count: int) -> Document:
    found = Gathering()
    lines: list[_Line] = []
    pictures: list[tuple[int, _Picture]] = []
    for number in range(count):
        place = remark("place-page", number=number + 1)
        try:
            page = reader.pages[number]
            own = _lines_of(page, number)
            pictures += [(number, one) for one in _pictures_of(page)]
        except BadDocument:
            raise
        except Exception:  # as above: the other pages may be whole
            found.leave_out(place, remark("left-page"))
            continue
        if not own:
            found.leave_out(place, remark("left-page-without-words"))
        lines += own
    _write(found, lines, pictures)
    if found.pieces:
        found.leave_out(remark("place-document"), remark("left-layout"))
    return found.end()


def _bounded() -> Any:
    """The library with less memory than it would take by itself."""
    from pypdf import apply_configuration

    return apply_configuration(
        zlib_maximum_output_length=LARGEST_PAGE * 16,
        lzw_maximum_output_length=LARGEST_PAGE * 16,
        run_length_maximum_output_length=LARGEST_PAGE * 16,
    )


def _lines_of(page: Any, number: int) -> list[_Line]:
    """The lines of a page, from top to bottom as the file has them."""
    content = page.get_contents()
    if content is not None and len(content.get_data()) > LARGEST_PAGE:
        raise BadDocument(remark("document-bomb", most=LARGEST_PAGE // 1_000_000))
    lines = [_Line(number)]

    def visit(text: str, cm: Any, tm: Any, font: Any, size: float) -> None:
        bold = "bold" in str((font or {}).get("/BaseFont", "")).lower()
        scale = abs(tm[3] * cm[3]) or 1.0
        for place, part in enumerate(text.split("\n")):
            if place:
                lines.append(_Line(number))
            if part.strip():
                line = lines[-1]
                if not line.text:
                    line.down = tm[5] * (cm[3] or 1.0) + cm[5]
                line.size = max(line.size, float(size) * scale)
            if part:
                lines[-1].runs.append(Span(part, bold))

    page.extract_text(visitor_text=visit)
    return [line for line in lines if line.text]


def _write(found: Gathering, lines: list[_Line], pictures: list[tuple[int, _Picture]]) -> None:
    """The paragraphs of all pages, and after each page its pictures."""
    lines = _without_heads(found, lines)
    sizes = Counter[float]()
    for line in lines:
        sizes[round(line.size, 1)] += len(line.text)
    body = sizes.most_common(1)[0][0] if sizes else 0.0
    larger = sorted(
        {round(line.size, 1) for line in lines if line.size > body * LARGER}, reverse=True
    )
    waiting = list(pictures)
    for paragraph in _paragraphs(lines, body):
        while waiting and waiting[0][0] < paragraph[0].page:
            _take(found, waiting.pop(0))
        place = remark("place-page", number=paragraph[0].page + 1)
        runs = tuple(
            run
            for at, line in enumerate(paragraph)
            for run in ([Span(" ", line.is_bold)] if at else []) + line.runs
        )
        size = round(paragraph[0].size, 1)
        if size in larger and len(paragraph) <= 2:
            found.add(OldPiece(place, "heading", runs, str(min(larger.index(size) + 1, 6))))
        else:
            found.add(OldPiece(place, "text", runs))
    for one in waiting:
        _take(found, one)


def _paragraphs(lines: list[_Line], body: float) -> Iterator[list[_Line]]:
    """Lines that belong together: the next one goes on where it stands close below, looks the same
    and begins nothing of its own.
    """
    open_lines: list[_Line] = []
    for line in lines:
        before = open_lines[-1] if open_lines else None
        if before is not None and _goes_on(before, line, body):
            open_lines.append(line)
            continue
        if open_lines:
            yield open_lines
        open_lines = [line]
    if open_lines:
        yield open_lines


def _goes_on(before: _Line, line: _Line, body: float) -> bool:
    if read_line(1, line.text).kind != "text" or round(before.size, 1) != round(line.size, 1):
        return False
    if before.is_bold != line.is_bold:
        return False
    gap = before.down - line.down
    is_close = before.page == line.page and 0 < gap <= 1.6 * max(line.size, body, 1.0)
    is_open = not before.text.endswith((".", ":", "!", "?")) or line.text[:1].islower()
    return is_open and (is_close or line.text[:1].islower())


def _without_heads(found: Gathering, lines: list[_Line]) -> list[_Line]:
    """The lines without those that stand on top or at the bottom of many pages."""
    edges: dict[str, set[int]] = {}
    of_page: dict[int, list[_Line]] = {}
    for line in lines:
        of_page.setdefault(line.page, []).append(line)
    for page, own in of_page.items():
        for line in (own[0], own[-1]):
            edges.setdefault(_DIGITS.sub("#", line.text), set()).add(page)
    needed = max(REPEATED, len(of_page) // 2)
    heads = {text for text, pages in edges.items() if len(pages) >= needed}
    kept = []
    told: set[str] = set()
    for line in lines:
        text = _DIGITS.sub("#", line.text)
        if text in heads and line in (of_page[line.page][0], of_page[line.page][-1]):
            if text not in told:
                told.add(text)
                found.leave_out(remark("place-document"), remark("left-head-or-foot"), line.text)
        else:
            kept.append(line)
    return kept


def _pictures_of(page: Any) -> list[_Picture]:
    """The pictures of a page, not unpacked: the page and the name of each."""
    return [(page, name) for name in list(page.images.keys()) if isinstance(name, str)]


def _take(found: Gathering, picture: tuple[int, _Picture]) -> None:
    place, (page, name) = remark("place-page", number=picture[0] + 1), picture[1]
    try:
        row = page["/Resources"]["/XObject"][name]
        width, height = int(row.get("/Width", 0)), int(row.get("/Height", 0))
        if width * height > MOST_PIXELS:
            size, most = width * height / 1e6, MOST_PIXELS // 1_000_000
            why = remark("photo-too-large", size=size, most=most)
            found.leave_out(place, remark("picture-not-taken", why=why))
            return
        data = page.images[name].data
    except Exception:  # as above
        found.leave_out(place, remark("picture-damaged"))
        return
    take_picture(found, place, data, "")
