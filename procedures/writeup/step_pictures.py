"""Which pictures stand before and after the text of a step, each on a line of its own?

They are what the form of a step shows as pictures. Any other picture (inside a sentence, between
two paragraphs, or written in a way of its own) stays in the text as it was typed.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from procedures.writeup.body import CAUTION
from procedures.writeup.drawings import SCHEME

LONGEST_SHOWS = 300  # letters of what a picture shows, in the form
# What a line of Markdown would read otherwise than it is typed is left to the text.
NOT_IN_SHOWS = re.compile(r"[\[\]\\`\n\r]")
_PICTURE = re.compile(r"!\[(?P<shows>[^\[\]\\`]++)\]\(" + SCHEME + r"(?P<name>[a-z0-9-]{1,80})\)")


@dataclass(frozen=True, slots=True)
class StepPicture:
    """A picture of a step: the name of the drawing, and what it shows for whoever cannot see it."""

    name: str
    shows: str

    @property
    def written(self) -> str:
        """The line of the text that shows it."""
        return f"![{self.shows}]({SCHEME}{self.name})"


def read_picture(row: str) -> StepPicture | None:
    """The picture that is the whole of a line, or None."""
    found = _PICTURE.fullmatch(row.rstrip())
    if found is None or len(found["shows"]) > LONGEST_SHOWS:
        return None
    # A form would send other white space than this back in its own way.
    if " ".join(found["shows"].split()) != found["shows"]:
        return None
    return StepPicture(found["name"], found["shows"])


def part_pictures(rows: Sequence[str], fenced: Collection[int] = ()) -> tuple[int, int]:
    """Where the text of these lines begins behind the pictures above it, and where it ends before
    those below. Lines of `fenced` are code. Where there is no text all pictures stand above it.
    """
    pictures = [
        place not in fenced and read_picture(row) is not None for place, row in enumerate(rows)
    ]
    blank = [not row.strip() for row in rows]
    start = 0
    for place in range(len(rows) + 1):
        if place == len(rows) or blank[place]:
            start = place  # a paragraph of pictures has ended here
        elif not pictures[place]:
            break
    first = next((row for row in rows[start:] if row.strip()), "")
    # Without the pictures it would belong to the cautions above the text.
    if CAUTION.match(first):
        start = 0
    stop = len(rows)
    for place in range(len(rows) - 1, start - 1, -1):
        if blank[place]:
            stop = place
        elif not pictures[place]:
            break
    return start, stop if any(pictures[stop:]) else len(rows)


def pictures_in(rows: Sequence[str]) -> tuple[StepPicture, ...]:
    """The pictures of lines that hold nothing else."""
    return tuple(found for row in rows if (found := read_picture(row)) is not None)
