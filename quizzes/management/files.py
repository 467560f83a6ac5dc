"""What stands in a file that somebody names on the command line?"""

from pathlib import Path

from django.core.management.base import CommandError
from django.utils.translation import gettext


def text_of(file: str, kind: str = "CSV") -> str:
    """The text of a file in UTF-8, with or without a mark at its beginning. Raises CommandError
    where it can't be read.
    """
    try:
        return Path(file).read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise CommandError(
            gettext("{file}: cannot be read: {reason}.").format(
                file=file, reason=error.strerror or gettext("no such file")
            )
        ) from error
    except ValueError as error:
        raise CommandError(
            gettext(
                "{file}: cannot be read: it is not a UTF-8 text. Save it as {kind} in UTF-8."
            ).format(file=file, kind=kind)
        ) from error
