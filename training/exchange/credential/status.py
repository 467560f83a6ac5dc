"""Which credentials of a list have fallen? One bit for each.

Bitstring Status List v1.0 (W3C Recommendation, 15 May 2025): the bits, the first one highest,
compressed with gzip (RFC 1952), as base64url without padding with a “u” in front. A list has at
least 131,072 bits, so that its length tells little.
"""

from __future__ import annotations

import base64
import binascii
import gzip
import zlib
from collections.abc import Collection, Mapping
from typing import Any

FEWEST = 131_072  # bits
MOST = 64 * FEWEST


class BadList(ValueError):
    """A text that is no list."""


def encode(set_bits: Collection[int]) -> str:
    """The list in which these places are set."""
    size = max([FEWEST, *(place + 1 for place in set_bits)])
    bits = bytearray((size + 7) // 8)
    for place in set_bits:
        bits[place // 8] |= 0x80 >> place % 8
    # Without the time, so that the same list is the same bytes.
    packed = gzip.compress(bytes(bits), mtime=0)
    return "u" + base64.urlsafe_b64encode(packed).rstrip(b"=").decode("ascii")


def is_set(encoded: str, place: int) -> bool:
    """Whether this place of a list is set. Raises BadList, also for a place beyond its end."""
    if not encoded.startswith("u"):
        raise BadList
    text = encoded[1:]
    try:
        packed = base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))
        unpacking = zlib.decompressobj(16 + zlib.MAX_WBITS)
        # Bounded: a few kilobytes of gzip can unpack to gigabytes.
        bits = unpacking.decompress(packed, MOST // 8)
    except (binascii.Error, ValueError, zlib.error) as wrong:
        raise BadList from wrong
    if unpacking.unconsumed_tail or not 0 <= place < len(bits) * 8:
        raise BadList
    return bool(bits[place // 8] & 0x80 >> place % 8)


def list_credential(
    *, purpose: str, issuer: str, shop: str, address: str, encoded: str, valid_from: str
) -> dict[str, Any]:
    """The list as a document without its proof."""
    return {
        "@context": ["https://www.w3.org/ns/credentials/v2"],
        "id": f"{address}/credentials/{purpose}/",
        "type": ["VerifiableCredential", "BitstringStatusListCredential"],
        "issuer": {"id": issuer, "name": shop},
        "validFrom": valid_from,
        "credentialSubject": {
            "id": f"{address}/credentials/{purpose}/#list",
            "type": "BitstringStatusList",
            "statusPurpose": purpose,
            "encodedList": encoded,
        },
    }


def place_in(document: Mapping[str, Any], purpose: str) -> tuple[str, int] | None:
    """Where a credential says that its state for a purpose stands: the list's address and the
    place in it.
    """
    rows = document.get("credentialStatus")
    for row in rows if isinstance(rows, list) else [rows]:
        if isinstance(row, Mapping) and row.get("statusPurpose") == purpose:
            index = str(row.get("statusListIndex", ""))
            if index.isascii() and index.isdigit() and len(index) < 9:
                return str(row.get("statusListCredential", "")), int(index)
    return None
