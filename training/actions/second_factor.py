"""How is a second factor set up, asked for and taken off, and who must have one?

The codes are those of RFC 6238, by django-otp; recovery codes are its static tokens, of which only
a keyed hash is kept.
"""

from __future__ import annotations

import secrets
from base64 import b32encode
from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.utils.crypto import salted_hmac
from django.utils.translation import gettext
from django_otp import verify_token
from django_otp.plugins.otp_static.models import StaticDevice, StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from procedures.records.refused import Refused
from training.access import acts
from training.access.throttle import Path, wait_in_words
from training.actions.accounts import bare_code, tell
from training.actions.tries import Wait, forget_tries, take_try
from training.models import AccountChange, SecondFactorRule, Session, User, roles
from training.records.clock import moment
from training.records.keeping import record

RECOVERY_CODES = 10
LETTERS = 12  # 60 bits; NIST SP 800-63B-4, 3.1.2.1, asks for 20 at least
# RFC 4226, 5.3: six at least; every app shows as many.
DIGITS = 6


def has_factor(person: User) -> bool:
    """Whether this person signs in with a second factor."""
    return bool(TOTPDevice.objects.filter(user=person, confirmed=True).exists())


def must_have_factor(person: User) -> bool:
    """Whether the shop asks a second factor of this person's role."""
    # The newest row of the book: a column of the shop could be set back unseen.
    rule = SecondFactorRule.objects.order_by("-pk").first()
    return rule is not None and (
        (rule.seniors and person.trade == roles.SENIOR) or (rule.owners and person.owner)
    )


@transaction.atomic
def set_factor_rule(
    *, seniors: bool, owners: bool, by: User, now: datetime | None = None
) -> SecondFactorRule:
    """Whom the shop asks for a second factor at the next sign-in. Raises Refused without the
    right.
    """
    now = moment(now)
    acts.DECIDE_FACTOR.check(by)
    rule = SecondFactorRule.objects.create(seniors=seniors, owners=owners, by=by, recorded_at=now)
    record(SecondFactorRule.KIND, rule)
    return rule


@transaction.atomic
def begin_factor(*, person: User) -> TOTPDevice:
    """The device that is being set up; it counts once a code of it was given. Raises Refused where
    there is one already.
    """
    User.objects.select_for_update().get(pk=person.pk)
    # Behind the lock, so that two tabs do not set up two.
    if has_factor(person):
        raise Refused(gettext("You have a second factor already. Turn it off first."))
    # The one begun before comes back: the code on the screen may be in the phone already.
    device, _ = TOTPDevice.objects.get_or_create(
        user=person, confirmed=False, defaults={"name": "app"}
    )
    return device


def begun_factor(person: User) -> TOTPDevice | None:
    """The device that is being set up, where there is one."""
    return TOTPDevice.objects.filter(user=person, confirmed=False).first()


@transaction.atomic
def confirm_factor(*, person: User, code: str, now: datetime | None = None) -> Sequence[str]:
    """The recovery codes, shown once; from now on a code is asked at the sign-in. Raises Refused
    for a wrong code.
    """
    now = moment(now)
    device = TOTPDevice.objects.select_for_update().filter(user=person, confirmed=False).first()
    # Apps show the code in two groups.
    if device is None or has_factor(person) or not device.verify_token("".join(code.split())):
        raise Refused(
            gettext(
                "This code is wrong. Check that the clock of your phone is right, then type the "
                "code that it shows now."
            )
        )
    device.confirmed = True
    device.save()
    tell(person, AccountChange.FACTOR_ON, person, now)
    return _new_codes(person)


@transaction.atomic
def new_recovery_codes(*, person: User) -> Sequence[str]:
    """Ten new recovery codes; the old ones end. Raises Refused without a second factor."""
    User.objects.select_for_update().get(pk=person.pk)
    if not has_factor(person):
        raise Refused(gettext("You have no second factor."))
    return _new_codes(person)


def recovery_codes_left(person: User) -> int:
    """How many recovery codes are not used yet."""
    return int(StaticToken.objects.filter(device__user=person).count())


@transaction.atomic
def take_off_factor(*, person: User, now: datetime | None = None) -> None:
    """The person signs in without a second factor from now on. Raises Refused where the shop asks
    for one.
    """
    now = moment(now)
    if must_have_factor(person):
        raise Refused(
            gettext("You cannot turn it off: your role needs a second factor in this shop.")
        )
    _remove(person)
    tell(person, AccountChange.FACTOR_OFF, person, now)


@transaction.atomic
def reset_factor(*, person: User, by: User | None, now: datetime | None = None) -> None:
    """For somebody who lost device and recovery codes: the second factor is off and the sessions
    end.

    `by` is None at the terminal. Raises Refused for oneself, without the right, and where there is
    none.
    """
    now = moment(now)
    if by:
        acts.RESET_FACTOR.check(by, person)
    if not has_factor(person):
        raise Refused(gettext("{name} has no second factor.").format(name=person.name))
    _remove(person)
    # Whoever has the lost phone may have an open session on it.
    Session.objects.filter(person=person).delete()
    tell(person, AccountChange.FACTOR_RESET, by, now)


def check_code(*, person: User, code: str, paths: Sequence[Path], now: datetime) -> None:
    """A code of the device, or a recovery code, which is used up by this. Raises Refused, and Wait
    after too many wrong ones.

    Call it outside a transaction, so that a refusal does not undo the counting.
    """
    path = take_try(paths=paths, now=now)
    bare = bare_code(code)
    # By its form: one field for both, since whoever lost the phone should not look for another
    # page.
    if bare.isdigit() and len(bare) == DIGITS:
        device, token = TOTPDevice.objects.filter(user=person, confirmed=True).first(), bare
    else:
        device, token = StaticDevice.objects.filter(user=person).first(), _kept(person, bare)
    if (
        device is None
        or not has_factor(person)
        # By django-otp, which holds the row, keeps the last step used and so refuses a code twice.
        or verify_token(person, device.persistent_id, token) is None
    ):
        raise Refused(
            gettext(
                "This code is wrong or was used already. Wait for the next code, or type a "
                "recovery code."
            )
        )
    forget_tries(path=path, now=now)


def told_wait(wait: Wait) -> str:
    """What is said after too many wrong codes."""
    return gettext("Too many wrong codes. Try again in {wait}.").format(
        wait=wait_in_words(wait.seconds)
    )


def _new_codes(person: User) -> list[str]:
    StaticDevice.objects.filter(user=person).delete()
    device = StaticDevice.objects.create(user=person, name="recovery")
    bare = [
        b32encode(secrets.token_bytes(10)).decode().lower()[:LETTERS] for _ in range(RECOVERY_CODES)
    ]
    StaticToken.objects.bulk_create(
        StaticToken(device=device, token=_kept(person, code)) for code in bare
    )
    return ["-".join(code[place : place + 4] for place in range(0, LETTERS, 4)) for code in bare]


def _kept(person: User, bare: str) -> str:
    # Cut to what django-otp's column holds; with the person in it, equal codes of two are kept
    # unlike.
    return salted_hmac("training.recovery", f"{person.pk} {bare}", algorithm="sha256").hexdigest()[
        :16
    ]


def _remove(person: User) -> None:
    TOTPDevice.objects.filter(user=person).delete()
    StaticDevice.objects.filter(user=person).delete()
