"""What does an uploaded file hold, whatever its name says: a drawing, a photo, or nothing that this
site keeps?
"""

from procedures.pictures.made import LARGEST_FILE, BadPicture, Clean


def clean(data: bytes, *, title: str, description: str) -> Clean:
    """The picture in these bytes, made anew, so that nothing else in the file comes along.

    Raises BadPicture for what is too large, damaged, or neither a plain SVG drawing nor a JPEG, PNG
    or WebP photo.
    """
    _check_size(data)
    # Imported here: each loads a large library, which a start of the site is not to wait for.
    if data.removeprefix(b"\xef\xbb\xbf").lstrip()[:1] == b"<" or data[:2] in (
        b"\xff\xfe",
        b"\xfe\xff",
    ):
        from procedures.pictures.svg import clean_svg

        return clean_svg(data, title=title, description=description)
    from procedures.pictures.photos import clean_photo

    return clean_photo(data)


def clean_photo_file(data: bytes) -> Clean:
    """The photo in these bytes, made anew. Raises BadPicture as `clean` does, and for a drawing."""
    _check_size(data)
    from procedures.pictures.photos import clean_photo

    return clean_photo(data)


def _check_size(data: bytes) -> None:
    if not data:
        raise BadPicture("The file is empty. Choose it again.")
    if len(data) > LARGEST_FILE:
        raise BadPicture(
            f"The file has {len(data) / 1e6:.0f} MB; at most {LARGEST_FILE // 1_000_000} MB "
            "are taken. Make the picture smaller."
        )
