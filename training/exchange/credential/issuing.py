"""How does a sign-off become a credential of this site, and which of them have fallen?"""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Iterator
from datetime import datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.utils.translation import gettext

from procedures.models.booking import list_written_kinds
from procedures.records.refused import Refused
from training.exchange.backups.checkpoints import public_key, secret
from training.exchange.credential.document import REVOCATION, SignOffSaid, credential_of
from training.exchange.credential.proof import BadProof, instant, key_of, multikey, sign
from training.exchange.credential.status import encode, list_credential
from training.models import BookEntry, SignOff, Workshop
from training.records.gathering import gather
from training.records.sheets import forks_text
from training.standing.calendar import add_months
from training.standing.entitlement import Asking, asking_of
from training.standing.evidence import SignOff as Evidence

KNOWN_KEYS = "known-keys"  # a file in BENCHRIGHT_HOME: a key and the shop's name on each line


def own_key() -> str:
    """The public key of this site, as Multikey."""
    return multikey(bytes.fromhex(public_key()))


def known_keys() -> dict[str, str]:
    """The shops whose credentials are believed here, by key: this one, and those in the file of
    known keys. A line that holds no key is passed over.
    """
    here = Workshop.objects.order_by("pk").values_list("name", flat=True).first() or ""
    found = {own_key(): here}
    path = settings.HOME / KNOWN_KEYS
    for line in path.read_text(encoding="utf-8").splitlines() if path.is_file() else ():
        key, _, name = line.strip().partition(" ")
        try:
            key_of(key)
        except BadProof:
            continue
        # The file never gives this site's own key another name.
        found.setdefault(key, name.strip())
    return found


def issue(row: SignOff, *, now: datetime, address: str = "") -> dict[str, Any]:
    """The credential of a sign-off that counts; the same one whenever it is made. Raises
    Refused.
    """
    shop = gather()
    asking = asking_of(shop, now)
    found = _evidence_of(asking, row)
    if found is None or not asking.entitled(found):
        raise Refused(
            gettext("This sign-off does not count, so it cannot be taken along. See the record.")
        )
    zone = ZoneInfo(row.person.workshop.time_zone)
    rules = asking.books.on(row.happened_on).of(row.level.name)
    entry = BookEntry.objects.filter(
        kind__in=list_written_kinds(SignOff.KIND), row=row.pk
    ).values_list("digest", flat=True)[0]
    last = add_months(row.happened_on, rules.valid_months)
    said = SignOffSaid(
        entry=entry,
        holder=row.person.name,
        # From the site's key: the same in each copy, and not to be worked out from the book.
        salt=hmac.new(secret(), f"credential {entry}".encode(), hashlib.sha256).hexdigest()[:32],
        level=row.level.name,
        title=rules.title,
        covers=gettext("May do this service alone, {forks}.").format(forks=forks_text(row.limits)),
        asked=gettext("By the rules of the shop for this level on the day of signing."),
        signer_role=gettext("owner") if row.founding else gettext("senior mechanic"),
        given_as=_given_as(row),
        signed_at=datetime.combine(row.happened_on, time(), zone),
        until=datetime.combine(last, time(23, 59, 59), zone),
    )
    key = own_key()
    document = credential_of(
        said,
        issuer=f"did:key:{key}",
        shop=row.person.workshop.name,
        place=row.pk,
        address=address.rstrip("/"),
    )
    return _signed(document, key, row.recorded_at)


def _given_as(row: SignOff) -> str:
    # In English, as the document is: the file is the same for every reader.
    if not row.founding:
        return "sign-off"
    own = ", for themselves" if row.signer_id == row.person_id else ""
    return f"first sign-off by the owner{own}"


def status_list(purpose: str, *, now: datetime, address: str) -> dict[str, Any]:
    """The signed list of sign-offs that have fallen (revocation) or whose holder is stood down
    (suspension), as of now.
    """
    falls = is_fallen if purpose == REVOCATION else is_suspended
    key = own_key()
    shop = Workshop.objects.order_by("pk").values_list("name", flat=True).first() or ""
    document = list_credential(
        purpose=purpose,
        issuer=f"did:key:{key}",
        shop=shop,
        address=address.rstrip("/"),
        encoded=encode({row.pk for row in _rows() if falls(row, now)}),
        valid_from=instant(now),
    )
    return _signed(document, key, now)


def _signed(document: dict[str, Any], key: str, created: datetime) -> dict[str, Any]:
    return sign(document, secret=secret(), method=f"did:key:{key}#{key}", created=created)


def _rows() -> Iterator[SignOff]:
    return SignOff.objects.select_related("person__workshop", "level", "signer").iterator()


def _evidence_of(asking: Asking, row: SignOff) -> Evidence | None:
    """The sign-off as the standing counts it; none where it was cancelled."""
    return next(
        (
            found
            for found in asking.known.signoffs(row.person.login, row.level.name)
            if (found.on, found.signer, found.recorded_at)
            == (row.happened_on, row.signer.login, row.recorded_at)
        ),
        None,
    )


def is_fallen(row: SignOff, now: datetime) -> bool:
    """Whether a sign-off was cancelled, or was given by somebody who was not entitled."""
    asking = asking_of(gather(), now)
    found = _evidence_of(asking, row)
    return found is None or not asking.entitled(found)


def is_suspended(row: SignOff, now: datetime) -> bool:
    """Whether the holder of a sign-off is stood down from its level today."""
    known = asking_of(gather(), now).known
    today = row.person.workshop.day_of(now)
    for stop in known.standdowns(row.person.login):
        lifted = known.lifted_on(stop)
        is_meant = stop.level in {None, row.level.name} and stop.first <= today
        if is_meant and (lifted is None or today < lifted):
            return True
    return False
