"""What is a picture that this site keeps, and how is it said that a file is none?"""

from dataclasses import dataclass

from procedures.writeup.remarks import Unreadable

DRAWING, PHOTO = "drawing", "photo"
LARGEST_FILE = 12_000_000  # bytes
LONGEST_SIDE = 1600  # pixels of a photo that is kept


class BadPicture(Unreadable):
    """A file that is not kept."""


@dataclass(frozen=True, slots=True)
class Clean:
    """A picture made anew from an uploaded file: `data` is UTF-8 SVG for a drawing, JPEG for a
    photo; the size is in pixels or units.
    """

    kind: str
    data: bytes
    width: int
    height: int
