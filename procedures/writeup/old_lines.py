"""What is each line of an old procedure: a heading, a numbered line, a caution, a ruler, or plain
text?
"""

import re
from dataclasses import dataclass

from procedures.writeup.remarks import Remark

SHORT = 80  # letters of a line that can be a heading

_BREAK = re.compile(r"\r\n|\n|\r")
_HEADING = re.compile(r" {0,3}(#{1,6})[ \t]++(.*)$")
_PART = re.compile(r"(?:phase|part|section)[ \t]+\d{1,3}\b.{0,70}$", re.IGNORECASE)
_RULER = re.compile(r"[ \t]*([=\-_*~])\1{2,}[ \t]*$")
# At most three digits: a year or a part number that begins a line is no step.
_NUMBER = re.compile(r"([ \t]*)\(?(\d{1,3}(?:\.\d{1,3})*)(?:[.):]|[ \t]+[-–—])(?:[ \t]+(.*)|$)")
_STEP = re.compile(
    r"([ \t]*)step[ \t]+(\d{1,3}(?:\.\d{1,3})*)\b[ \t]*[.):–—-]*[ \t]*(.*)$", re.IGNORECASE
)
_DOTTED = re.compile(r"([ \t]*)(\d{1,3}(?:\.\d{1,3})+)[ \t]+([^\W\d_a-z].*)$")
_LETTER = re.compile(r"([ \t]*)\(?([a-zA-Z])[.)][ \t]++(\s*+\S.*)$")
_BULLET = re.compile(r"([ \t]*)[-*•·][ \t]++(\s*+\S.*)$")
_WORDS = "(danger|warning|caution|notice)"
_CAUTION = re.compile(
    rf"[>\s*_!⚠\ufe0f]*{_WORDS}[*_]*[ \t]*[:!–—-][:!*_]*[ \t]*(.*)$", re.IGNORECASE
)
_CAUTION_ALONE = re.compile(r"[>\s*_!⚠\ufe0f]*(DANGER|WARNING|CAUTION|NOTICE)[\s*_.]*()$")
_CAUTION_OURS = re.compile(rf"[ \t]*!!![ \t]*{_WORDS}\b[ \t]*(.*)$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class OldLine:
    """One line: `kind` is blank, heading, number, letter, bullet, caution, ruler or text, and from
    a document also table, picture or torque; `said` is the line without its mark, or the title of
    the step that a torque becomes.

    `label` is the number, letter, signal word or the heading's depth, or the value of a torque;
    `indent` the width before it; `below` what stands below a torque. `doubt` is told where somebody
    guessed its kind before.
    """

    line: int
    kind: str
    text: str
    said: str
    label: str = ""
    indent: int = 0
    doubt: Remark | None = None
    below: tuple[str, ...] = ()

    @property
    def depth(self) -> int:
        """How deep a number (1.2.3 is three deep) or a heading stands."""
        return int(self.label) if self.kind == "heading" else self.label.count(".") + 1


def old_lines(text: str) -> tuple[OldLine, ...]:
    """Every line of an old text with what it is, numbered from 1."""
    rows = _BREAK.split(text.removeprefix("\ufeff"))
    found: list[OldLine] = []
    for number, row in enumerate(rows, 1):
        above = rows[number - 2] if number > 1 else ""
        below = rows[number] if number < len(rows) else ""
        found.append(read_line(number, row, above, below))
    return tuple(found)


def read_line(number: int, row: str, above: str = "", below: str = "") -> OldLine:
    """What one line is, between the lines above and below it."""
    text = row.strip()
    if not text:
        return OldLine(number, "blank", "", "")
    if _RULER.match(row):
        return OldLine(number, "ruler", text, text)
    heading = _HEADING.match(row)
    if heading and heading[2].rstrip("#").strip():
        return OldLine(
            number, "heading", text, heading[2].rstrip("#").strip(), str(len(heading[1]))
        )
    return (
        _marked(number, row, text)
        or _headed(number, text, above, below)
        or OldLine(number, "text", text, text)
    )


def _marked(number: int, row: str, text: str) -> OldLine | None:
    """The line, if it begins as a caution, a numbered line or an item of a list."""
    caution = _caution(row)
    if caution:
        return OldLine(number, "caution", text, caution[2].strip(), caution[1].lower())
    for kind, form in (
        ("number", _STEP),
        ("number", _NUMBER),
        ("number", _DOTTED),
        ("letter", _LETTER),
        ("bullet", _BULLET),
    ):
        found = form.match(row)
        if not found:
            continue
        indent, label, said = (
            found[1],
            found[2] if kind != "bullet" else "",
            (found[found.lastindex or 1] or "").strip(),
        )
        said = "" if kind == "number" and found[3] is None else said
        # In “3. WARNING: …” the number counts the caution, not a step.
        inner = _caution(said)
        if inner:
            return OldLine(number, "caution", text, inner[2].strip(), inner[1].lower())
        return OldLine(number, kind, text, said, label, len(indent.expandtabs(4)))
    return None


def _caution(row: str) -> re.Match[str] | None:
    return _CAUTION_OURS.match(row) or _CAUTION.match(row) or _CAUTION_ALONE.match(row)


def _headed(number: int, text: str, above: str, below: str) -> OldLine | None:
    """The line, if it looks like a heading: underlined, in capitals, or named as a part, with
    nothing above it.
    """
    # A heading stands by itself; with a line above it, capitals are a shout inside a text.
    if above.strip() or len(text) > SHORT:
        return None
    underlined = bool(_RULER.match(below))
    capitals = (
        text.isupper() and sum(letter.isalpha() for letter in text) >= 4 and not text.endswith(".")
    )
    if underlined or capitals or _PART.match(text):
        return OldLine(number, "heading", text, text, "2")
    return None
