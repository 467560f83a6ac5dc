"""What stands in the text of a step below its fields: cautions, amounts, running text?"""

import re
from dataclasses import dataclass, field

from procedures.writeup.amounts import BadAmount, read_amount
from procedures.writeup.grammar import KEYS
from procedures.writeup.model import Amount, Caution, Fault
from procedures.writeup.remarks import remark
from procedures.writeup.sections import Sheet

CAUTION = re.compile(
    r"([ \t]*)!!![ \t]*(danger|warning|caution|notice)\b[ \t]*(.*)$", re.IGNORECASE
)
PART = re.compile(r"\s*(hazard|harm|avoid)[ \t]*:[ \t]*(.*)$", re.IGNORECASE)
# Markdown takes a line that stands in by more than three spaces for code.
_KEY = re.compile(r" {0,3}([a-z][a-z ]{0,20}):")
PICTURE = re.compile(r"\s*!\[[^\]]*\]\([^)]*\)\s*$")
TABLE = re.compile(r"\s*\|")
HEADING = re.compile(r"#{1,6}(?:\s|$)")
_CODE = re.compile(r"`[^`]*`")
NO_TEXT = (HEADING, PICTURE, TABLE)  # what tells nobody to do anything
# A sentence may be wrapped, so one line may end inside an amount.
INLINE_AMOUNT = re.compile(r"\[\[([^\[\]\n]+(?:\n[^\[\]\n]+)?)\]\]")
_WRAPPED = re.compile(r"\[\[[^\[\]]++$")
_REST = re.compile(r"[^\[\]]++\]\]")


@dataclass(slots=True)
class Body:
    """What a stretch of text holds. `first_text` is the line of its first running text, 0 without
    any.
    """

    text: str = ""
    cautions: list[Caution] = field(default_factory=list)
    amounts: list[Amount] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    first_text: int = 0


def read_body(sheet: Sheet, numbers: range, step: str | None, *, of_phase: bool = False) -> Body:
    """The text on these lines, read; faults carry the step's id."""
    # In the introduction “tool: …” may be a sentence; elsewhere somebody means it to have effect.
    asks = step is not None or of_phase
    body = Body()
    rest: list[str] = []
    above_is_text = False
    number = numbers.start
    while number < numbers.stop:
        row = sheet.line(number)
        opening = None if number in sheet.fenced else CAUTION.match(row)
        if opening:
            end = caution_end(sheet, number, numbers.stop, len(opening[1].expandtabs(4)))
            body.cautions.append(_caution(sheet, number, end, opening))
            _amounts(sheet, range(number, end), end, step, body)
            above_is_text = False
            number = end
            continue
        rest.append(row)
        if number not in sheet.fenced:
            _amounts(sheet, range(number, number + 1), numbers.stop, step, body)
        key = _key_of(row) if asks and not above_is_text and number not in sheet.fenced else ""
        if key:
            in_text, in_phase = remark("field-in-text", key=key), remark("field-in-phase", key=key)
            said = in_phase if of_phase else in_text
            body.faults.append(Fault("bad-field", "error", step, key, number, said))
            above_is_text = True
        else:
            above_is_text = _row(sheet, number, body)
        number += 1
    body.text = "\n".join(rest).strip("\n")
    return body


def _key_of(row: str) -> str:
    """The known key of a field with which a paragraph begins; empty where it begins with none.

    Inside a paragraph nobody asks: “check: …” may be a sentence that was wrapped.
    """
    found = _KEY.match(row)
    return found[1].strip() if found and found[1].strip() in KEYS else ""


def _row(sheet: Sheet, number: int, body: Body) -> bool:
    """Take one line of running text in; is it one that a paragraph can go on from?"""
    row = sheet.line(number)
    if not row.strip() or (number not in sheet.fenced and any(form.match(row) for form in NO_TEXT)):
        return False
    body.first_text = body.first_text or number
    return number not in sheet.fenced


def _amounts(sheet: Sheet, numbers: range, stop: int, step: str | None, body: Body) -> None:
    """Take in the amounts that begin on these lines; `stop` is where the text around them ends."""
    for number in numbers:
        if number in sheet.fenced or "[[" not in sheet.line(number):
            continue
        # In code an amount is shown as it is written, and so means nothing.
        row = _CODE.sub("", sheet.line(number))
        if _WRAPPED.search(row) and number + 1 < stop and number + 1 not in sheet.fenced:
            rest = _REST.match(sheet.line(number + 1))
            row += f" {rest[0]}" if rest else ""
        for found in INLINE_AMOUNT.finditer(row):
            written = found[1].strip()
            try:
                body.amounts.append(read_amount(written))
            except BadAmount as bad:
                body.faults.append(Fault("bad-amount", "error", step, written, number, bad.remark))


def _indent(row: str) -> int:
    wide = row.expandtabs(4)
    return len(wide) - len(wide.lstrip())


def caution_end(sheet: Sheet, start: int, stop: int, indent: int) -> int:
    """The number of the first line below a caution: its own lines stand further in than its first
    one.
    """
    end = start + 1
    for number in range(start + 1, stop):
        row = sheet.line(number)
        if row.strip():
            if _indent(row) <= indent:
                break
            end = number + 1
    return end


def _caution(sheet: Sheet, start: int, end: int, opening: re.Match[str]) -> Caution:
    """The caution that starts on a line; lines without a key of their own belong to the one
    above.
    """
    parts: dict[str, list[str]] = {"hazard": [], "harm": [], "avoid": [], "": []}
    key = ""
    for number in range(start + 1, end):
        row = sheet.line(number).strip()
        found = PART.match(row)
        if found:
            key, row = found[1].lower(), found[2].strip()
        # What follows a blank line is free text, not more of the avoidance above it.
        elif not row:
            key = ""
        parts[key].append(row)
    word = opening[2].lower()
    # Office programs turn straight quotation marks into curly ones.
    title = opening[3].strip().strip("\"“”„'‘’").strip() or word.upper()
    hazard, harm, avoid = (" ".join(parts[name]).strip() for name in ("hazard", "harm", "avoid"))
    return Caution(word, title, hazard, harm, avoid, "\n".join(parts[""]).strip(), start)
