"""Which sign-ins and programs were refused, and how often?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Sum
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_noop as _

from training.models import RefusedSignIn, User
from training.models.refusals import CLOSED, CODE, ENDED_TOKEN, EXACT, PASSWORD, UNKNOWN_TOKEN, WAIT

# So many within an hour are no typing mistakes any more (ours, no source), and are still counted
# one by one.
BURST = 2 * EXACT
MOST_SHOWN = 1000
LATELY = timedelta(hours=24)
WORDS = {
    PASSWORD: _("wrong password"),
    CODE: _("wrong code"),
    WAIT: _("tried again during the waiting time"),
    CLOSED: _("the account is closed"),
    UNKNOWN_TOKEN: _("we do not have this token"),
    ENDED_TOKEN: _("the token has ended"),
}


@dataclass(frozen=True, slots=True)
class RefusalShown:
    """What was refused together. `login` and `program` are empty where we have none."""

    first_at: datetime
    last_at: datetime
    login: str
    name: str
    program: str
    is_program: bool
    kind: str
    address: str
    why: str
    times: str


def refusals_page() -> Iterator[RefusalShown]:
    """Those that are kept, newest first, the newest thousand at most; one query."""
    rows = RefusedSignIn.objects.select_related("person", "program").order_by("-last_at", "key")
    for row in rows[:MOST_SHOWN]:
        is_unknown = row.why == PASSWORD and row.person is None
        yield RefusalShown(
            first_at=row.first_at,
            last_at=row.last_at,
            login=row.person.login if row.person else "",
            name=row.person.name if row.person else "",
            program=row.program.name if row.program else "",
            is_program=row.why in {UNKNOWN_TOKEN, ENDED_TOKEN},
            kind=row.kind,
            address=row.address,
            why=gettext("nobody has this login") if is_unknown else gettext(WORDS[row.why]),
            times=_say_times(row.count),
        )


def tell_own_refusals(person: User, since: datetime | None) -> str:
    """How many sign-ins of this person were refused since an earlier sign-in, in words; empty for
    none.
    """
    rows = RefusedSignIn.objects.filter(person=person)
    if since is not None:
        rows = rows.filter(last_at__gt=since)
    n = rows.aggregate(n=Sum("count"))["n"] or 0
    if n > BURST:
        said = gettext("About {n} refused sign-ins since your last one.")
        return said.format(n=_round_off(n))
    if not n:
        return ""
    return ngettext(
        "{n} refused sign-in since your last one.", "{n} refused sign-ins since your last one.", n
    ).format(n=n)


def tell_burst(now: datetime) -> str:
    """How many sign-ins and programs were refused lately, where many came at once; else empty."""
    rows = RefusedSignIn.objects.filter(last_at__gt=now - LATELY)
    if not rows.filter(count__gte=BURST).exists():
        return ""
    n = rows.aggregate(n=Sum("count"))["n"]
    said = gettext("About {n} tries to get in were refused in the last 24 hours.")
    return said.format(n=_round_off(n))


def _say_times(count: int) -> str:
    if count > BURST:
        return gettext("about {n} times").format(n=_round_off(count))
    return ngettext("{n} time", "{n} times", count).format(n=count)


def _round_off(count: int) -> int:
    """One digit and zeros, since what came in a flood is known no better."""
    return int(round(count, 1 - len(str(count))))
