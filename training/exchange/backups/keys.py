"""Where do the site's own keys go when it is backed up?

Never into the backup: whoever held both could sign in as anybody, and sign a checkpoint of a record
book that was written anew. They go into a file of their own, only where that is asked for, to be
kept somewhere else.
"""

from __future__ import annotations

import json
import os
import re
from contextlib import suppress
from pathlib import Path

from django.conf import settings
from django.utils.translation import gettext

from procedures.records.refused import Refused

KEYS = ("secret", "book.key")
LONGEST = 4096  # letters of a file of keys
KEY = re.compile(r"[A-Za-z0-9_-]{20,200}")


def write_keys(target: Path) -> list[str]:
    """The keys of the site in a new file for its owner's eyes only; the names of those that are
    there. Raises Refused.
    """
    kept = {}
    for name in KEYS:
        with suppress(FileNotFoundError):
            kept[name] = (Path(settings.HOME) / name).read_text(encoding="ascii").strip()
    try:
        # With its mode from the first moment, and never over a file or through a link.
        handle = os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="ascii") as file:
            json.dump({"keys": kept}, file, indent=1)
            file.flush()
            os.fsync(file.fileno())
    except FileExistsError:
        raise Refused(
            gettext("There is a file {path} already. Choose another name.").format(path=target)
        ) from None
    except OSError as error:
        raise Refused(
            gettext("{path} cannot be written: {error}.").format(
                path=target, error=error.strerror or error
            )
        ) from error
    return sorted(kept)


def read_keys(path: Path) -> dict[str, str]:
    """The keys of such a file. Raises Refused for anything else."""
    try:
        with path.open(encoding="ascii") as file:
            said = json.loads(file.read(LONGEST))["keys"]
        kept = {str(name): str(key) for name, key in said.items()}
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise Refused(gettext("{path} is not a file of keys.").format(path=path)) from error
    if not kept.keys() <= set(KEYS) or not all(KEY.fullmatch(key) for key in kept.values()):
        raise Refused(gettext("{path} is not a file of keys.").format(path=path))
    return kept


def put_keys(kept: dict[str, str]) -> None:
    """The keys into the folder of the site, over those that it made for itself."""
    for name, key in kept.items():
        path = Path(settings.HOME) / name
        # A fresh file: an old one could be open to others, and would keep its mode.
        path.unlink(missing_ok=True)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write(key)
