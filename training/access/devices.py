"""Is this a browser in which the person has signed in before?

A cookie says so, for each person who uses the browser. It opens nothing: whoever steals it still
needs the password, and gets a few tries of their own. At each sign-in its secret changes, so a copy
is worth nothing from then on.
"""

from __future__ import annotations

import secrets
from datetime import datetime
from hashlib import sha256

from django.conf import settings
from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.utils.crypto import constant_time_compare

from training.models import KnownDevice, User

KEPT = 400 * 24 * 60 * 60  # seconds; browsers keep a cookie no longer (RFC 6265bis)
# The oldest fall out of the cookie: a browser keeps some 4 kB of it (RFC 6265, 6.1).
MOST = 12  # people at one tablet
# A salt of its own, so that nothing else that the site has signed can be put here.
SALT = "training.devices"


def known_device(request: HttpRequest, login: str) -> KnownDevice | None:
    """The device of the person with this login, where the browser proves to be it."""
    held = _held(request)
    rows = (
        # The cookie says which rows, not whose: the login typed must be the one of the row.
        KnownDevice.objects.filter(pk__in=list(held), person__login__iexact=login) if held else ()
    )
    # In constant time: how long a comparison takes would tell how much of a secret is right.
    return next(
        (row for row in rows if constant_time_compare(row.secret_hash, _hash(held[row.pk]))), None
    )


def remember_device(
    request: HttpRequest, response: HttpResponse, person: User, now: datetime
) -> KnownDevice:
    """The device, known from now on, with a new secret in its cookie; other people's parts of the
    cookie stay.
    """
    # 128 bits, and so SHA-256 without a salt is enough to keep it by.
    secret = secrets.token_urlsafe(16)
    device = known_device(request, person.login)
    if device is None or device.person_id != person.pk:  # old logins may differ in capitals alone
        device = KnownDevice(person=person, made_at=now)
    device.secret_hash, device.seen_at = _hash(secret), now
    device.save()
    held = _held(request) | {device.pk: secret}
    # The sort is stable: this device goes to the end, the others keep their age, the oldest fall
    # out.
    newest = dict(sorted(held.items(), key=lambda item: item[0] == device.pk)[-MOST:])
    response.set_cookie(
        settings.DEVICE_COOKIE_NAME,
        signing.dumps(list(newest.items()), salt=SALT),
        max_age=KEPT,
        path="/",
        # As the session's: a shop without https at the bench must be able to sign in at all.
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        # Lax and not Strict: who comes in by a link in a mail is still at a known device.
        samesite="Lax",
    )
    return device


def _held(request: HttpRequest) -> dict[int, str]:
    """The devices that the cookie names, with their secrets; none where it is not of this site or
    too old.
    """
    try:
        held = signing.loads(
            request.COOKIES.get(settings.DEVICE_COOKIE_NAME, ""), salt=SALT, max_age=KEPT
        )
        return {int(pk): str(secret) for pk, secret in held}
    except (signing.BadSignature, TypeError, ValueError):
        return {}


def _hash(secret: str) -> str:
    return sha256(secret.encode()).hexdigest()
