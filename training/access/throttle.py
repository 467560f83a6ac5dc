"""After how many wrong passwords or codes must who wait, and for how long?

Wrong tries are counted in buckets. A stranger's tries at the sign-in page fall into buckets of the
login and the address; those of a device that the person has used before into a bucket of its own,
and passwords asked within a session into a third one, so that no stranger can shut anybody out of a
known device or keep anybody from signing.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.http import HttpRequest
from django.utils.crypto import salted_hmac
from django.utils.translation import ngettext

from training.access.devices import known_device
from training.access.sessions import DEVICE
from training.access.where import address_counted
from training.models import User
from training.models.people import LONGEST_LOGIN

# A typing mistake costs nothing (five are free), and the longest wait still ends within a break.
FIRST, LONGEST = 5, 15 * 60  # seconds: the first wait, and the longest
MOST_DOUBLED = 10  # more wrong tries make no wait longer
HOUR = 60 * 60


@dataclass(frozen=True, slots=True)
class Bucket:
    """What tries are counted together: so many are free, and one is forgotten after so many seconds
    without a further one.

    NIST SP 800-63B-4, 3.2.2, asks for at most 100 failures in a row at one account; the smaller
    numbers are ours.
    """

    name: str
    free: int = 5
    forgets: int = HOUR
    # an address has many people: one who gets in does not clear what the others tried
    is_shared: bool = False

    @property
    def key(self) -> str:
        # Keyed: names hold what was typed as the login, which is now and then a password.
        return salted_hmac("training.throttle", self.name, algorithm="sha256").hexdigest()

    def left(self, count: int, last_at: datetime, now: datetime) -> int:
        """How many of the counted tries are not forgotten yet."""
        # One by one and not all at once: a slow guesser must not get a full set each hour.
        return max(0, count - max(0, int((now - last_at).total_seconds())) // self.forgets)

    def wait(self, count: int, last_at: datetime, now: datetime) -> int:
        """Seconds to wait: twice as long with each try, a quarter of an hour at most. A clock that
        was set back locks nobody.
        """
        over = self.left(count, last_at, now) - self.free
        # `last_at > now` is a clock that was ahead: nobody can be asked to wait for that.
        if over < 0 or last_at > now:
            return 0
        ends = last_at + timedelta(seconds=min(FIRST * 2 ** min(over, MOST_DOUBLED), LONGEST))
        return max(0, -int((now - ends).total_seconds() // 1))


Path = Sequence[Bucket]


def people_named(login: str) -> list[User]:
    """All who share a login but for capitals: before the password is looked at, nobody knows which
    of them is meant.
    """
    rows = User.objects.filter(login__iexact=_fold(login)[: LONGEST_LOGIN + 1])
    return list(rows.select_related("workshop").order_by("pk"))


def person_meant(login: str, people: Sequence[User]) -> User | None:
    """Which of them goes by this login; None where nobody does. As the look-up of people finds it,
    without another query.
    """
    exact = [person for person in people if person.login == login]
    return next(iter([*exact, *(one for one in people if not one.goes_by_capitals)]), None)


def sign_in_paths(request: HttpRequest, login: str, people: Sequence[User]) -> list[Path]:
    """The buckets of a try to sign in, by a login that these people share. Of several ways the
    first that does not wait is taken.
    """
    name = _fold(login)
    device = known_device(request, login)
    address, of = address_counted(request), _password_of(people)
    strangers = [
        # From narrow to wide: somebody at one login, somebody at many logins, many at one login.
        Bucket(f"sign in {name} {of} from {address}"),
        # A shop signs in from one address: 30 leave room for everybody's mistakes of a morning.
        Bucket(f"sign in from {address}", free=30, forgets=600, is_shared=True),
        Bucket(f"sign in {name} {of}", free=100),
    ]
    # The device first; when it waits, the person gets in as a stranger still would.
    return [[Bucket(f"sign in on {device.pk}")], strangers] if device else [strangers]


def _fold(login: str) -> str:
    # As the look-up of people folds it, or capitals would open a bucket of their own each.
    return unicodedata.normalize("NFKC", login).strip().casefold()


def _password_of(people: Sequence[User]) -> str:
    """A few letters that change with the password behind a login, so that nobody waits for what was
    tried against the one before. For a login that nobody has it is one and the same.
    """
    hashes = "".join(person.password for person in people)
    return salted_hmac("training.throttle.password", hashes, algorithm="sha256").hexdigest()[:16]


def inside_paths(request: HttpRequest, person: User) -> list[Path]:
    """The bucket of a password asked within a session: this person's, on the device that the
    session was begun on.
    """
    return [
        # No bucket across devices: a thief of one session must not keep the person from signing
        # elsewhere.
        [Bucket(f"inside {person.pk} {request.session.get(DEVICE) or request.session.session_key}")]
    ]


def code_paths(request: HttpRequest, person: User) -> list[Path]:
    """The buckets of a code at the sign-in. Twenty free tries against a million codes, then four an
    hour, whatever the address.
    """
    device = known_device(request, person.login)
    strangers = [
        Bucket(f"code of {person.pk} from {address_counted(request)}"),
        # Whoever comes here knows the password, so that fewer are free than at the door.
        Bucket(f"code of {person.pk}", free=20),
    ]
    return [[Bucket(f"code on {device.pk}")], strangers] if device else [strangers]


def inside_code_paths(request: HttpRequest, person: User) -> list[Path]:
    """The bucket of a code asked within a session."""
    return [
        [
            Bucket(
                f"code inside {person.pk} "
                f"{request.session.get(DEVICE) or request.session.session_key}"
            )
        ]
    ]


def wait_in_words(seconds: int) -> str:
    """How long to wait, as people say it: "40 seconds", "2 minutes"."""
    if seconds < 60:
        return ngettext("{n} second", "{n} seconds", seconds).format(n=seconds)
    # Rounded up: who comes back when told must be let in.
    minutes = -(-seconds // 60)
    return ngettext("{n} minute", "{n} minutes", minutes).format(n=minutes)
