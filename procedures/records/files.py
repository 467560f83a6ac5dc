"""Where do the shop's pictures lie on this machine, and is a file still the one that came in?"""

import contextlib
import hashlib
import os
import re
import tempfile
import time
from collections.abc import Iterator
from contextvars import ContextVar
from pathlib import Path

from django.conf import settings

_COMING_IN = ".coming-in-"
_LONGEST = 24 * 60 * 60  # seconds that a file may take to come in
_DIGEST = re.compile(r"[0-9a-f]{64}")

_IS_TRIED: ContextVar[bool] = ContextVar("is_tried", default=False)


@contextlib.contextmanager
def write_no_files(*, if_tried: bool) -> Iterator[None]:
    """Inside, no file is written where something is only tried: what takes a transaction back
    takes back no file.
    """
    before = _IS_TRIED.set(if_tried)
    try:
        yield
    finally:
        _IS_TRIED.reset(before)


def digest_of(data: bytes) -> str:
    """The SHA-256 of these bytes, in hex."""
    return hashlib.sha256(data).hexdigest()


def keep(data: bytes) -> str:
    """Write these bytes into the folder of pictures, whole or not at all, under their SHA-256,
    which comes back in hex.
    """
    digest = digest_of(data)
    if _IS_TRIED.get():
        return digest
    folder = Path(settings.PICTURES)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    _drop_halves(folder)
    # In the same folder, since a file changes its name in one step only within one disk.
    handle, written = tempfile.mkstemp(dir=folder, prefix=_COMING_IN)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            # At a loss of power the name could otherwise be there without the bytes.
            os.fsync(file.fileno())
        Path(written).replace(folder / digest)
    except OSError:
        Path(written).unlink(missing_ok=True)
        raise
    return digest


def find_kept(digest: str) -> bytes | None:
    """The file of this SHA-256; None where there is none, or where it is no longer what came in."""
    # The digest can come from an address, and would be joined to a path.
    if not _DIGEST.fullmatch(digest):
        return None
    try:
        data = (Path(settings.PICTURES) / digest).read_bytes()
    except OSError:
        return None
    return data if digest_of(data) == digest else None


def _drop_halves(folder: Path) -> None:
    """Take away what a server that was killed had written by half: no row names it."""
    last = time.time() - _LONGEST
    for left in folder.glob(f"{_COMING_IN}*"):
        with contextlib.suppress(OSError):  # somebody else's request may have been quicker
            if left.stat().st_mtime < last:
                left.unlink()
