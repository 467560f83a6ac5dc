"""Which sentences, lists and cautions does a write-up hold, and where does each stand?"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from procedures.writeup.body import CAUTION, NO_TEXT, PART, caution_end
from procedures.writeup.model import Caution, Step, WriteUp
from procedures.writeup.proof.sentences import LONGEST_SENTENCE, Sentence, split
from procedures.writeup.sections import LONGEST, Section, Sheet, cut

# the places of a caution: introduction, phase, step
GROUPED, SECTION, EMBEDDED = ("grouped", "section", "embedded")
TEXT, ITEM, NOTE = "text", "item", "note"

_ITEM = re.compile(r"(\s*)([-*+]|\d{1,6}[.)])\s+(.*)$")
_NOTE = re.compile(r"\W{0,3}note\b\W{0,3}[:.]\W{0,3}\s*", re.IGNORECASE)
_QUOTE = re.compile(r"\s*>+\s?")


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Sentences that belong together. `mark` is that of a list item, such as “-” or “3.”, `depth`
    how deep it stands (from 1).
    """

    kind: str
    sentences: tuple[Sentence, ...]
    line: int
    mark: str = ""
    depth: int = 0


@dataclass(frozen=True, slots=True)
class Message:
    """A caution with its sentences, and whether it comes after the first running text of its
    step.
    """

    caution: Caution
    place: str
    late: bool
    hazard: tuple[Sentence, ...]
    harm: tuple[Sentence, ...]
    avoid: tuple[Sentence, ...]
    free: tuple[Sentence, ...]

    @property
    def sentences(self) -> tuple[Sentence, ...]:
        return (*self.hazard, *self.harm, *self.avoid, *self.free)

    @property
    def full(self) -> bool:
        """Does it name its hazard, its harm and its avoidance?"""
        return bool(self.hazard and self.harm and self.avoid)


@dataclass(frozen=True, slots=True)
class Part:
    """The introduction, the text of a phase, or a step: its paragraphs and its cautions. `phase`
    counts from 0, -1 before any.
    """

    place: str
    line: int
    phase: int
    title: str
    step: Step | None
    paragraphs: tuple[Paragraph, ...]
    messages: tuple[Message, ...]

    @property
    def id(self) -> str | None:
        """The id of the step, None outside steps."""
        return self.step.id if self.step else None

    @property
    def sentences(self) -> Iterator[Sentence]:
        """The sentences of the running text, notes and lists included."""
        return (sentence for paragraph in self.paragraphs for sentence in paragraph.sentences)


@dataclass(frozen=True, slots=True)
class Reading:
    """A write-up with its parts in the order of the text."""

    writeup: WriteUp
    parts: tuple[Part, ...]
    _by_phase: dict[int, list[Part]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def __post_init__(self) -> None:
        for part in self.parts:
            self._by_phase.setdefault(part.phase, []).append(part)

    @property
    def steps(self) -> Iterator[Part]:
        return (part for part in self.parts if part.step)

    def phase_parts(self, phase: int) -> Iterator[Part]:
        """The parts of one phase, its own text first."""
        return iter(self._by_phase.get(phase, ()))


def read(writeup: WriteUp, text: str) -> Reading:
    """The parts of a write-up, from the text that it was parsed from. Nothing of a text that is too
    long to be parsed.
    """
    if len(text) > LONGEST:
        return Reading(writeup, ())
    sheet = cut(text)
    steps = iter(writeup.steps)
    parts: list[Part] = []
    phase = -1
    for section in sheet.sections:
        phase += section.depth == 2
        step = next(steps, None) if section.depth == 3 else None
        parts.append(_part(sheet, section, phase, step))
    return Reading(writeup, tuple(parts))


def _part(sheet: Sheet, section: Section, phase: int, step: Step | None) -> Part:
    place = {0: GROUPED, 2: SECTION}.get(section.depth, EMBEDDED)
    start = _below_fields(sheet, section.lines) if section.depth == 3 else section.lines.start
    writer = _Writer(sheet, place)
    number = start
    while number < section.end:
        number = writer.take(number, section.end)
    writer.close()
    return Part(
        place,
        # The introduction has no heading, and so no line of its own.
        max(1, section.line),
        phase,
        section.title[:LONGEST_SENTENCE],
        step,
        tuple(writer.paragraphs),
        tuple(writer.messages),
    )


def _below_fields(sheet: Sheet, numbers: range) -> int:
    """The line below the fields of a step."""
    return next(
        (number for number in numbers if not sheet.line(number).strip() or number in sheet.fences),
        numbers.stop,
    )


@dataclass(slots=True)
class _Writer:
    """Takes line after line and puts paragraphs and cautions together."""

    sheet: Sheet
    place: str
    paragraphs: list[Paragraph] = field(default_factory=list)
    messages: list[Message] = field(default_factory=list)
    rows: list[tuple[int, str]] = field(default_factory=list)
    mark: str = ""
    indents: list[int] = field(default_factory=list)
    any_text: bool = False

    def take(self, number: int, stop: int) -> int:
        """Take what begins on this line; the number of the next line to be read."""
        row = self.sheet.line(number)
        fenced = number in self.sheet.fenced
        opening = None if fenced else CAUTION.match(row)
        if opening:
            self.close()
            end = caution_end(self.sheet, number, stop, len(opening[1].expandtabs(4)))
            self.messages.append(self._message(number, end, opening))
            return end
        if fenced or not row.strip() or any(form.match(row) for form in NO_TEXT):
            self.close()
            self.any_text = self.any_text or fenced
            return number + 1
        self.any_text = True
        self._text(number, row[found.end() :] if (found := _QUOTE.match(row)) else row)
        return number + 1

    def close(self) -> None:
        """End the paragraph."""
        rows, self.rows = self.rows, []
        mark, self.mark = self.mark, ""
        note = _NOTE.match(rows[0][1]) if rows else None
        if note:
            rows[0] = (rows[0][0], rows[0][1][note.end() :])
        sentences = split(rows)
        if sentences:
            kind = NOTE if note else ITEM if mark else TEXT
            self.paragraphs.append(
                Paragraph(kind, sentences, rows[0][0], mark, len(self.indents) if mark else 0)
            )

    def _text(self, number: int, row: str) -> None:
        item = _ITEM.match(row)
        if item:
            self.close()
            indent = len(item[1].expandtabs(4))
            while self.indents and self.indents[-1] > indent:
                self.indents.pop()
            if not self.indents or self.indents[-1] < indent:
                self.indents.append(indent)
            self.mark, row = item[2], item[3]
        elif not self.rows and not row[:1].isspace():
            self.indents.clear()
        self.rows.append((number, row))

    def _message(self, start: int, end: int, opening: re.Match[str]) -> Message:
        """The caution on these lines, with the line of each sentence; the lines belong together as
        the parser has them.
        """
        rows: dict[str, list[tuple[int, str]]] = {"hazard": [], "harm": [], "avoid": [], "": []}
        key = ""
        for number in range(start + 1, end):
            row = self.sheet.line(number).strip()
            found = PART.match(row)
            if found:
                key, row = found[1].lower(), found[2]
            elif not row:
                key = ""
            rows[key].append((number, row))
        texts = {name: split(lines) for name, lines in rows.items()}
        said = {
            name: " ".join(sentence.text for sentence in sentences)
            for name, sentences in texts.items()
        }
        title = opening[3].strip().strip("\"“”„'‘’").strip()[:LONGEST_SENTENCE]
        caution = Caution(
            opening[2].lower(), title, said["hazard"], said["harm"], said["avoid"], said[""], start
        )
        late = self.place == EMBEDDED and self.any_text
        return Message(
            caution, self.place, late, texts["hazard"], texts["harm"], texts["avoid"], texts[""]
        )
