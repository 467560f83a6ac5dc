"""How is an entry declared never to have counted? One person asks, a second one decides."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext, gettext_lazy

from procedures.records.refused import Refused
from training.access import acts
from training.actions.entries import write_down
from training.actions.signing import PasswordProof, check_proof
from training.models import User, Void, VoidAsked, VoidDecided
from training.records.clock import moment
from training.records.sheets import digest_of
from training.records.void_sheets import void_sheet

OUT_OF_DATE = gettext_lazy(
    "This page is out of date: something was added since you opened it. Read the "
    "list again, then sign."
)


def words_of_asking(shown: str, reason: str) -> str:
    """What a password for asking for a void is given for: exactly what was shown, and this
    reason.
    """
    return f"ask for void {shown}: {reason}"


def words_of_deciding(shown: str, confirm: bool, reason: str) -> str:
    """What a password for a decision on a void is given for: exactly what was shown, this yes or
    no, and this reason.
    """
    return f"decide void {shown}: {'yes' if confirm else 'no'}: {reason}"


@transaction.atomic
def ask_for_void(
    *,
    kind: str,
    person: User,
    about: str,
    on: date,
    by: User,
    reason: str,
    shown: str,
    proof: PasswordProof,
    now: datetime | None = None,
) -> VoidAsked:
    """The wish that exactly the entries shown be declared void.

    Raises Refused without the right, a reason or an entry, when it is asked already, and where the
    list has changed.
    """
    check_proof(proof, by, words_of_asking(shown, reason))
    now = moment(now)
    acts.ASK_FOR_VOID.check(by)
    if not reason.strip():
        raise Refused(
            gettext("Say why it should never have counted. The person who decides needs to know.")
        )
    sheet = void_sheet(kind=kind, person=person, about=about, on=on, signer=by)
    # A void of nothing would still name a day, and what is brought in later with an older instant
    # would fall by it.
    if not sheet.entries:
        raise Refused(
            gettext(
                "There is no such entry on that day. Open the person’s record and choose the "
                "entry there."
            )
        )
    if VoidAsked.objects.filter(
        kind=kind, person=person, about=about, happened_on=on, decided__isnull=True
    ).exists():
        raise Refused(gettext("Somebody asked for this already. It waits for a second person."))
    # Last, when all else stands: the list is signed, so it must be the one that was read.
    if sheet.digest != shown:
        raise Refused(str(OUT_OF_DATE))
    return write_down(
        VoidAsked(
            kind=kind,
            person=person,
            about=about,
            happened_on=on,
            by=by,
            reason=reason.strip(),
            recorded_at=now,
            recorded_by=by,
            entries=sheet.keys(),
            shown_digest=digest_of(shown=shown, reason=reason.strip()),
        )
    )


@transaction.atomic
def decide_void(
    *,
    asked: VoidAsked,
    confirm: bool,
    by: User,
    reason: str,
    shown: str,
    proof: PasswordProof,
    today: date | None = None,
    now: datetime | None = None,
) -> VoidDecided:
    """The second person's word. Confirmed, exactly the entries shown never counted, for all days,
    from now on. Whoever asked says only no: that takes the wish back.

    Raises Refused for a yes by whoever asked, for the person concerned, without the right, for a no
    without a reason, when it is decided already, and where an entry came in since they were shown:
    it would fall with them unseen.
    """
    check_proof(proof, by, words_of_deciding(shown, confirm, reason))
    now = moment(now)
    kept = VoidAsked.objects.select_related("person", "by").get(pk=asked.pk)
    _check_may_decide(kept, by, confirm=confirm)
    if not confirm and not reason.strip():
        raise Refused(gettext("Say why the entry stays."))
    sheet = void_sheet(
        kind=kept.kind,
        person=kept.person,
        about=kept.about,
        on=kept.happened_on,
        signer=by,
        asked=kept,
    )
    if sheet.digest != shown:
        raise Refused(str(OUT_OF_DATE))
    # The void before the decision, which names it; one transaction holds both.
    void = _void(kept, by, now) if confirm else None
    return write_down(
        VoidDecided(
            asked=kept,
            void=void,
            happened_on=today or by.workshop.day_of(now),
            by=by,
            reason=reason.strip(),
            recorded_at=now,
            recorded_by=by,
            entries=sheet.keys(),
            shown_digest=digest_of(shown=shown, confirm=confirm, reason=reason.strip()),
        )
    )


def _void(asked: VoidAsked, by: User, now: datetime) -> Void:
    return write_down(
        Void(
            kind=asked.kind,
            person=asked.person,
            about=asked.about,
            happened_on=asked.happened_on,
            by=by,
            reason=asked.reason,
            recorded_at=now,
            # Both people stand in the entry: who wished it and (`by`) who decided.
            recorded_by=asked.by,
        )
    )


def _check_may_decide(asked: VoidAsked, by: User, *, confirm: bool) -> None:
    # 21 CFR 11.200: misuse must need two people.
    if by == asked.by and confirm:
        raise Refused(gettext("You asked for this, so somebody else must decide."))
    if by == asked.by:
        # Whoever asked may take it back, even about an entry of their own.
        acts.ASK_FOR_VOID.check(by)
    else:
        acts.DECIDE_VOID.check(by, asked.person)
    if VoidDecided.objects.filter(asked=asked).exists():
        raise Refused(gettext("Somebody has decided this already."))
