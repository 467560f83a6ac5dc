"""Which words of a text came, went or stayed, and does the change touch more than the wording?

White space is not told: a text that was only wrapped anew is the same text. In two texts that are
alike at too many places the middle is told as gone and new.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from procedures.writeup.amounts import UNITS
from procedures.writeup.lined_up import line_up

WordMark = Literal["same", "gone", "new"]

# White space goes with the word behind it, so that the pieces give the text letter by letter.
_WORD = re.compile(r"\s*\S+|\s+\Z")
_FIGURE = r"[-−]?\d+(?:[.,]\d+)*"
# The longest first, else “in·lbf” would be found as “in”: the dot ends a word.
_UNIT = "|".join(sorted(map(re.escape, UNITS), key=len, reverse=True))
_COUNTED = (
    "two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|once|twice|thrice|half|halfway|quarter|quarters|third|"
    "thirds|double|both|full"
)
_VALUE = re.compile(
    rf"(?P<figure>{_FIGURE})(?:\s*(?P<unit>{_UNIT})(?!\w))?|\b(?P<word>{_COUNTED})\b", re.IGNORECASE
)
_TURNING = re.compile(
    r"\b(?:not|no|never|none|nothing|only|unless|until|without|before|after|while|if|left|right|clockwise|anticlockwise|"
    r"counterclockwise|up|down|upwards?|downwards?|above|below|inner|outer|inside|outside|upper|lower|top|bottom|front|"
    r"rear|first|last|open|close|closed|tighten|loosen|push|pull|must|may)\b|n['’]t\b",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class DiffPiece:
    """A run of words that stayed, went or came, with the white space before each of them."""

    mark: WordMark
    text: str


def word_diff(old: str, new: str) -> tuple[DiffPiece, ...]:
    """The words of both texts in one run; empty when they have the same words.

    What is marked same or new is the new text, letter by letter; same and gone are the words of the
    old one.
    """
    before, after = _WORD.findall(old), _WORD.findall(new)
    was, now = [word.strip() for word in before], [word.strip() for word in after]
    if [word for word in was if word] == [word for word in now if word]:
        return ()
    return tuple(_joined(_pieces(before, after, was, now)))


def _pieces(
    before: Sequence[str], after: Sequence[str], was: list[str], now: list[str]
) -> Iterator[DiffPiece]:
    for tag, first, last, start, end in line_up(was, now):
        if tag == "equal":
            yield DiffPiece("same", "".join(after[start:end]))
        else:
            gone = "".join(before[first:last])
            yield DiffPiece("gone", _apart(gone, led=first > 0, starts=start == 0))
            yield DiffPiece("new", "".join(after[start:end]))


def _apart(gone: str, *, led: bool, starts: bool) -> str:
    """Words that went, kept apart from their neighbours: the first word of either text has no white
    space before it.
    """
    if not gone:
        return ""
    return f"{'' if led or starts else ' '}{gone}{' ' if starts else ''}"


def _joined(pieces: Iterator[DiffPiece]) -> Iterator[DiffPiece]:
    """Neighbours with the same mark as one, empty ones left out."""
    last: DiffPiece | None = None
    for piece in pieces:
        if not piece.text:
            continue
        if last is not None and last.mark == piece.mark:
            last = DiffPiece(last.mark, last.text + piece.text)
            continue
        if last is not None:
            yield last
        last = piece
    if last is not None:
        yield last


def values_in(text: str) -> tuple[str, ...]:
    """The figures of a text with their units, and words that count (twice, half), in their
    order.
    """
    return tuple(_value(found) for found in _VALUE.finditer(text))


def _value(found: re.Match[str]) -> str:
    if found["word"]:
        return found["word"].lower()
    figure = found["figure"].replace(",", ".")
    # 28.0 says what 28 says; with two points it is a day or a version, and stays as it is.
    figure = figure.rstrip("0").rstrip(".") if figure.count(".") == 1 else figure
    unit = next(
        (shown for written, (shown, _, _) in UNITS.items() if written == found["unit"]),
        found["unit"] or "",
    )
    return f"{figure} {unit}".strip()


def turning_words(text: str) -> tuple[str, ...]:
    """The words of a text that can turn its sense round (not, only, before, left, clockwise …), in
    their order.
    """
    return tuple(found.group().lower().replace("’", "'") for found in _TURNING.finditer(text))
