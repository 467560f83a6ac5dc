"""Is a document exactly the one that the holder of a key signed?

Data Integrity EdDSA Cryptosuites v1.0 (W3C Recommendation, 15 May 2025), cryptosuite
eddsa-jcs-2022: Ed25519 (RFC 8032) over SHA-256 of the proof's options and SHA-256 of the document,
both as canonical JSON (RFC 8785).
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from datetime import datetime
from typing import Any

import base58
import rfc8785

SUITE = "eddsa-jcs-2022"
PUBLIC, SECRET = b"\xed\x01", b"\x80\x26"  # the multicodec of Ed25519 keys
KEY, SIGNATURE = 32, 64  # bytes


class BadProof(ValueError):
    """Why a document proves nothing: `code` says it."""

    def __init__(self, code: str) -> None:
        super().__init__(code)
        self.code = code


def multikey(public: bytes) -> str:
    """A public key of 32 bytes as Multikey: z6Mk…"""
    return "z" + base58.b58encode(PUBLIC + public).decode("ascii")


def key_of(text: str, kind: bytes = PUBLIC) -> bytes:
    """The 32 bytes of a Multikey. Raises BadProof."""
    found = _decoded(text)
    if not found.startswith(kind) or len(found) != len(kind) + KEY:
        raise BadProof("no-key")
    return found[len(kind) :]


def sign(
    document: Mapping[str, Any], *, secret: bytes, method: str, created: datetime
) -> dict[str, Any]:
    """The document with its proof. `secret` is an Ed25519 seed of 32 bytes, `method` the address
    of its public key, `created` an aware instant.
    """
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    options = {
        "type": "DataIntegrityProof",
        "cryptosuite": SUITE,
        "created": instant(created),
        "verificationMethod": method,
        "proofPurpose": "assertionMethod",
    }
    if "@context" in document:
        options["@context"] = document["@context"]
    signed = Ed25519PrivateKey.from_private_bytes(secret).sign(hash_data(document, options))
    value = "z" + base58.b58encode(signed).decode("ascii")
    return {**document, "proof": {**options, "proofValue": value}}


def signer_of(document: Mapping[str, Any]) -> bytes:
    """The public key that a document's proof names, once the proof holds with it. Whose key it is
    must be known from elsewhere: this says only that nothing was changed since.

    Raises BadProof.
    """
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    proof = document.get("proof")
    if not isinstance(proof, Mapping):
        raise BadProof("no-proof")
    if (proof.get("type"), proof.get("cryptosuite"), proof.get("proofPurpose")) != (
        "DataIntegrityProof",
        SUITE,
        "assertionMethod",
    ):
        raise BadProof("other-proof")
    # Vocabulary decides what words mean; a proof over another one proves another document.
    if "@context" in proof and proof["@context"] != document.get("@context"):
        raise BadProof("other-proof")
    public = key_of(str(proof.get("verificationMethod", "")).rpartition("#")[2])
    signed = _decoded(str(proof.get("proofValue", "")))
    if len(signed) != SIGNATURE:
        raise BadProof("changed")
    options = {name: value for name, value in proof.items() if name != "proofValue"}
    bare = {name: value for name, value in document.items() if name != "proof"}
    try:
        Ed25519PublicKey.from_public_bytes(public).verify(signed, hash_data(bare, options))
    except (InvalidSignature, ValueError) as wrong:
        raise BadProof("changed") from wrong
    return public


def hash_data(document: Mapping[str, Any], options: Mapping[str, Any]) -> bytes:
    """The 64 bytes that are signed: the hash of the options, then that of the document. Raises
    ValueError for what JSON has no canonical form for.
    """
    try:
        return b"".join(
            hashlib.sha256(rfc8785.dumps(dict(part))).digest() for part in (options, document)
        )
    except (rfc8785.CanonicalizationError, RecursionError) as wrong:
        raise ValueError("no canonical form") from wrong


def instant(moment: datetime) -> str:
    """An instant as VC 2.0 writes it, in whole seconds with its offset."""
    return moment.isoformat(timespec="seconds").replace("+00:00", "Z")


def _decoded(text: str) -> bytes:
    """The bytes of a base58btc multibase text. Raises BadProof."""
    # Base 58 takes a time that grows with the square of the length.
    if not text.startswith("z") or len(text) > 200:
        raise BadProof("no-key" if len(text) < 60 else "changed")
    try:
        return base58.b58decode(text[1:])
    except ValueError as wrong:
        raise BadProof("changed") from wrong
