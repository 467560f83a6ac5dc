"""Where does a sentence begin and end, and on which line does it stand?"""

import re
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

# anything longer is no writing; it is cut, so that no pattern runs long
LONGEST_ROW, LONGEST_SENTENCE = (4_000, 800)

_PICTURE = re.compile(r"!\[[^\[\]]*\]\([^()]*\)")
_LINK = re.compile(r"\[([^\[\]]+)\]\([^()]*\)")
_AMOUNT = re.compile(r"\[\[([^\[\]]+)\]\]")
_CODE = re.compile(r"`([^`]*)`")
_MARKS = re.compile(r"\*+|(?<!\w)_+|_+(?!\w)")
_ANY_MARK = re.compile(r"[\[`*_]")  # one of them is in each piece of Markdown that is taken off
_END = re.compile(r"(?<!\.)[.!?…]['\"”’)]*\s+(?=[\[(\"“‘„]?[A-Z0-9])")
_NO_END = re.compile(r"\b(?:e\.g|i\.e|etc|approx|No|Nos|Fig|vs|ca|cf)\.$")


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence as it is read, without marks of Markdown, and the line on which it starts."""

    text: str
    line: int


def plain_row(row: str) -> str:
    """A line of Markdown as it is read: amounts and links as their words, code as a quotation, no
    pictures.
    """
    text = row[:LONGEST_ROW]
    if not _ANY_MARK.search(text):
        return text.strip()
    text = _AMOUNT.sub(r"\1", _PICTURE.sub("", text))
    return _MARKS.sub("", _CODE.sub(r"“\1”", _LINK.sub(r"\1", text))).strip()


def split(rows: Sequence[tuple[int, str]]) -> tuple[Sentence, ...]:
    """The sentences of one paragraph, given as its lines with their numbers."""
    starts, numbers, pieces, length = [], [], [], 0
    for number, row in rows:
        text = " ".join(plain_row(row).split())
        if text:
            starts.append(length)
            numbers.append(number)
            pieces.append(text)
            length += len(text) + 1
    return tuple(
        Sentence(text, numbers[bisect_right(starts, start) - 1])
        for start, text in _cut(" ".join(pieces))
    )


def _cut(text: str) -> list[tuple[int, str]]:
    found, start = [], 0
    for end in _END.finditer(text):
        if _NO_END.search(text[max(0, end.start() - 8) : end.start() + 1]):
            continue
        found.append((start, text[start : end.end()][:LONGEST_SENTENCE].strip()))
        start = end.end()
    if text[start:].strip():
        found.append((start, text[start:][:LONGEST_SENTENCE].strip()))
    return found
