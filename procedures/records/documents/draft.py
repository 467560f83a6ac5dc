"""Which draft does a document give, and where in it stood each line?

The document is laid out as lines of an old procedure, and `procedures/writeup/old_text.py` makes
the draft of them. What counts as a warning or a heading besides is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from procedures.records.documents.model import Document, OldPiece, Span
from procedures.writeup.old_lines import SHORT, OldLine, read_line
from procedures.writeup.old_text import Guessed, draft_from_lines
from procedures.writeup.remarks import Remark, remark

BOLD_DEPTH = "6"  # a bold line is a heading below every other
_MARKUP = re.compile(r"([\\`*_\[\]])|<(?=[A-Za-z/!?])")
_BEGINS = re.compile(r"[#>!]")
_WARNS = re.compile(
    r"(?:never|do not|don[’']t|always|attention|important|beware|mind|caution|danger\w*)\b|.*!\Z",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Drafted:
    """The draft, and where each line of the old procedure stood; `pictures` are the names in it, in
    the order of the document's.
    """

    guessed: Guessed
    places: Mapping[int, Remark]
    pictures: tuple[str, ...]


def draft_from_document(document: Document, *, title: str = "", picture: str) -> Drafted:
    """The draft that a document gives; its pictures are named `picture` and a number."""
    lines: list[OldLine] = []
    places: dict[int, Remark] = {}
    names = tuple(f"{picture}-{at}" for at in range(1, len(document.pictures) + 1))
    before = ""
    for piece in document.pieces:
        # Items of one list stand close; everything else has a paragraph of its own.
        if lines and not (piece.kind == before and piece.kind in ("bullet", "letter", "number")):
            lines.append(OldLine(len(lines) + 1, "blank", "", ""))
        before = piece.kind
        for line in _lines_of(piece, document, names, len(lines) + 1):
            places[line.line] = piece.place
            lines.append(line)
    if lines:
        lines[0] = _as_title(lines[0], document.pieces[0])
    return Drafted(draft_from_lines(tuple(lines), title=title), places, names)


def _as_title(line: OldLine, piece: OldPiece) -> OldLine:
    """The first line without marks, since a title has none."""
    return replace(line, said=piece.text) if line.kind == "text" else line


def _lines_of(
    piece: OldPiece, document: Document, names: tuple[str, ...], number: int
) -> Iterator[OldLine]:
    if piece.kind == "picture":
        said = document.pictures[piece.picture].said
        shows = _escaped(said or f"Picture {piece.picture + 1} of the old procedure")
        drawn = f"![{shows}](drawing:{names[piece.picture]})"
        text = said or names[piece.picture]
        yield OldLine(number, "picture", text, drawn, doubt=remark("picture-taken"))
    elif piece.kind == "table":
        yield from _table(piece, number)
    elif piece.kind == "text":
        yield _text(piece, number)
    elif piece.torque is not None:
        torque, alone = piece.torque, " | ".join(_cells(piece.rows[0]))
        rows = _table_rows(piece.rows) if len(piece.rows) > 1 else [alone]
        below = tuple(rows)
        below += ("", torque.converted) if torque.converted else ()
        yield OldLine(
            number, "torque", piece.text, torque.title, torque.field, 0, piece.doubt, below
        )
    else:
        said = _marked(piece.runs)
        if piece.kind in ("heading", "caution"):
            said = piece.text if piece.kind == "heading" else _escaped(piece.text)
        shown = f"{piece.label}. {piece.text}" if piece.kind in ("number", "letter") else piece.text
        indent = 4 * piece.level
        yield OldLine(number, piece.kind, shown, said, piece.label, indent, piece.doubt)


def _table(piece: OldPiece, number: int) -> Iterator[OldLine]:
    """The rows as a table of Markdown, the first one as its head."""
    width = max(len(row) for row in piece.rows)
    doubts = piece.row_doubts or (piece.doubt, *(None for _ in piece.rows[1:]))
    rows = [(*row, *[""] * (width - len(row))) for row in piece.rows]
    texts = [" | ".join(cell for cell in row if cell) for row in piece.rows]
    # The line under the head is no line of the document.
    lines = zip(_table_rows(rows), [texts[0], "", *texts[1:]], strict=True)
    told = iter(doubts)
    for at, (said, text) in enumerate(lines):
        doubt = next(told) if at != 1 else None
        yield OldLine(number + at, "table", text, said, doubt=doubt)


def _table_rows(rows: Sequence[Sequence[str]]) -> list[str]:
    """Lines of Markdown for a table, the first row as its head."""
    lines = [f"| {' | '.join(_cells(row))} |" for row in rows]
    return [lines[0], "|" + " --- |" * len(rows[0]), *lines[1:]]


def _cells(row: Sequence[str]) -> tuple[str, ...]:
    """Cells as a table of Markdown takes them."""
    return tuple(_escaped(cell).replace("|", "\\|") for cell in row)


def _text(piece: OldPiece, number: int) -> OldLine:
    """A paragraph: what was typed as a number or a caution is one, and a bold one may be a warning
    or a heading.
    """
    text = piece.text
    read = read_line(number, text)
    if read.kind == "caution":
        return replace(read, said=_escaped(read.said), doubt=piece.doubt)
    if read.kind in ("number", "letter", "bullet") and read.said:
        said = _marked(_without(piece.runs, text[: len(text) - len(read.said)]))
        return replace(read, said=said, doubt=piece.doubt)
    if piece.is_bold and len(text) <= 4 * SHORT:
        if _WARNS.match(text):
            doubt = remark("bold-warning")
            return OldLine(number, "caution", text, _escaped(text), "warning", doubt=doubt)
        if len(text) <= SHORT and not text.endswith((".", ",", ";")):
            said = text.removesuffix(":")
            doubt = remark("bold-heading")
            return OldLine(number, "heading", text, said, BOLD_DEPTH, doubt=doubt)
    said = _marked(piece.runs)
    begun = f"\\{said}" if _BEGINS.match(said) else said
    return OldLine(number, "text", text, begun, doubt=piece.doubt)


def _without(runs: tuple[Span, ...], mark: str) -> tuple[Span, ...]:
    """The runs without the number that was typed before the words. White space is not counted: the
    runs may have any.
    """
    left = len("".join(mark.split()))
    kept = []
    for run in runs:
        at = 0
        while at < len(run.text) and left:
            left -= not run.text[at].isspace()
            at += 1
        kept.append(Span(run.text[at:], run.bold))
    return tuple(kept)


def _marked(runs: tuple[Span, ...]) -> str:
    """The words with stars round those that are bold; signs that would mean something else to the
    language are marked as plain signs.
    """
    found = ""
    for run in _joined(runs):
        inner = run.text.strip()
        before = run.text[: len(run.text) - len(run.text.lstrip())]
        after = run.text[len(run.text.rstrip()) :] if inner else ""
        words = _escaped(inner)
        found += f"{before}**{words}**{after}" if run.bold and inner else f"{before}{words}{after}"
    return " ".join(found.split())


def _joined(runs: tuple[Span, ...]) -> list[Span]:
    """Runs of one look as one: programs cut words into many."""
    found: list[Span] = []
    for run in runs:
        if found and found[-1].bold == run.bold:
            found[-1] = Span(found[-1].text + run.text, run.bold)
        elif run.text:
            found.append(run)
    return found


def _escaped(text: str) -> str:
    return _MARKUP.sub(lambda match: "&lt;" if match[0] == "<" else f"\\{match[0]}", text)
