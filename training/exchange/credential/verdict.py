"""What does a credential prove, on a day, to somebody who knows some keys?"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from training.exchange.credential.document import REVOCATION, SUSPENSION, TYPES, is_of
from training.exchange.credential.proof import BadProof, multikey, signer_of
from training.exchange.credential.status import BadList, is_set, place_in

LONGEST = 100_000  # bytes of a file


@dataclass(frozen=True, slots=True)
class Verdict:
    """`code` is `holds`, or why it does not: unreadable, no-credential, no-proof, other-proof,
    no-key, changed, unknown-key, not-yet, ended, revoked, suspended, other-name, bad-list. What it
    says is told only where nothing in it was changed.

    `is_current`: whether a list of fallen ones was at hand; without one it says only what was true
    on the day of signing.
    """

    code: str
    title: str = ""
    shop: str = ""
    key: str = ""
    valid_from: datetime | None = None
    valid_until: datetime | None = None
    covers: str = ""
    given_as: str = ""
    is_current: bool = False

    @property
    def holds(self) -> bool:
        return self.code == "holds"


def read_document(data: bytes) -> dict[str, Any]:
    """The JSON object of a file. Raises BadProof; also where a name stands twice in an object,
    since one reader would take the first and another the last.
    """
    if len(data) > LONGEST:
        raise BadProof("unreadable")
    try:
        found = json.loads(data.decode("utf-8-sig"), object_pairs_hook=_once)
    except (ValueError, RecursionError) as wrong:
        raise BadProof("unreadable") from wrong
    if not isinstance(found, dict):
        raise BadProof("unreadable")
    return found


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a name stands twice")
    return found


def verify(
    data: bytes,
    *,
    keys: Mapping[str, str],
    now: datetime,
    name: str = "",
    lists: Sequence[bytes] = (),
) -> Verdict:
    """What a file proves now. `keys` are the shops whose keys are known, by Multikey; `name` the
    person that it should be of, where that is asked; `lists` status lists at hand.
    """
    try:
        document = read_document(data)
        if not _is_credential(document):
            return Verdict("no-credential")
        key = multikey(signer_of(document))
    except BadProof as bad:
        return Verdict(bad.code)
    told = _told(document, key, keys)
    # A did:key proof says only “unchanged”: that a shop signed it must be known from elsewhere.
    if key not in keys or _issuer_of(document) != f"did:key:{key}":
        return replace(told, code="unknown-key")
    if told.valid_from is None or told.valid_until is None:
        return replace(told, code="no-credential")
    # After whose it is: of a paper that nobody signed, its days mean nothing.
    if now < told.valid_from:
        return replace(told, code="not-yet")
    if now > told.valid_until:
        return replace(told, code="ended")
    if name and not is_of(document, name):
        return replace(told, code="other-name")
    return _by_lists(told, document, key, lists)


def _by_lists(
    told: Verdict, document: Mapping[str, Any], key: str, lists: Sequence[bytes]
) -> Verdict:
    """By the lists of the same signer that the credential names."""
    seen = set()
    for data in lists:
        try:
            found = read_document(data)
            subject = found["credentialSubject"]
            purpose = str(subject["statusPurpose"])
            where = place_in(document, purpose)
            if where is None or where[0] != found.get("id"):
                continue
            # Anybody could make a list in which nothing has fallen.
            if multikey(signer_of(found)) != key:
                return replace(told, code="bad-list")
            if is_set(str(subject["encodedList"]), where[1]):
                return replace(told, code="revoked" if purpose == REVOCATION else "suspended")
            seen.add(purpose)
        except (BadProof, BadList, KeyError, TypeError, ValueError):
            return replace(told, code="bad-list")
    return replace(told, code="holds", is_current={REVOCATION, SUSPENSION} <= seen)


def _is_credential(document: Mapping[str, Any]) -> bool:
    types = document.get("type")
    return isinstance(types, list) and set(TYPES) <= {str(one) for one in types}


def _issuer_of(document: Mapping[str, Any]) -> str:
    issuer = document.get("issuer")
    return str(issuer.get("id", "")) if isinstance(issuer, Mapping) else str(issuer)


def _told(document: Mapping[str, Any], key: str, keys: Mapping[str, str]) -> Verdict:
    subject = document.get("credentialSubject")
    achievement = subject.get("achievement") if isinstance(subject, Mapping) else None
    said = achievement if isinstance(achievement, Mapping) else {}
    return Verdict(
        "",
        title=str(document.get("name", "")),
        shop=keys.get(key, ""),
        key=key,
        valid_from=_moment(document.get("validFrom")),
        valid_until=_moment(document.get("validUntil")),
        covers=str(said.get("description", "")),
        given_as=_given_as(document.get("evidence")),
    )


def _given_as(evidence: object) -> str:
    first = evidence[0] if isinstance(evidence, list) and evidence else None
    return str(first.get("name", "")) if isinstance(first, Mapping) else ""


def _moment(said: object) -> datetime | None:
    try:
        found = datetime.fromisoformat(str(said))
    except ValueError:
        return None
    return found if found.tzinfo else None
