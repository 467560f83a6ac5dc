"""What does a credential prove to this site, which knows some keys and its own record?"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from django.core.cache import cache
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from procedures.models.booking import list_written_kinds
from procedures.records.days.reader import say_day
from training.exchange.credential.issuing import is_fallen, is_suspended, known_keys, own_key
from training.exchange.credential.issuing import status_list as make_list
from training.exchange.credential.verdict import Verdict, read_document, verify
from training.models import BookEntry, SignOff
from training.records.keeping import head

KEPT = 3600  # seconds
SAID = {
    "unreadable": _(
        "This is not a file of a sign-off. Choose the file that the person took along."
    ),
    "no-credential": _("This file is not a sign-off of a shop."),
    "no-proof": _("Nobody signed this file. It proves nothing."),
    "other-proof": _(
        "This file is signed in a way that this site does not know, so it cannot be checked here."
    ),
    "no-key": _("This file names no key, so it cannot be checked."),
    "changed": _("Something in this file was changed after it was signed. It proves nothing."),
    "unknown-key": _("This site does not know the shop that signed it. Ask the shop for its key."),
    "not-yet": _("This sign-off is not valid yet: it begins on {day}."),
    "ended": _("This sign-off has run out: the last good day was {day}."),
    "revoked": _("This sign-off no longer counts: the shop has cancelled it."),
    "suspended": _("This person is stood down from this work at present."),
    "other-name": _("This sign-off belongs to somebody with another name."),
    "bad-list": _("The list of cancelled sign-offs cannot be used. Get it again from the shop."),
    "not-on-record": _("This site has no such sign-off on record any more. Ask the owner."),
}


def check(
    data: bytes,
    *,
    now: datetime,
    name: str = "",
    lists: Sequence[bytes] = (),
    more_keys: Mapping[str, str] | None = None,
) -> Verdict:
    """What a file proves here. One of this site is held against its own record too."""
    found = verify(
        data, keys={**known_keys(), **(more_keys or {})}, now=now, name=name, lists=lists
    )
    # Of another shop's sign-offs this record knows nothing.
    if not found.holds or found.key != own_key():
        return found
    row = _row_of(read_document(data))
    if row is None:
        return replace(found, code="not-on-record")
    # By the record itself: the lists say the same, but only as of when they were fetched.
    if is_fallen(row, now):
        return replace(found, code="revoked")
    if is_suspended(row, now):
        return replace(found, code="suspended")
    return replace(found, is_current=True)


def say_verdict(found: Verdict) -> str:
    """The answer as a sentence."""
    if found.holds:
        return gettext("{title}: signed off until {day}, by {shop}.").format(
            title=found.title, day=_day(found.valid_until), shop=found.shop or gettext("the shop")
        )
    day = found.valid_from if found.code == "not-yet" else found.valid_until
    return str(SAID[found.code]).format(day=_day(day))


def _day(moment: datetime | None) -> str:
    return say_day(moment) if moment else ""


def _row_of(document: Mapping[str, Any]) -> SignOff | None:
    """The sign-off whose entry in the record book a credential of ours names."""
    match = re.search(r"urn:sha256:([0-9a-f]{64})", str(document.get("evidence", "")))
    entry = (
        BookEntry.objects.filter(kind__in=list_written_kinds(SignOff.KIND), digest=match[1]).first()
        if match
        else None
    )
    if entry is None:
        return None
    rows = SignOff.objects.select_related("person__workshop", "level", "signer")
    return rows.filter(pk=entry.row).first()


def status_list(purpose: str, *, now: datetime, address: str) -> dict[str, Any]:
    """The list as of the newest entry of the record book and this day, made once for each."""
    state = f"{own_key()} {purpose} {head()[1]} {now.date()} {address}"
    key = "status-list-" + hashlib.sha256(state.encode()).hexdigest()
    found: dict[str, Any] | None = cache.get(key)
    if found is None:
        found = make_list(purpose, now=now, address=address)
        cache.set(key, found, KEPT)
    return found
