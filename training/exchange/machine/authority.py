"""What do phones get to trust? The authority's certificate, which is no secret.

Apart from the making of it, so that a site that only hands it out loads no cryptography.
"""

from __future__ import annotations

import hashlib
import ssl
from pathlib import Path


def authority_file(home: Path) -> Path:
    """Where the certificate lies that phones are told to trust."""
    return home / "lan" / "authority.pem"


def fingerprint_of(authority: Path) -> str:
    """The SHA-256 of the authority's certificate, in pairs, as phones show it."""
    return hashlib.sha256(as_der(authority)).digest().hex(":").upper()


def as_der(authority: Path) -> bytes:
    """The authority's certificate in the form that phones take (DER)."""
    return ssl.PEM_cert_to_DER_cert(authority.read_text(encoding="ascii"))
