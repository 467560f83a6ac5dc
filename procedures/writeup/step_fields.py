"""What does a step say as the fields of a form, and how do fields go back into its text?

Only the lines of a field that was changed are written anew. Lines that are no field, and cautions
further down in the text, stay where they are.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from procedures.writeup.blocks import cut_blocks, field_lines
from procedures.writeup.body import CAUTION, caution_end, read_body
from procedures.writeup.grammar import KEYS, split_values
from procedures.writeup.pieces import FIELDS
from procedures.writeup.remarks import Unreadable, remark
from procedures.writeup.sections import cut, split_lines
from procedures.writeup.step_pictures import StepPicture, part_pictures, pictures_in

# In the order in which they are asked for, and written.
ORDER = tuple(piece.label for piece in FIELDS)
# A reason is a sentence and may hold a semicolon.
WHOLE = "critical"


@dataclass(frozen=True, slots=True)
class Warned:
    """A caution as the fields of a form; `more` is what stands in it beside its three lines."""

    word: str
    title: str
    hazard: str = ""
    harm: str = ""
    avoid: str = ""
    more: str = ""


@dataclass(frozen=True, slots=True)
class StepFields:
    """A step as the fields of a form: `values` by the key of the field as it is written, `cautions`
    those before its text, `before` and `after` the pictures that stand there on lines of their own.
    A key without values is left out.
    """

    title: str
    values: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    cautions: tuple[Warned, ...] = ()
    body: str = ""
    before: tuple[StepPicture, ...] = ()
    after: tuple[StepPicture, ...] = ()


@dataclass(frozen=True, slots=True)
class _Parts:
    """The lines of a step, apart: heading, field lines, each caution before the text with the line
    on which it begins, and the text.
    """

    rows: list[str]
    fields: range
    cautions: tuple[tuple[int, int, Warned], ...]
    below: int
    text: range

    @property
    def pictured(self) -> tuple[list[str], list[str], list[str]]:
        """The lines of the pictures above the text, of the text, and of those below it."""
        rows, text = self.rows, self.text
        parts = rows[self.below : text.start], rows[text.start : text.stop], rows[text.stop :]
        above, words, under = (_filled(part) for part in parts)
        return above, words, under

    def read(self) -> StepFields:
        """The fields that these lines say."""
        values: dict[str, tuple[str, ...]] = {}
        for at in self.fields:
            key, said = _field_of(self.rows[at])
            if said:
                values[key] = (*values.get(key, ()), *said)
        if WHOLE in values:
            values[WHOLE] = (" ".join(values[WHOLE]),)
        title = cut("\n".join(["", self.rows[0]])).sections[-1].title
        cautions = tuple(warned for _, _, warned in self.cautions)
        above, words, under = self.pictured
        pictures = pictures_in(above), pictures_in(under)
        return StepFields(title, values, cautions, "\n".join(words), *pictures)


def read_step(text: str) -> StepFields:
    """The fields of the text of one step. Raises Unreadable for a text that is no step."""
    return _parts(text).read()


def write_step(text: str, said: StepFields) -> str:
    """The text of the step with these fields; the same text, letter by letter, where they say what
    it says. Raises Unreadable where they would be read otherwise than they are meant.
    """
    parts = _parts(text)
    was = parts.read()
    if said == was:
        return text
    rows = [
        parts.rows[0] if said.title == was.title else _heading(text, said.title),
        *_field_rows(parts, was.values, said.values),
        *_caution_rows(parts, was, said),
    ]
    if (said.before, said.body, said.after) == (was.before, was.body, was.after):
        rows += parts.rows[parts.below :]
    else:
        rows = _without_blank(rows)
        for part in _text_rows(parts, was, said):
            rows += ["", *part] if part else []
    end = next((end for _, end in split_lines(text) if end), "\n")
    new = end.join(_without_blank(rows))
    if len(cut_blocks(f"\n{new}").blocks) != 2 or read_step(new) != said:
        raise Unreadable(remark("step-reads-otherwise"))
    return new


def _parts(text: str) -> _Parts:
    sheet = cut(f"\n{text}")
    if len(sheet.sections) != 2 or sheet.sections[1].depth != 3 or sheet.sections[1].line != 2:
        raise Unreadable(remark("block-without-heading"))
    rows = list(sheet.rows[1:])
    fields = field_lines(text)
    # Line numbers of the sheet are one more than the places in `rows` and one more again from 1.
    at = fields.stop
    found: list[tuple[int, int, Warned]] = []
    while at < len(rows):
        if not rows[at].strip():
            at += 1
            continue
        opening = None if at + 2 in sheet.fenced else CAUTION.match(rows[at])
        if not opening:
            break
        indent = len(opening[1].expandtabs(4))
        end = caution_end(sheet, at + 2, len(rows) + 2, indent) - 2
        (told,) = read_body(sheet, range(at + 2, end + 2), None).cautions
        said = Warned(told.word, told.title, told.hazard, told.harm, told.avoid, told.text)
        found.append((at, end, said))
        at = end
    fenced = {number - 2 - at for number in sheet.fenced if number - 2 >= at}
    start, stop = part_pictures(rows[at:], fenced)
    return _Parts(rows, fields, tuple(found), at, range(at + start, at + stop))


def _field_of(row: str) -> tuple[str, tuple[str, ...]]:
    """The key of a field line and its values; no values for a line that is no field."""
    key, colon, value = (piece.strip() for piece in row.partition(":"))
    if not colon or key not in KEYS:
        return "", ()
    values = (value,) if key == WHOLE else tuple(split_values(value))
    return key, tuple(one for one in values if one)


def _heading(text: str, title: str) -> str:
    """The heading with another title, and the id that it had."""
    written = cut(f"\n{text}").sections[1].written_id
    return f"### {title}" + ("" if written is None else f" {{#{written}}}")


def _field_rows(
    parts: _Parts, was: Mapping[str, tuple[str, ...]], said: Mapping[str, tuple[str, ...]]
) -> list[str]:
    """The field lines: of a key that was changed one line, where its first one stood."""
    rows: list[tuple[str, str]] = []
    left = {key for key in ORDER if said.get(key) and said.get(key) != was.get(key)}
    for at in parts.fields:
        row = parts.rows[at]
        key = _key_of(row)
        if said.get(key) == was.get(key):
            rows.append((key, row))
        elif key in left:
            rows.append((key, _field_row(key, said[key])))
            left.discard(key)
    for key in (key for key in ORDER if key in left):
        before = [
            at
            for at, (other, _) in enumerate(rows)
            if other and ORDER.index(other) < ORDER.index(key)
        ]
        rows.insert(before[-1] + 1 if before else 0, (key, _field_row(key, said[key])))
    return [row for _, row in rows]


def _key_of(row: str) -> str:
    key, colon, _ = (piece.strip() for piece in row.partition(":"))
    return key if colon and key in KEYS else ""


def _field_row(key: str, values: tuple[str, ...]) -> str:
    return f"{key}: {'; '.join(values)}"


def _caution_rows(parts: _Parts, was: StepFields, said: StepFields) -> list[str]:
    """The lines between the fields and the text; those of a caution that stays are not touched."""
    if said.cautions == was.cautions:
        return parts.rows[parts.fields.stop : parts.below]
    old = {warned: parts.rows[first:end] for first, end, warned in parts.cautions}
    written = [
        ["", *_without_blank(old[warned] if warned in old else _caution(warned))]
        for warned in said.cautions
    ]
    return [*(row for rows in written for row in rows), ""]


def _text_rows(parts: _Parts, was: StepFields, said: StepFields) -> Iterator[list[str]]:
    """The lines of the pictures above the text, of the text and of the pictures below it; those
    that stay are not touched.
    """
    above, words, under = parts.pictured
    yield above if said.before == was.before else _picture_rows(said.before)
    yield words if said.body == was.body else said.body.split("\n")
    yield under if said.after == was.after else _picture_rows(said.after)


def _picture_rows(pictures: Sequence[StepPicture]) -> list[str]:
    """A paragraph for each of them."""
    return [row for picture in pictures for row in ("", picture.written)][1:]


def _caution(warned: Warned) -> list[str]:
    lines = [f'!!! {warned.word} "{warned.title}"']
    lines += [
        f"    {key}: {value}"
        for key, value in (
            ("hazard", warned.hazard),
            ("harm", warned.harm),
            ("avoid", warned.avoid),
        )
        if value
    ]
    if warned.more:
        lines += ["", *(f"    {row}".rstrip() for row in warned.more.split("\n"))]
    return lines


def _filled(rows: Sequence[str]) -> list[str]:
    """The lines without blank ones at either end."""
    start = next((at for at, row in enumerate(rows) if row.strip()), len(rows))
    return _without_blank(rows[start:])


def _without_blank(rows: Sequence[str]) -> list[str]:
    """The lines without blank ones at their end."""
    stop = next((at for at in range(len(rows), 0, -1) if rows[at - 1].strip()), 0)
    return list(rows[:stop])
