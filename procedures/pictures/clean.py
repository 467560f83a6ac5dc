"""What does an uploaded file hold, whatever its name says: a drawing, a photo, or nothing that this
site keeps?
"""

from procedures.pictures.made import LARGEST_FILE, LONGEST_SIDE, BadPicture, Clean
from procedures.writeup.remarks import remark


def clean(data: bytes, *, title: str, description: str) -> Clean:
    """The picture in these bytes, made anew, so that nothing else in the file comes along.

    Raises BadPicture for what is too large, damaged, or neither a plain SVG drawing nor a JPEG, PNG
    or WebP photo.
    """
    _check_size(data)
    # Imported here: each loads a large library, which a start of the site is not to wait for.
    # A byte-order mark of UTF-16 counts as a drawing too: only the XML reader can tell what it is.
    if data.removeprefix(b"\xef\xbb\xbf").lstrip()[:1] == b"<" or data[:2] in (
        b"\xff\xfe",
        b"\xfe\xff",
    ):
        from procedures.pictures.svg import clean_svg

        return clean_svg(data, title=title, description=description)
    from procedures.pictures.photos import clean_photo

    return clean_photo(data)


def clean_photo_file(data: bytes, *, longest: int = LONGEST_SIDE) -> Clean:
    """The photo in these bytes, made anew, with at most so many pixels a side. Raises BadPicture as
    `clean` does, and for a drawing.
    """
    _check_size(data)
    from procedures.pictures.photos import clean_photo

    return clean_photo(data, longest)


def _check_size(data: bytes) -> None:
    if not data:
        raise BadPicture(remark("file-empty"))
    if len(data) > LARGEST_FILE:
        raise BadPicture(
            remark("file-too-large", size=len(data) / 1e6, most=LARGEST_FILE // 1_000_000)
        )
