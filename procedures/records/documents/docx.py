"""What stands in a document of a word processor (.docx)?

Element names and their meaning are those of WordprocessingML, ECMA-376 Part 1, clause 17; how a
number of a list is counted is its clause 17.9. Text in a text box is written twice in a file, once
for older programs (`mc:AlternateContent`, Part 3); only one of them is read.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures.records.documents.docx_lists import Lists
from procedures.records.documents.docx_styles import Style, Styles, find_child, find_value, is_on
from procedures.records.documents.model import BadDocument, Document, Gathering, OldPiece, Span
from procedures.records.documents.parts import ZipParts, find_name, find_namespace
from procedures.records.documents.pictures import take_picture
from procedures.records.documents.tables import split_table
from procedures.writeup.remarks import Remark, remark

if TYPE_CHECKING:
    from lxml.etree import _Element

DEEPEST = 40  # levels of tables in tables, boxes in boxes
WIDEST = 100  # columns that a cell may say that it spans
W = (
    "http://schemas.openxmlformats.org/wordprocessingml/2006/main",
    "http://purl.oclc.org/ooxml/wordprocessingml/main",
)
R = (
    "http://schemas.openxmlformats.org/officeDocument/2006/relationships",
    "http://purl.oclc.org/ooxml/officeDocument/relationships",
)
MATHS = "http://schemas.openxmlformats.org/officeDocument/2006/math"
# What only holds others: its children are read as if they stood there themselves.
THROUGH = {
    *("ins", "moveTo", "hyperlink", "smartTag", "sdt", "sdtContent"),
    *("fldSimple", "customXml", "dir", "bdo"),
}
NOTES = {"footnoteReference": "footnotes", "endnoteReference": "endnotes"}
HIDDEN, STRUCK = remark("left-hidden"), remark("left-struck")
LEFT_BY = {"vanish": HIDDEN, "strike": STRUCK, "dstrike": STRUCK}
PLAIN = {"tab": " ", "noBreakHyphen": "-", "softHyphen": "", "cr": "\n"}


def read_docx(data: bytes) -> Document:
    """What stands in the document. Raises BadDocument for what cannot be opened."""
    return _Reading(ZipParts(data)).read()


class _Reading:
    """One document on its way into pieces."""

    def __init__(self, parts: ZipParts) -> None:
        self.parts = parts
        root = parts.xml("word/document.xml")
        if root is None:
            raise BadDocument(remark("document-damaged"))
        self.root = root
        self.styles = Styles(parts.xml("word/styles.xml"))
        self.lists = Lists(parts.xml("word/numbering.xml"))
        self.links = self._targets()
        self.found = Gathering()
        self.paragraphs = self.tables = 0
        self.place: Remark = remark("place-paragraph", number=1)
        self.boxes: list[list[_Element]] = []

    def read(self) -> Document:
        """Everything, in the order of the document."""
        whole = remark("place-document")
        if any(name.lower().endswith("vbaproject.bin") for name in self.parts.names):
            self.found.leave_out(whole, remark("left-macros"))
        for body in self.root:
            if find_name(body) == "body":
                self._blocks(body, 0)
        for kind in ("header", "footer"):
            for name in sorted(self.parts.names):
                if name.startswith(f"word/{kind}") and name.endswith(".xml"):
                    text = _words(self.parts.xml(name))
                    if text:
                        self.found.leave_out(whole, remark("left-head-or-foot"), text)
        return self.found.end()

    def _targets(self) -> dict[str, str]:
        """The name of the part behind each relationship; empty where it lies elsewhere."""
        root = self.parts.xml("word/_rels/document.xml.rels")
        return {
            one.get("Id", ""): ""
            if one.get("TargetMode") == "External"
            else _part_name(one.get("Target", ""))
            for one in ([] if root is None else root)
        }

    # ---- paragraphs and tables

    def _blocks(self, holder: _Element, depth: int) -> None:
        if depth > DEEPEST:
            self.found.leave_out(self.place, remark("left-too-deep"))
            return
        for one in holder:
            name = find_name(one)
            if find_namespace(one) not in W:
                self._stranger(one, depth)
            elif name == "p":
                self._paragraph(one, depth)
            elif name == "tbl":
                self._table(one, depth)
            elif name in THROUGH:
                self._blocks(one, depth + 1)
            elif name in ("del", "moveFrom"):
                self.found.leave_out(self.place, remark("left-deleted"), _words(one))
            elif name == "altChunk":
                self.found.leave_out(self.place, remark("left-other-file"))

    def _stranger(self, one: _Element, depth: int) -> None:
        """What is of another language than the document's: of two ways to write it, the first."""
        if find_name(one) == "AlternateContent" and len(one):
            self._blocks(one[0], depth + 1)
        elif find_namespace(one) == MATHS:
            self.found.leave_out(self.place, remark("left-formula"), _words(one))

    def _paragraph(self, one: _Element, depth: int, doubt: Remark | None = None) -> None:
        before, self.place = self.place, remark("place-paragraph", number=self.paragraphs + 1)
        runs, pictures = self._inline(one, Span("").bold, depth)
        style = self.styles.of_paragraph(one)
        text = "".join(run.text for run in runs).strip()
        if text or pictures:
            self.paragraphs += 1
        else:
            self.place = before
        if text:
            if style.is_bold:
                runs = [Span(run.text, True) for run in runs]
            self._pieces(runs, style, doubt)
        elif self.lists.is_in_one(one, style):
            self.lists.count(one, style)  # an empty item has its number too
        for name, said in pictures:
            blob = self.parts.blob(name) if name else None
            if name in self.parts.names or not name:
                take_picture(self.found, self.place, blob, said)
            else:
                self.found.leave_out(self.place, remark("left-linked-picture"), said)
        boxes, self.boxes = self.boxes, []
        for inner in boxes:
            for each in inner:
                self._box(each, depth + 1)

    def _box(self, holder: _Element, depth: int) -> None:
        """The paragraphs of a text box, after the paragraph that it hangs on."""
        if depth > DEEPEST:
            self.found.leave_out(self.place, remark("left-too-deep"))
            return
        for one in holder:
            if find_name(one) == "p" and find_namespace(one) in W:
                self._paragraph(one, depth, remark("from-text-box"))
            elif find_name(one) == "tbl":
                self._table(one, depth)

    def _pieces(self, runs: list[Span], style: Style, doubt: Remark | None) -> None:
        """The lines of a paragraph: the first one carries its number or is the heading."""
        lines = _lines(runs)
        kind, label, level = "text", "", 0
        if style.heading:
            kind, label = "heading", str(style.heading)
        elif style.signal_word:
            kind, label = "caution", style.signal_word
        elif style.item is not None:
            kind, label, level = self.lists.count_item(style.item)
        for place, line in enumerate(lines):
            piece = OldPiece(self.place, kind, tuple(line), label, level, doubt=doubt)
            self.found.add(piece if place == 0 else OldPiece(self.place, "text", tuple(line)))

    def _table(self, one: _Element, depth: int) -> None:
        self.tables += 1
        self.place = remark("place-table", number=self.tables)
        place = self.place
        rows, pictures = [], []
        above: dict[int, str] = {}
        for row in _of(one, "tr"):
            if any(find_name(each) == "del" for each in _within(row, "trPr")):
                self.found.leave_out(place, remark("left-deleted"), _words(row))
                continue
            cells, inner = self._row(row, above, depth)
            rows.append(cells)
            pictures += inner
        for piece in split_table(place, tuple(rows)):
            self.found.add(piece)
        for name, said in pictures:
            take_picture(self.found, place, self.parts.blob(name) if name else None, said)
        self.place = place

    def _row(
        self, row: _Element, above: dict[int, str], depth: int
    ) -> tuple[tuple[str, ...], list[tuple[str, str]]]:
        """The words of a row's cells by column, and its pictures. What is merged downwards is for
        each of its rows; `above` is what each column said last.
        """
        cells: list[str] = []
        pictures = []
        for cell in _of(row, "tc"):
            text, inner = self._cell(cell, depth + 1)
            pictures += inner
            look = next(iter(_of(cell, "tcPr")), None)
            merged = None if look is None else find_child(look, "vMerge")
            if merged is not None and find_value(merged, "val") != "restart" and not text:
                text = above.get(len(cells), "")
            above[len(cells)] = text
            said = "" if look is None else find_value(find_child(look, "gridSpan"), "val")
            wide = int(said) if said.isdecimal() and len(said) < 4 else 1
            # As many columns as it spans, so that what follows stays below its head.
            cells += [text, *[""] * (min(wide, WIDEST) - 1)]
        return tuple(cells), pictures

    def _cell(self, cell: _Element, depth: int) -> tuple[str, list[tuple[str, str]]]:
        """The words of a cell, a line for each paragraph, and its pictures."""
        lines, pictures = [], []
        if depth > DEEPEST:
            self.found.leave_out(self.place, remark("left-too-deep"))
            return "", []
        for one in cell:
            name = find_name(one)
            if name == "p":
                runs, inner = self._inline(one, False, depth)
                lines.append("".join(run.text for run in runs))
                pictures += inner
            elif name == "tbl":
                self.found.leave_out(self.place, remark("left-table-in-table"), _words(one))
            elif name in THROUGH:
                text, inner = self._cell(one, depth + 1)
                lines.append(text)
                pictures += inner
        return "\n".join(line for line in lines if line.strip()), pictures

    # ---- words

    def _inline(
        self, holder: _Element, bold: bool, depth: int
    ) -> tuple[list[Span], list[tuple[str, str]]]:
        """The words below an element, and the parts of its pictures with what they show."""
        runs: list[Span] = []
        pictures: list[tuple[str, str]] = []
        if depth > DEEPEST:
            self.found.leave_out(self.place, remark("left-too-deep"))
            return runs, pictures
        for one in holder:
            name = find_name(one)
            if find_namespace(one) == MATHS:
                self.found.leave_out(self._here(), remark("left-formula"), _words(one))
            elif name == "AlternateContent" and len(one):
                inner, more = self._inline(one[0], bold, depth + 1)
                runs, pictures = [*runs, *inner], [*pictures, *more]
            elif find_namespace(one) not in W:
                continue
            elif name == "r":
                self._run(one, runs, pictures, depth)
            elif name in THROUGH:
                inner, more = self._inline(one, bold, depth + 1)
                runs, pictures = [*runs, *inner], [*pictures, *more]
            elif name in ("del", "moveFrom"):
                self.found.leave_out(self._here(), remark("left-deleted"), _words(one))
        return runs, pictures

    def _run(
        self, run: _Element, runs: list[Span], pictures: list[tuple[str, str]], depth: int
    ) -> None:
        look = next(iter(_of(run, "rPr")), None)
        why = _why_left(look)
        if why:
            self.found.leave_out(self._here(), why, _words(run))
            return
        bold = self.styles.is_bold_run(look)
        for one in run:
            name = find_name(one)
            if name == "t":
                runs.append(Span(one.text or "", bold))
            elif name in PLAIN:
                runs.append(Span(PLAIN[name], bold))
            elif name == "br":
                runs.append(Span("\n" if find_value(one, "type") != "page" else " ", bold))
            elif name == "sym":
                self.found.leave_out(self._here(), remark("left-symbol"))
            elif name in NOTES:
                text = self._note(NOTES[name], find_value(one, "id"))
                self.found.leave_out(self._here(), remark("left-note"), text)
            elif name == "commentReference":
                text = self._note("comments", find_value(one, "id"))
                self.found.leave_out(self._here(), remark("left-comment"), text)
            elif name in ("drawing", "pict", "object", "AlternateContent"):
                self._drawing(one[0] if name == "AlternateContent" and len(one) else one, pictures)

    def _drawing(self, one: _Element, pictures: list[tuple[str, str]]) -> None:
        """The picture or the box that hangs on a paragraph; what is neither is told."""
        boxes = [each for each in one.iter() if find_name(each) == "txbxContent"]
        # A box inside a box is met again when the outer one is read.
        outer = [each for each in boxes if not any(up in boxes for up in each.iterancestors())]
        shows = [
            each
            for each in one.iter()
            if find_name(each) in ("blip", "imagedata")
            and not any(find_name(up) == "txbxContent" for up in each.iterancestors())
        ]
        said = next(
            (each.get("descr", "") for each in one.iter() if find_name(each) == "docPr"), ""
        )
        if outer:
            self.boxes.append(outer)
        for each in shows:
            key = _of_relation(each, "embed") or _of_relation(each, "id")
            if self.links.get(key):
                pictures.append((self.links[key], said))
            else:
                self.found.leave_out(self._here(), remark("left-linked-picture"), said)
        if not outer and not shows:
            self.found.leave_out(self._here(), remark("left-drawing"), said)

    def _note(self, part: str, key: str) -> str:
        """The words of a footnote or a comment."""
        root = self.parts.xml(f"word/{part}.xml")
        for one in [] if root is None else root:
            if find_value(one, "id") == key:
                return _words(one)
        return ""

    def _here(self) -> Remark:
        """The paragraph that is being read: its number is counted once its words are known."""
        if self.place.code == "place-table":
            return self.place
        return remark("place-paragraph", number=self.paragraphs + 1)


def _of(holder: _Element, name: str, depth: int = 0) -> list[_Element]:
    """The children of this name, also those in a control or an insertion around them."""
    found: list[_Element] = []
    for one in holder:
        if find_namespace(one) not in W:
            continue
        if find_name(one) == name:
            found.append(one)
        elif find_name(one) in THROUGH and depth < DEEPEST:
            found += _of(one, name, depth + 1)
    return found


def _why_left(look: _Element | None) -> Remark | None:
    """Why the words of a run are no part of the draft; None where they are."""
    if look is None:
        return None
    return next((why for name, why in LEFT_BY.items() if is_on(look, name)), None)


def _within(holder: _Element, name: str) -> list[_Element]:
    return [each for one in _of(holder, name) for each in one]


def _words(root: _Element | None) -> str:
    """All words below an element, as they are told where they are left out."""
    if root is None:
        return ""
    texts = (one.text or "" for one in root.iter() if find_name(one) in ("t", "delText"))
    return " ".join(" ".join(texts).split())


def _lines(runs: list[Span]) -> list[list[Span]]:
    """The runs cut at the line breaks; lines without a word fall away."""
    lines: list[list[Span]] = [[]]
    for run in runs:
        first, *rest = run.text.split("\n")
        lines[-1].append(Span(first, run.bold))
        lines += [[Span(text, run.bold)] for text in rest]
    return [line for line in lines if any(run.text.strip() for run in line)]


def _part_name(target: str) -> str:
    """Where a part lies in the file; a relationship names it from the folder of the document."""
    if target.startswith("/"):
        return target.removeprefix("/")
    names = ["word"]
    for name in target.split("/"):
        if name == "..":
            names = names[:-1]
        elif name not in ("", "."):
            names.append(name)
    return "/".join(names)


def _of_relation(element: _Element, name: str) -> str:
    return next(
        (element.get(f"{{{space}}}{name}", "") for space in R if element.get(f"{{{space}}}{name}")),
        "",
    )
