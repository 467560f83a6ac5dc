"""Which draft can be made of an old procedure, and what in it is only a guess?

Nothing is dropped: every line of the old text stands in the draft, in the step, phase or
introduction where it was read. The guesses (numbered lines are steps, headings are phases, a
caution belongs to the step after it) are common practice, no source.
"""

import re
from dataclasses import dataclass, field

import yaml

from procedures.writeup.letters import strip_hidden
from procedures.writeup.old_lines import SHORT, OldLine, old_lines
from procedures.writeup.old_tables import take_torques
from procedures.writeup.parse import parse
from procedures.writeup.remarks import Remark, remark

LONGEST_TITLE = 200
TITLE = 70  # letters of a step's title
UNTITLED = "Untitled procedure"
# No command, so the proofing asks for another text before a release.
NOT_READ = "From the old document, not yet read."

_NAMES_A_STEP = re.compile(r"\bsteps?[ \t]+\d", re.IGNORECASE)
_SENTENCE = re.compile(r"(.+?[.!?])(?:\s|$)")
_BOLD = re.compile(r"\*\*([^*]++)\*\*")
_ESCAPED = re.compile(r"\\([\\`*_\[\]<#>!])")
# What the language would take for a phase, a step or a fence.
_STRUCTURE = re.compile(r"( {0,3})(?:#{2,3}(?!#)|`{3,}|~{3,})")


@dataclass(frozen=True, slots=True)
class Unsure:
    """A line of the old text whose place is a guess, and where it stands now."""

    line: int
    text: str
    why: Remark


@dataclass(frozen=True, slots=True)
class ReadAs:
    """What a line of the old text was understood as: title, phase, step, caution, text, table or
    picture.
    """

    line: int
    text: str
    kind: str


@dataclass(frozen=True, slots=True)
class Guessed:
    """The draft, its title, what somebody should look at, and how each line was understood (empty
    for a text that is a write-up already).
    """

    title: str
    text: str
    unsure: tuple[Unsure, ...]
    read: tuple[ReadAs, ...] = ()


@dataclass(slots=True)
class _Block:
    """Lines that belong together; `gap` says that a blank line stood above."""

    kind: str
    line: OldLine
    rows: list[str] = field(default_factory=list)
    gap: bool = False
    joined: list[OldLine] = field(default_factory=list)


def draft_from_old(text: str, *, title: str = "") -> Guessed:
    """The draft of a write-up that an old text gives; one that is a write-up already stays as it
    is. `title` goes before its own.
    """
    read = parse(text)
    if read.title and read.steps and not any(fault.code == "bad-header" for fault in read.faults):
        return Guessed(read.title, text, ())
    return draft_from_lines(take_torques(old_lines(text)), title=title)


def draft_from_lines(lines: tuple[OldLine, ...], *, title: str = "") -> Guessed:
    """The draft that the lines of an old procedure give, wherever they were read."""
    first = _title_line(lines)
    if not title and first is not None:
        title = _title_of(first)
    elif first is not None and _title_of(first) != title:
        first = None
    title = title or UNTITLED
    writing = _Writing()
    for block in _blocks(lines, _steps_of(lines, first), first):
        writing.take(block)
    writing.end()
    # Without the width the library folds a long title over several lines.
    header = yaml.safe_dump({"title": title}, allow_unicode=True, width=10_000).strip()
    return Guessed(
        title,
        "\n".join(["---", header, "---", *writing.rows, ""]),
        tuple(sorted(writing.unsure, key=lambda one: one.line)),
        tuple(sorted(writing.read, key=lambda one: one.line)),
    )


def _title_of(line: OldLine) -> str:
    """What the line says, without letters that nobody sees: a header takes none."""
    seen = (letter if strip_hidden(letter) else " " for letter in line.said)
    return " ".join("".join(seen).split())


def _title_line(lines: tuple[OldLine, ...]) -> OldLine | None:
    """The first line, if it can be the title of the whole."""
    first = next((line for line in lines if line.kind != "blank"), None)
    if (
        first is None
        or first.kind not in ("heading", "text")
        or len(first.said) > (LONGEST_TITLE if first.kind == "heading" else SHORT)
    ):
        return None
    below = lines[first.line].kind if first.line < len(lines) else "blank"
    alone = below in ("blank", "ruler", "number", "heading", "caution") and not first.said.endswith(
        (".", ":")
    )
    return first if first.kind == "heading" or alone else None


def _steps_of(lines: tuple[OldLine, ...], title: OldLine | None) -> frozenset[int]:
    """The lines that begin a step: numbered ones; without any, lettered ones, the lowest headings,
    or the items of a list.
    """
    rest = [line for line in lines if title is None or line.line != title.line]
    numbers = [line for line in rest if line.kind == "number"]
    if any(line.depth > 1 for line in numbers):
        following = [*numbers[1:], None]
        # A “1” right above a “1.1” names a part; a “2” with nothing under it is a step.
        parts = {
            line.line
            for line, after in zip(numbers, following, strict=True)
            if line.depth == 1 and after and after.depth > 1
        }
        return frozenset(line.line for line in numbers if line.line not in parts)
    for kind in ("number", "letter", "heading", "bullet"):
        found = [line for line in rest if line.kind == kind]
        if kind == "heading":
            # What stands over torques, which are steps themselves, is a phase.
            found = [line for line in found if not _is_over_torques(line, lines)]
        if kind == "heading" and found:
            lowest = max(line.depth for line in found)
            return frozenset(line.line for line in found if line.depth == lowest)
        if found:
            # A column of slack: numbers are often set flush right (“ 9.” above “10.”).
            edge = min(line.indent for line in found) + 1
            return frozenset(line.line for line in found if line.indent <= edge)
    return frozenset()


def _is_over_torques(line: OldLine, lines: tuple[OldLine, ...]) -> bool:
    below = (other.kind for other in lines[line.line :] if other.kind != "blank")
    return next(below, "") == "torque"


def _blocks(
    lines: tuple[OldLine, ...], steps: frozenset[int], title: OldLine | None
) -> list[_Block]:
    """The lines put together: a step or a caution takes the lines that go on with its first one."""
    blocks: list[_Block] = []
    gap = True
    for line in lines:
        open_block = blocks[-1] if blocks else None
        if line == title:
            blocks.append(_Block("title", line, gap=gap))
        elif line.kind == "blank":
            # A signal word alone on its line has its words still to come.
            gap = gap or open_block is None or open_block.kind != "caution" or bool(open_block.rows)
            continue
        elif open_block is not None and line.kind == "head of torques":
            open_block.joined.append(line)
        elif open_block is not None and not gap and _goes_on(open_block, line):
            open_block.rows.append(line.said if line.kind == "text" else line.text)
            open_block.joined.append(line)
        elif (
            line.kind == "ruler"
            and open_block is not None
            and open_block.line.kind in ("heading", "text")
            and open_block.kind in ("title", "phase", "step")
        ):
            open_block.joined.append(line)  # the line drawn under a heading
        else:
            blocks.append(_Block(_kind(line, steps), line, [line.said] if line.said else [], gap))
        gap = False
    return blocks


def _kind(line: OldLine, steps: frozenset[int]) -> str:
    if line.line in steps:
        return "step"
    if line.kind == "torque":
        return "torque"
    if line.kind == "heading" or (
        line.kind == "number" and line.depth == 1 and not line.indent and line.said
    ):
        return "phase"
    return "caution" if line.kind == "caution" else "text"


def _goes_on(block: _Block, line: OldLine) -> bool:
    if block.kind == "caution":
        return line.kind in ("text", "bullet")
    is_sentence_open = line.said[:1].islower() or bool(block.rows and block.rows[-1].endswith(","))
    return (
        block.kind == "step"
        and block.line.kind != "heading"
        and line.kind == "text"
        and is_sentence_open
    )


class _Writing:
    """The draft as it grows, block by block."""

    def __init__(self) -> None:
        self.rows: list[str] = []
        self.unsure: list[Unsure] = []
        self.read: list[ReadAs] = []
        self._place = remark("text-in-introduction")
        self._begun = False  # whether a phase or a step has begun
        self._is_told = False
        self._number = 0
        self._waiting: list[_Block] = []  # cautions for the next step
        # Each with the cautions above it. They wait, so that the text goes on with its own step.
        self._torques: list[tuple[_Block, list[_Block]]] = []

    def take(self, block: _Block) -> None:
        """Take one block in."""
        kind = block.line.kind if block.line.kind in ("table", "picture") else block.kind
        for line in (block.line, *block.joined):
            if line.text:
                self.read.append(ReadAs(line.line, line.text, "step" if kind == "torque" else kind))
            if line.doubt is not None:
                self.unsure.append(Unsure(line.line, line.text, line.doubt))
        if block.kind == "title":
            return
        if any(_NAMES_A_STEP.search(row) for row in block.rows):
            self._doubt(block, remark("step-by-number"))
        {
            "step": self._step,
            "phase": self._phase,
            "caution": self._caution,
            "text": self._text,
            "torque": self._torque,
        }[block.kind](block)

    def end(self) -> None:
        """Put down the torques and the cautions that no step came after."""
        self._put_torques()
        for block in self._waiting:
            self._doubt(block, remark("caution-at-the-end"))
            self._put_caution(block)
        self.rows = re.sub(r"\n{3,}", "\n\n", "\n".join(self.rows).strip("\n")).split("\n")

    def _step(self, block: _Block) -> None:
        self._put_torques()
        said = " ".join(" ".join(block.rows).split())
        title, body = _titled(said, f"Step {block.line.label}".strip())
        self._count(block)
        self.rows += ["", f"### {title}"]
        self._put_waiting(self._waiting, title)
        self.rows += ["", *map(_plain, body)]
        self._waiting, self._begun, self._is_told = [], True, True

    def _put_waiting(self, cautions: list[_Block], title: str) -> None:
        for caution in cautions:
            self._doubt(caution, remark("caution-in-next-step", title=title))
            self._put_caution(caution)

    def _torque(self, block: _Block) -> None:
        self._torques.append((block, self._waiting))
        self._waiting = []

    def _put_torques(self) -> None:
        for block, cautions in self._torques:
            line = block.line
            self.rows += ["", f"### {line.said}", f"torque: {line.label}"]
            self._put_waiting(cautions, line.said)
            self.rows += ["", NOT_READ, "", *line.below, ""]
            self._begun, self._is_told = True, True
        self._torques = []

    def _count(self, block: _Block) -> None:
        if block.line.kind != "number" or block.line.depth > 1:
            return
        number = int(block.line.label)
        # Many old texts begin again at 1 under each heading, others count on.
        if number not in (1, self._number + 1):
            self._doubt(block, remark("number-skipped", number=number, before=self._number))
        self._number = number

    def _phase(self, block: _Block) -> None:
        self._put_torques()
        title = " ".join(" ".join(block.rows).split())
        self.rows += ["", f"## {title}", ""]
        self._place = remark("text-under-phase", title=title)
        self._begun, self._is_told = True, False

    def _caution(self, block: _Block) -> None:
        if self._begun:
            self._waiting.append(block)
        else:
            self._doubt(block, remark("caution-in-introduction"))
            self._put_caution(block)

    def _put_caution(self, block: _Block) -> None:
        self.rows += ["", f"!!! {block.line.label}", *(f"    {row}" for row in block.rows), ""]

    def _text(self, block: _Block) -> None:
        if not self._is_told:
            self._doubt(block, self._place)
            self._is_told = True
        is_plain = block.line.kind in ("text", "ruler", "table", "picture")
        row = block.rows[0] if is_plain else _item(block.line)
        is_item = row.startswith("- ")
        if (
            block.gap
            or block.line.kind == "ruler"
            or (is_item and self.rows and not self.rows[-1].startswith("- "))
        ):
            self.rows.append("")
        self.rows.append(row if is_item else _plain(row))

    def _doubt(self, block: _Block, why: Remark) -> None:
        self.unsure.append(Unsure(block.line.line, block.line.text, why))


def _item(line: OldLine) -> str:
    """A lower item of a list, with its number or letter, as it stood."""
    return f"- {line.said}" if line.kind == "bullet" else f"- {line.text}"


def _titled(said: str, untitled: str) -> tuple[str, list[str]]:
    """A step's title and text: one short sentence is the title alone; of a longer text the title is
    its beginning. A title has no bold words.
    """
    bare = _ESCAPED.sub(r"\1", _BOLD.sub(r"\1", said))
    if not bare.strip():
        return untitled, [said] if said else []
    sentence = _SENTENCE.match(bare)
    first = sentence[1] if sentence else bare
    if len(first) <= TITLE:
        title = first.rstrip(".") or first
        return title, [] if first == said else [said]
    return bare[:TITLE].rpartition(" ")[0].rstrip(",;:") + " …" if " " in bare[:TITLE] else bare[
        :TITLE
    ] + "…", [said]


def _plain(row: str) -> str:
    """A line of text that the language would take for a heading or a fence, with a mark that makes
    it text.
    """
    found = _STRUCTURE.match(row)
    return f"{found[1]}\\{row[found.end(1) :]}" if found else row
