"""Who signs for whom, who stands whom down, and who may sign at all?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.contrib.auth import authenticate
from django.db import transaction
from django.db.models import Q
from django.http import HttpRequest
from django.utils import timezone
from django.utils.translation import gettext, gettext_lazy

from procedures.records.days.reader import say_day
from procedures.records.refused import Refused
from training.access import acts
from training.access.throttle import inside_paths, wait_in_words
from training.actions.accounts import check_own_hand
from training.actions.entries import check_here, write_down
from training.actions.tries import Wait, forget_tries, take_try
from training.models import Appointment, Level, Lift, SignOff, StandDown, User
from training.records.clock import moment, urgent_moment
from training.records.sheets import signing_sheet
from training.records.wording.reasons import say_reason

NO_PROOF = gettext_lazy("Say in the note what proof this first sign-off rests on.")


@dataclass(slots=True)
class PasswordProof:
    """That a person gave the password again for one thing to sign: it names person and thing, so it
    serves no other, and once.
    """

    person: int
    about: str
    used: bool = False


def prove(
    request: HttpRequest, person: User, password: str, about: str, *, at_once: bool = False
) -> PasswordProof:
    """The proof that this person is here. Wrong passwords are counted for this person's sessions on
    this device alone.

    Raises Refused, also within an hour of a password by somebody else's hand, but for what cannot
    wait (`at_once`: standing somebody down). Call it outside a transaction, so that a refusal does
    not undo the counting.
    """
    now = timezone.now()
    # First: a password that cannot sign yet need not be hashed.
    if not at_once:
        check_own_hand(person, now)
    try:
        path = take_try(paths=inside_paths(request, person), now=now)
    except Wait as wait:
        raise Refused(
            gettext("Too many wrong passwords. Nothing was signed. Try again in {wait}.").format(
                wait=wait_in_words(wait.seconds)
            )
        ) from wait
    # The whole way of the door, so that a closed account cannot sign by an open page.
    found = authenticate(request, username=person.login, password=password)
    # Old logins may differ in capitals alone, and lead to somebody else.
    if found is None or found.pk != person.pk:
        raise Refused(gettext("This is not your password. Nothing was signed. Type it again."))
    forget_tries(path=path, now=now)
    return PasswordProof(person.pk, about)


def check_proof(proof: PasswordProof, person: User, about: str) -> None:
    """Raises Refused for a password that was given by somebody else, for something else, or for a
    signature before this one.
    """
    if proof.used or (proof.person, proof.about) != (person.pk, about):
        raise Refused(
            gettext("You typed this password for something else. Type it again to sign this.")
        )
    # 21 CFR 11.70: a signature cannot be moved to another record, nor used for two.
    proof.used = True


@transaction.atomic
def sign_off(
    *,
    person: User,
    level: Level,
    signer: User,
    limits: Mapping[str, Sequence[str]],
    shown: str,
    proof: PasswordProof,
    on: date | None = None,
    now: datetime | None = None,
    note: str = "",
    founding: bool = False,
) -> SignOff:
    """The sign-off, bound to the digest of exactly what was shown.

    Raises Refused for oneself (but for the owner's first sign-off), for a signer who is not
    entitled, where something that the level asks is missing, and where what was shown has changed
    since.
    """
    check_proof(proof, signer, shown)
    now = moment(now)  # a second signature waits here, and then sees the first
    on = on or signer.workshop.day_of(now)
    # Of the role only; that the signer is appointed and alone stands on the sheet.
    (acts.FOUND if founding else acts.SIGN).check(signer, person)
    # A first sign-off rests on nothing in the record, so that its proof must be named.
    if founding and not note.strip():
        raise Refused(str(NO_PROOF))
    check_here(person, on)
    sheet = signing_sheet(
        person=person, level=level, signer=signer, limits=limits, on=on, now=now, founding=founding
    )
    if not sheet.may_be_signed():
        # The signer's own come first: whoever may not sign need not read what the other lacks.
        reasons = [say_reason(reason) for reason in (*sheet.signer_lacks, *sheet.missing)]
        raise Refused(gettext("This cannot be signed today."), reasons)
    if sheet.digest != shown:
        raise Refused(gettext("This has changed since you opened it. Read it again, then sign."))
    return write_down(
        SignOff(
            person=person,
            level=level,
            signer=signer,
            limits=sheet.limits,
            founding=founding,
            meaning=sheet.meaning,
            printed_name=signer.name,
            shown_digest=sheet.digest,
            note=note,
            happened_on=on,
            recorded_at=now,
            recorded_by=signer,
            once=True,
        )
    )


def words_of_stand_down(person: User, level: Level | None, first: date, reason: str) -> str:
    """What a password for a stand-down is given for: this person, level, day and reason, and no
    other.
    """
    return (
        f"stand down {person.pk} at {level.name if level else 'every level'} from {first}: {reason}"
    )


def words_of_lift(standdown: StandDown, on: date, reason: str) -> str:
    """What a password for a lift is given for."""
    return f"lift {standdown.pk} on {on}: {reason}"


@transaction.atomic
def stand_down(
    *,
    person: User,
    level: Level | None,
    first: date,
    by: User,
    reason: str,
    proof: PasswordProof,
    now: datetime | None = None,
) -> StandDown:
    """From a day on this person may not, at one level or at all. Raises Refused without a reason or
    the right.
    """
    check_proof(proof, by, words_of_stand_down(person, level, first, reason))
    # A stop cannot wait until the clock of the machine is right.
    now = urgent_moment(now)
    acts.STAND_DOWN.check(by)
    if not reason.strip():
        raise Refused(
            gettext("Say why. The person will read it, and so will whoever allows the work again.")
        )
    if StandDown.objects.filter(
        person=person, level=level, happened_on=first, lift__isnull=True
    ).exists():
        raise Refused(
            gettext(
                "{person_name} is stood down from that day already. Nothing was saved twice."
            ).format(person_name=person.name)
        )
    return write_down(
        StandDown(
            person=person,
            level=level,
            happened_on=first,
            by=by,
            reason=reason,
            recorded_at=now,
            recorded_by=by,
        )
    )


@transaction.atomic
def lift(
    *,
    standdown: StandDown,
    on: date,
    by: User,
    reason: str,
    proof: PasswordProof,
    now: datetime | None = None,
) -> Lift:
    """The end of a stand-down: on that day the person is free. Raises Refused for one's own, or a
    day before it began.
    """
    check_proof(proof, by, words_of_lift(standdown, on, reason))
    now = moment(now)
    acts.LIFT.check(by, standdown.person)
    # Behind the lock, for the sentence; the table refuses a second lift as well.
    if Lift.objects.filter(standdown=standdown).exists():
        raise Refused(gettext("This stand-down has ended already."))
    # It would be lifted before it was given, and so never have held.
    if on < standdown.happened_on:
        raise Refused(gettext("Choose the day on which the stand-down began, or a later one."))
    if not reason.strip():
        raise Refused(
            gettext("Say what was done or found since, so that the work can be allowed again.")
        )
    return write_down(
        Lift(
            standdown=standdown,
            happened_on=on,
            by=by,
            reason=reason,
            recorded_at=now,
            recorded_by=by,
        )
    )


def _check_not_appointed(person: User, level: Level, first: date, until: date | None) -> None:
    """Raises Refused where an appointment from that day holds as long already."""
    # One that was ended is not in the way of a new one from the same day.
    same = Appointment.objects.filter(
        person=person, level=level, happened_on=first, ends__isnull=True
    )
    lasting = Q(until__isnull=True)
    if until is not None:
        lasting |= Q(until__gte=until)
    if same.filter(lasting).exists():
        raise Refused(
            gettext(
                "{person_name} may sign off this level from that day already. Nothing was "
                "saved twice."
            ).format(person_name=person.name)
        )


@transaction.atomic
def appoint(
    *,
    person: User,
    level: Level,
    by: User,
    first: date,
    until: date | None,
    now: datetime | None = None,
) -> Appointment:
    """This person may sign off the level between two days. Raises Refused without the right, and
    for days outside the person's time here.
    """
    now = moment(now)
    acts.APPOINT.check(by)
    # Of the role: an appointment that could not be used would look like a signer to the plan.
    if not acts.SIGN.is_open_to(person):
        raise Refused(
            gettext(
                "{person_name} is not a senior mechanic. Only a senior mechanic or an owner "
                "can sign off. Change the role first."
            ).format(person_name=person.name)
        )
    check_here(person, first)
    # Whoever has left may not be alone, so that the days after would appoint nobody.
    if person.left is not None and (until is None or until > person.left):
        raise Refused(
            gettext(
                "The last day of {name} here is {day}. Choose that day or an earlier one as "
                "the end of the appointment."
            ).format(name=person.name, day=say_day(person.left))
        )
    _check_not_appointed(person, level, first, until)
    return write_down(
        Appointment(
            person=person,
            level=level,
            by=by,
            happened_on=first,
            until=until,
            recorded_at=now,
            recorded_by=by,
        )
    )
