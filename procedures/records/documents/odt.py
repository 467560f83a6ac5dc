"""What stands in a text document of OpenDocument (.odt)?

Element names and their meaning are those of OpenDocument 1.3, part 3 (OASIS, also ISO/IEC 26300).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from procedures.records.documents.docx_styles import find_child, find_value
from procedures.records.documents.model import BadDocument, Document, Gathering, OldPiece, Span
from procedures.records.documents.odt_styles import OdtStyles
from procedures.records.documents.parts import ZipParts, find_name
from procedures.records.documents.pictures import take_picture
from procedures.records.documents.tables import split_table
from procedures.writeup.remarks import Remark, remark

if TYPE_CHECKING:
    from lxml.etree import _Element

DEEPEST = 40
MOST_REPEATED = 100  # a cell says how often it is repeated, and could say a million
THROUGH = {"section", "text-box", "index-body", "a", "span", "ruby", "ruby-base", "meta-field"}
CONTENTS = {"table-of-content", "alphabetical-index", "illustration-index"}
OTHER_FILES = {"object", "object-ole"}
QUIET = {"sequence-decls", "variable-decls", "user-field-decls", "forms", "soft-page-break"}


def read_odt(data: bytes) -> Document:
    """What stands in the document. Raises BadDocument for what cannot be opened."""
    return _Reading(ZipParts(data)).read()


@dataclass(slots=True)
class _Inline:
    """What was met in the words of one paragraph."""

    runs: list[Span] = field(default_factory=list)
    frames: list[_Element] = field(default_factory=list)


class _Reading:
    """One document on its way into pieces."""

    def __init__(self, parts: ZipParts) -> None:
        self.parts = parts
        manifest = parts.xml("META-INF/manifest.xml")
        if manifest is not None and any(
            find_name(one) == "encryption-data" for one in manifest.iter()
        ):
            raise BadDocument(remark("document-locked"))
        root = parts.xml("content.xml")
        if root is None:
            raise BadDocument(remark("document-damaged"))
        self.root = root
        self.master = parts.xml("styles.xml")
        self.styles = OdtStyles(root, self.master)
        self.found = Gathering()
        self.paragraphs = self.tables = 0
        self.place: Remark = remark("place-paragraph", number=1)

    def read(self) -> Document:
        """Everything, in the order of the document."""
        whole = remark("place-document")
        if any(name.startswith(("Basic/", "Scripts/")) for name in self.parts.names):
            self.found.leave_out(whole, remark("left-macros"))
        body = next((one for one in self.root if find_name(one) == "body"), None)
        for text in [] if body is None else body:
            self._blocks(text, 0)
        for one in [] if self.master is None else self.master.iter():
            if find_name(one) in ("header", "footer") and _words(one):
                self.found.leave_out(whole, remark("left-head-or-foot"), _words(one))
        return self.found.end()

    def _blocks(self, holder: _Element, depth: int, doubt: Remark | None = None) -> None:
        if depth > DEEPEST:
            self.found.leave_out(self.place, remark("left-too-deep"))
            return
        for one in holder:
            name = find_name(one)
            if name in ("p", "h"):
                self._paragraph(one, depth, doubt=doubt)
            elif name == "list":
                self._list(one, depth, "", ())
            elif name == "table":
                self._table(one, depth)
            elif name == "frame":
                self._frame(one, depth)
            elif name in THROUGH:
                self._blocks(one, depth + 1, doubt)
            else:
                self._left_out(one, name)

    def _left_out(self, one: _Element, name: str) -> None:
        """What of a document is no part of a draft."""
        if name == "tracked-changes":
            for change in one.iter():
                if find_name(change) == "deletion":
                    self.found.leave_out(self.place, remark("left-deleted"), _deleted(change))
        elif name in CONTENTS:
            self.found.leave_out(self.place, remark("left-contents"), _words(one))
        elif name in OTHER_FILES:
            self.found.leave_out(self.place, remark("left-other-file"), _words(one))
        elif name not in QUIET and _words(one):
            self.found.leave_out(self.place, remark("left-drawing"), _words(one))

    def _list(self, one: _Element, depth: int, style: str, above: tuple[int, ...]) -> None:
        """The items of a list; `above` are the numbers of the items that it lies in."""
        if depth > DEEPEST:
            self.found.leave_out(self.place, remark("left-too-deep"))
            return
        style = find_value(one, "style-name") or style
        level = len(above)
        count = self.styles.begin_of(style, level, goes_on=find_value(one, "continue-numbering"))
        for item in one:
            if find_name(item) not in ("list-item", "list-header"):
                continue
            is_item = find_name(item) == "list-item"
            if is_item:
                said = find_value(item, "start-value")
                count = int(said) if said.isdecimal() and len(said) < 6 else count + 1
                self.styles.note(style, level, count)
            first = is_item
            for each in item:
                name = find_name(each)
                if name in ("p", "h"):
                    told = self.styles.item_of(style, (*above, count)) if first else None
                    self._paragraph(each, depth + 1, item=told)
                    first = False
                elif name == "list":
                    self._list(each, depth + 1, style, (*above, count))
                    first = False

    def _paragraph(
        self,
        one: _Element,
        depth: int,
        *,
        item: tuple[str, str, int] | None = None,
        doubt: Remark | None = None,
    ) -> None:
        look = self.styles.of_paragraph(find_value(one, "style-name"))
        inline = _Inline()
        before, self.place = self.place, remark("place-paragraph", number=self.paragraphs + 1)
        if look.left_by and _words(one):
            self.found.leave_out(self.place, look.left_by, _words(one))
        else:
            self._inline(one, look.is_bold, inline, depth)
        text = "".join(run.text for run in inline.runs).strip()
        if text or inline.frames:
            self.paragraphs += 1
        else:
            self.place = before
        if text:
            kind, label, level = item or ("text", "", 0)
            if find_name(one) == "h" and item is None:
                said = find_value(one, "outline-level")
                kind, label = "heading", said if said.isdecimal() and len(said) == 1 else "1"
            elif look.heading and item is None:
                kind, label = "heading", str(look.heading)
            elif look.signal_word and item is None:
                kind, label = "caution", look.signal_word
            for place, line in enumerate(_lines(inline.runs)):
                piece = OldPiece(self.place, kind, tuple(line), label, level, doubt=doubt)
                self.found.add(piece if place == 0 else OldPiece(self.place, "text", tuple(line)))
        for frame in inline.frames:
            self._frame(frame, depth)

    def _inline(self, holder: _Element, bold: bool, into: _Inline, depth: int) -> None:
        if depth > DEEPEST:
            self.found.leave_out(self.place, remark("left-too-deep"))
            return
        into.runs.append(Span(_flat(holder.text), bold))
        for one in holder:
            self._one(one, bold, into, depth)
            into.runs.append(Span(_flat(one.tail), bold))

    def _one(self, one: _Element, bold: bool, into: _Inline, depth: int) -> None:
        name = find_name(one)
        if name in ("s", "tab"):
            into.runs.append(Span(" ", bold))
        elif name == "line-break":
            into.runs.append(Span("\n", bold))
        elif name == "note":
            self.found.leave_out(
                self._here(), remark("left-note"), _words(find_child(one, "note-body"))
            )
        elif name == "annotation":
            self.found.leave_out(self._here(), remark("left-comment"), _words(one))
        elif name in ("hidden-text", "hidden-paragraph"):
            self.found.leave_out(
                self._here(), remark("left-hidden"), find_value(one, "string-value")
            )
        elif name in ("frame", "custom-shape", "g", "rect", "line"):
            into.frames.append(one)
        else:
            styled = self.styles.of_text(find_value(one, "style-name"), bold)
            if styled.left_by:
                self.found.leave_out(self._here(), styled.left_by, _words(one))
            else:
                self._inline(one, styled.is_bold, into, depth + 1)

    def _frame(self, one: _Element, depth: int) -> None:
        """A picture, or a text box after the paragraph that it hangs on."""
        said = _words(find_child(one, "desc")) or _words(find_child(one, "title"))
        image, box = find_child(one, "image"), find_child(one, "text-box")
        if image is not None:
            name = find_value(image, "href")
            if name in self.parts.names:
                take_picture(self.found, self.place, self.parts.blob(name), said)
            else:
                self.found.leave_out(self.place, remark("left-linked-picture"), said)
        elif box is not None:
            self._blocks(box, depth + 1, remark("from-text-box"))
        elif any(find_name(each) == "p" and _words(each) for each in one):
            self._blocks(one, depth + 1, remark("from-text-box"))
        elif any(find_name(each) in OTHER_FILES for each in one):
            self.found.leave_out(self.place, remark("left-other-file"), said)
        else:
            self.found.leave_out(self.place, remark("left-drawing"), said)

    def _table(self, one: _Element, depth: int) -> None:
        self.tables += 1
        place = self.place = remark("place-table", number=self.tables)
        frames: list[_Element] = []
        merged: dict[int, tuple[str, int]] = {}
        rows = tuple(
            self._row(row, merged, frames, depth)
            for row in one.iter()
            if find_name(row) == "table-row"
            and next((up for up in row.iterancestors() if find_name(up) == "table"), None) is one
        )
        for piece in split_table(place, rows):
            self.found.add(piece)
        for frame in frames:
            self._frame(frame, depth + 1)
        self.place = place

    def _row(
        self, row: _Element, merged: dict[int, tuple[str, int]], frames: list[_Element], depth: int
    ) -> tuple[str, ...]:
        """The words of a row's cells. What is merged downwards is for each of its rows; `merged`
        says of a column what, and for how many rows yet.
        """
        cells: list[str] = []
        for cell in row:
            if find_name(cell) not in ("table-cell", "covered-table-cell"):
                continue
            lines = []
            for one in cell.iter():
                if find_name(one) in ("p", "h") and not _is_in_table_of(one, cell):
                    inline = _Inline()
                    self._inline(one, False, inline, depth)
                    lines.append("".join(run.text for run in inline.runs))
                    frames += inline.frames
                elif find_name(one) == "table":
                    self.found.leave_out(self.place, remark("left-table-in-table"), _words(one))
            said = find_value(cell, "number-columns-repeated")
            times = int(said) if said.isdecimal() and len(said) < 4 else 1
            text = "\n".join(line for line in lines if line.strip())
            down = find_value(cell, "number-rows-spanned")
            if down.isdecimal() and len(down) < 4 and int(down) > 1:
                merged[len(cells)] = (text, int(down) - 1)
            for _ in range(min(times, MOST_REPEATED)):
                above, rows = merged.get(len(cells), ("", 0))
                if find_name(cell) == "covered-table-cell" and rows:
                    merged[len(cells)] = (above, rows - 1)
                    cells.append(text or above)
                else:
                    cells.append(text)
        while cells and not cells[-1]:
            cells.pop()
        return tuple(cells)

    def _here(self) -> Remark:
        if self.place.code == "place-table":
            return self.place
        return remark("place-paragraph", number=self.paragraphs + 1)


def _is_in_table_of(one: _Element, cell: _Element) -> bool:
    """Whether a paragraph stands in a table, a note or a frame inside the cell."""
    for up in one.iterancestors():
        if up is cell:
            return False
        if find_name(up) in ("table", "note", "frame", "annotation"):
            return True
    return False


def _flat(text: str | None) -> str:
    """White space in the file is one space, however it is laid out (OpenDocument 1.3, 6.1.2)."""
    if not text:
        return ""
    flat = " ".join(text.split())
    before = " " if text[:1].isspace() else ""
    after = " " if text[-1:].isspace() and flat else ""
    return f"{before}{flat}{after}"


def _words(root: _Element | None) -> str:
    return "" if root is None else " ".join("".join(map(str, root.itertext())).split())


def _deleted(change: _Element) -> str:
    """The words of a deletion, without who deleted them and when."""
    return " ".join(_words(one) for one in change if find_name(one) != "change-info")


def _lines(runs: list[Span]) -> list[list[Span]]:
    lines: list[list[Span]] = [[]]
    for run in runs:
        first, *rest = run.text.split("\n")
        lines[-1].append(Span(first, run.bold))
        lines += [[Span(text, run.bold)] for text in rest]
    return [line for line in lines if any(run.text.strip() for run in line)]
