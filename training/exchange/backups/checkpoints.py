"""Does the record book pass through the checkpoints that somebody kept elsewhere?"""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.utils.translation import gettext

from procedures.records.days.reader import say_day
from procedures.records.refused import Refused
from training.records.book.chain import Break
from training.records.book.checkpoint import (
    BadCheckpoint,
    Checkpoint,
    key_id,
    read,
    sign_checkpoint,
)
from training.records.keeping import digest_of, head

KEY_FILE = "book.key"
SEED = 32  # bytes of an Ed25519 private key (RFC 8032, 5.1.5)


def make_checkpoint(now: datetime) -> str:
    """A signed checkpoint of the newest entry, as one line. Raises Refused for a book with nothing
    in it.
    """
    number, digest = head()
    if not number:
        raise Refused(
            gettext("The record book is empty, so there is nothing to make a checkpoint of.")
        )
    return sign_checkpoint(number=number, head=digest, written_at=now, secret=secret())


def public_key() -> str:
    """The public half of this site's key, in hex."""
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    return Ed25519PrivateKey.from_private_bytes(secret()).public_key().public_bytes_raw().hex()


def secret() -> bytes:
    """This site's key, made once and kept beside the data, for nobody else's eyes. Raises Refused
    for a file that is no key.
    """
    path = Path(settings.HOME) / KEY_FILE
    try:
        # O_EXCL: of two processes that start at once only one makes the key, the other reads it.
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return _kept(path)
    with os.fdopen(descriptor, "w", encoding="ascii") as file:
        made = secrets.token_bytes(SEED)
        file.write(made.hex())
    return made


def _kept(path: Path) -> bytes:
    try:
        found = bytes.fromhex(path.read_text(encoding="ascii").strip())
    except (OSError, ValueError):
        found = b""
    # Never made anew over a broken file: every checkpoint signed so far would lose its key.
    if len(found) != SEED:
        raise Refused(
            gettext(
                "{path} is not a key. Put back the file from the last backup. A new key is made "
                "only when there is no such file."
            ).format(path=path)
        )
    return found


def read_checkpoints(paths: Sequence[Path], *, trusted: str = "") -> list[Checkpoint]:
    """The checkpoints of the files by number, each signed by the key of this site or by `trusted`.
    Raises Refused.
    """
    wanted = trusted.lower() or public_key()
    found = []
    for path in paths:
        try:
            made = read(path.read_text(encoding="utf-8"))
        except (OSError, UnicodeDecodeError) as error:
            raise Refused(f"{path} cannot be read.") from error
        except BadCheckpoint as bad:
            raise Refused(f"{path}: {bad}.") from bad
        if made.public_key != wanted:
            raise Refused(
                f"{path} is signed by another key ({key_id(made.public_key)}) than expected "
                f"({key_id(wanted)}). "
                "Where the site's key was renewed, name the old public key with --key."
            )
        found.append(made)
    return sorted(found, key=lambda made: made.number)


def faults_against(checkpoints: Sequence[Checkpoint]) -> Iterator[Break]:
    """Where the chain as it is does not pass through a checkpoint; all of them in the order of
    their numbers.
    """
    # The last one that holds tells where the rewriting can have begun.
    held = 0
    for made in checkpoints:
        found = digest_of(made.number)
        if found == made.head:
            held = made.number
        elif found is None:
            yield Break(
                made.number,
                "checkpoint",
                f"it stood there on {say_day(made.written_at)} and is gone: the book ends at "
                f"entry {head()[0]}",
            )
        else:
            yield Break(
                made.number,
                "checkpoint",
                f"it is no longer the one of {say_day(made.written_at)}: the book was "
                "rewritten at or before it, "
                f"after entry {held}",
            )
