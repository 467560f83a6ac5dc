"""What stands in a file that somebody names on the command line?"""

from pathlib import Path

from django.core.management.base import CommandError


def text_of(file: str, kind: str = "CSV") -> str:
    """The text of a file in UTF-8, with or without a mark at its beginning. Raises CommandError
    where it can't be read.
    """
    try:
        return Path(file).read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise CommandError(
            f"{file}: cannot be read: {error.strerror or 'no such file'}."
        ) from error
    except ValueError as error:
        raise CommandError(
            f"{file}: cannot be read: it is not a UTF-8 text. Save it as {kind} in UTF-8."
        ) from error
