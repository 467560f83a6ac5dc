"""How does a sign-off look as a credential that its holder takes along?

Open Badges 3.0, which is a W3C Verifiable Credential 2.0. No name stands in it: only a salted hash
of the holder's name, with which somebody who is told the name can see that it is theirs.
"""

from __future__ import annotations

import hashlib
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from training.exchange.credential.proof import instant

CONTEXT = (
    "https://www.w3.org/ns/credentials/v2",
    "https://purl.imsglobal.org/spec/ob/v3p0/context-3.0.3.json",
)
TYPES = ("VerifiableCredential", "OpenBadgeCredential")
REVOCATION, SUSPENSION = "revocation", "suspension"
SPACE = uuid.UUID("6f1c1f0a-7c0b-5c55-9f6e-0f6b1f0c2d11")  # for names of ours, made once


@dataclass(frozen=True, slots=True)
class SignOffSaid:
    """One sign-off as its credential tells it. `entry` is its digest in the record book; `until`
    the end of the last good day; `salt` of this credential only; `given_as` says of a first one by
    the owner that it is, and of one to themselves that too.
    """

    entry: str
    holder: str
    salt: str
    level: str
    title: str
    covers: str
    asked: str
    signer_role: str
    given_as: str
    signed_at: datetime
    until: datetime


def credential_of(
    said: SignOffSaid, *, issuer: str, shop: str, place: int, address: str = ""
) -> dict[str, Any]:
    """The document without its proof. `issuer` is the did:key of the site; `address` of the site,
    where its lists of fallen and suspended sign-offs are, empty for none; `place` in these lists.
    """
    given = instant(said.signed_at)
    found: dict[str, Any] = {
        "@context": list(CONTEXT),
        # Made from the entry, so that the same sign-off always has the same name.
        "id": f"urn:uuid:{uuid.uuid5(SPACE, issuer + said.entry)}",
        "type": list(TYPES),
        "name": said.title,
        "issuer": {"id": issuer, "type": ["Profile"], "name": shop},
        "validFrom": given,
        "validUntil": instant(said.until),
        "awardedDate": given,
        "credentialSubject": _subject(said, issuer),
        "evidence": [
            {
                "id": f"urn:sha256:{said.entry}",
                "type": ["Evidence"],
                "name": said.given_as,
                "narrative": f"Record book entry with the SHA-256 {said.entry}.",
            }
        ],
    }
    if address:
        found["credentialStatus"] = [
            _state(purpose, place, address) for purpose in (REVOCATION, SUSPENSION)
        ]
    return found


def _subject(said: SignOffSaid, issuer: str) -> dict[str, Any]:
    return {
        "type": ["AchievementSubject"],
        "identifier": [
            {
                "type": "IdentityObject",
                "hashed": True,
                "identityHash": identity_hash(said.holder, said.salt),
                "identityType": "name",
                "salt": said.salt,
            }
        ],
        "achievement": {
            "id": f"urn:uuid:{uuid.uuid5(SPACE, issuer + said.level)}",
            "type": ["Achievement"],
            "achievementType": "Certification",
            "name": said.title,
            "description": said.covers,
            "criteria": {"narrative": said.asked},
        },
        "source": {
            "id": f"urn:uuid:{uuid.uuid5(SPACE, issuer + said.entry + said.signer_role)}",
            "type": ["Profile"],
            "name": said.signer_role,
        },
    }


def _state(purpose: str, place: int, address: str) -> dict[str, str]:
    return {
        "id": f"{address}/credentials/{purpose}/#{place}",
        "type": "BitstringStatusListEntry",
        "statusPurpose": purpose,
        "statusListIndex": str(place),
        "statusListCredential": f"{address}/credentials/{purpose}/",
    }


def identity_hash(name: str, salt: str) -> str:
    """The hash of a name as Open Badges 3.0 writes it: sha256$ and the hex of name and salt."""
    return "sha256$" + hashlib.sha256(f"{' '.join(name.split())}{salt}".encode()).hexdigest()


def is_of(document: Mapping[str, Any], name: str) -> bool:
    """Whether the holder of a credential has this name."""
    subject = document.get("credentialSubject")
    rows = subject.get("identifier") if isinstance(subject, Mapping) else None
    return any(
        isinstance(row, Mapping)
        and row.get("identityHash") == identity_hash(name, str(row.get("salt", "")))
        for row in (rows if isinstance(rows, list) else ())
    )
