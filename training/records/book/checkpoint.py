"""Which signed sentence proves, later, that no entry of the record book up to here was changed?

A checkpoint names an entry's number and digest and is signed with Ed25519 (RFC 8032). Since every
digest rests on all entries before it, whoever keeps a checkpoint elsewhere can tell a book that was
rewritten or cut off after it.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from training.records.book.canonical import write_canonical

WHAT = "record book checkpoint"
# Exactly these: a further line, signed along, could say something that nobody here has checked.
COLUMNS = {"what", "number", "head", "written_at", "key_id", "public_key"}


class BadCheckpoint(ValueError):
    """What is wrong with a text that should be a checkpoint."""


@dataclass(frozen=True, slots=True)
class Checkpoint:
    """That the book had this entry as its head at this instant, by the holder of this key (raw
    public key, hex).
    """

    number: int
    head: str
    written_at: datetime
    public_key: str


def key_id(public_key: str) -> str:
    """The short name of a key: the first 16 hex digits of SHA-256 over the 32 bytes of the public
    key.
    """
    # Short enough to be read out and compared by people.
    return hashlib.sha256(bytes.fromhex(public_key)).hexdigest()[:16]


def sign_checkpoint(*, number: int, head: str, written_at: datetime, secret: bytes) -> str:
    """The checkpoint as canonical JSON (RFC 8785) with its signature; `secret` is an Ed25519 seed
    of 32 bytes.
    """
    # Here, since most of what imports this room never signs.
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    key = Ed25519PrivateKey.from_private_bytes(secret)
    public = key.public_key().public_bytes_raw().hex()
    says = {
        "what": WHAT,
        "number": number,
        "head": head,
        "written_at": written_at,
        "key_id": key_id(public),
        "public_key": public,
    }
    return write_canonical(says | {"signature": key.sign(write_canonical(says)).hex()}).decode()


def read(text: str) -> Checkpoint:
    """The checkpoint, its signature verified with the key that it names. Raises BadCheckpoint."""
    try:
        said = json.loads(text)
        signature = bytes.fromhex(said.pop("signature"))
        made = Checkpoint(
            said["number"],
            said["head"],
            datetime.fromisoformat(said["written_at"]),
            said["public_key"],
        )
        _verify(said, signature)
    # Whatever a file may hold: AttributeError for a list, RecursionError for ten thousand brackets.
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        if isinstance(error, BadCheckpoint):
            raise
        raise BadCheckpoint("this is no checkpoint of a record book") from error
    return made


def _verify(said: dict[str, Any], signature: bytes) -> None:
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    if (
        said.keys() != COLUMNS
        or said["what"] != WHAT
        # Not `isinstance`: True is an int as well, and canonical JSON writes it otherwise.
        or type(said["number"]) is not int
        or said["number"] < 1
    ):
        raise BadCheckpoint("this is no checkpoint of a record book")
    # People compare the short name: it must not stand beside another key.
    if said["key_id"] != key_id(said["public_key"]):
        raise BadCheckpoint("its key and the name of its key do not agree")
    try:
        Ed25519PublicKey.from_public_bytes(bytes.fromhex(said["public_key"])).verify(
            signature, write_canonical(said)
        )
    except InvalidSignature as error:
        raise BadCheckpoint(
            "its signature does not fit what it says: it was changed after it was signed"
        ) from error
