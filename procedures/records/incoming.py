"""Where does an uploaded document wait, between being shown and being kept as a draft?

A page cannot carry a document with its pictures, and nobody should have to choose the file twice.
It waits under a name that nobody guesses, for the person who uploaded it, for an hour at most.
"""

from __future__ import annotations

import contextlib
import re
import secrets
import time
from pathlib import Path

from django.conf import settings

from procedures.access.acts import Person

LONGEST_WAIT = 60 * 60  # seconds
MOST_WAITING = 3  # documents of one person; the oldest goes when one more comes
_MARK = re.compile(r"[A-Za-z0-9_-]{20,60}")


def keep_incoming(person: Person, name: str, data: bytes) -> str:
    """The mark under which this document waits. Raises OSError where the disk is full."""
    folder = _folder()
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    _clear(folder, person)
    mark = secrets.token_urlsafe(24)
    path = folder / f"{person.pk}.{mark}"
    path.write_bytes(name.encode()[:200].replace(b"\n", b" ") + b"\n" + data)
    path.chmod(0o600)
    return mark


def find_incoming(person: Person, mark: str) -> tuple[str, bytes] | None:
    """The name and the bytes of the document that waits under this mark; None where none does."""
    # From a page, and would be joined to a path.
    if not _MARK.fullmatch(mark):
        return None
    path = _folder() / f"{person.pk}.{mark}"
    try:
        if path.stat().st_mtime < time.time() - LONGEST_WAIT:
            return None
        name, _, data = path.read_bytes().partition(b"\n")
    except OSError:
        return None
    return name.decode(errors="replace"), data


def drop_incoming(person: Person, mark: str) -> None:
    """Nothing waits under this mark any more."""
    if _MARK.fullmatch(mark):
        (_folder() / f"{person.pk}.{mark}").unlink(missing_ok=True)


def _clear(folder: Path, person: Person) -> None:
    """Takes away what nobody came back for, and what one person has too much of."""
    last = time.time() - LONGEST_WAIT
    own = []
    for path in folder.iterdir():
        with contextlib.suppress(OSError):  # somebody else's request may have been quicker
            moment = path.stat().st_mtime
            if moment < last:
                path.unlink()
            elif path.name.startswith(f"{person.pk}."):
                own.append((moment, path))
    for _moment, path in sorted(own)[: max(0, len(own) - MOST_WAITING + 1)]:
        path.unlink(missing_ok=True)


def _folder() -> Path:
    return Path(settings.PICTURES).parent / "incoming"
