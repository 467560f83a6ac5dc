"""How is an entry declared never to have counted? One person asks, a second one decides."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext

from procedures.refused import Refused
from training.actions.entries import write_down
from training.actions.signing import Proof, check_proof
from training.clock import moment
from training.models import Entry, Job, Observation, PaperPass, Reading, SignOff, User, Void, VoidAsked, VoidDecided

NOBODY = "A senior mechanic or the owner does this."


def entries_named(kind: str, person: User, about: str, on: date) -> Sequence[Entry]:
    """The entries that a void of this kind, person, level or write-up, and day names. Sittings stay; passes on paper fall."""
    rows: dict[str, Iterable[Entry]] = {
        "signoff": SignOff.objects.filter(person=person, level__name=about, happened_on=on),
        "job": Job.objects.filter(person=person, level__name=about, happened_on=on),
        "observation": Observation.objects.filter(person=person, level__name=about, happened_on=on),
        "pass": PaperPass.objects.filter(person=person, level__name=about, happened_on=on),
        "reading": Reading.objects.filter(person=person, revision__writeup__name=about, happened_on=on),
    }
    return list(rows[kind]) if kind in rows else []


@transaction.atomic
def ask_for_void(
    *, kind: str, person: User, about: str, on: date, by: User, reason: str, proof: Proof,
    now: datetime | None = None,
) -> VoidAsked:
    """The wish that these entries be declared void. Raises Refused without the right, a reason or an entry, or when it is asked already."""
    check_proof(proof, by, f"void {kind} {person.pk} {about} {on}")
    now = moment(now)
    if not by.has_perm("training.void"):
        raise Refused(NOBODY)
    if not reason.strip():
        raise Refused(gettext("Say why it should never have counted. Whoever decides will need it."))
    if not entries_named(kind, person, about, on) and not (kind == "pass" and _sat(person, about, on)):
        raise Refused(gettext("There is no such entry on that day. Look at what is on record, and ask from there."))
    if VoidAsked.objects.filter(kind=kind, person=person, about=about, happened_on=on, decided__isnull=True).exists():
        raise Refused(gettext("Somebody has asked for this already. It waits for a second person."))
    return write_down(
        VoidAsked(
            kind=kind, person=person, about=about, happened_on=on, by=by, reason=reason.strip(), recorded_at=now, recorded_by=by
        )
    )


@transaction.atomic
def decide_void(
    *, asked: VoidAsked, confirm: bool, by: User, reason: str, proof: Proof, today: date | None = None,
    now: datetime | None = None,
) -> VoidDecided:
    """The second person's word. Confirmed, the entries never counted, for all days, from now on.

    Raises Refused for whoever asked, for the person concerned, without the right, for a no without a reason, and when it
    is decided already.
    """
    check_proof(proof, by, f"decide void {asked.pk}")
    now = moment(now)
    kept = VoidAsked.objects.select_related("person", "by").get(pk=asked.pk)
    if not by.has_perm("training.void"):
        raise Refused(NOBODY)
    if by == kept.by:
        raise Refused(gettext("You asked for this, so a second person decides."))
    if by == kept.person:
        raise Refused(gettext("Nobody decides about their own entries."))
    if VoidDecided.objects.filter(asked=kept).exists():
        raise Refused(gettext("This is decided already."))
    if not confirm and not reason.strip():
        raise Refused(gettext("Say why it stays as it is."))
    void = None
    if confirm:
        void = write_down(
            Void(
                kind=kept.kind, person=kept.person, about=kept.about, happened_on=kept.happened_on, by=by,
                reason=kept.reason, recorded_at=now, recorded_by=kept.by,
            )
        )  # fmt: skip
    return write_down(
        VoidDecided(asked=kept, void=void, happened_on=today or by.workshop.day_of(now), by=by, reason=reason.strip(), recorded_at=now, recorded_by=by)
    )


def _sat(person: User, level: str, on: date) -> bool:
    """Whether the person ended a sitting of the level's quiz on that day."""
    return person.sittings.filter(quiz__name=level, happened_on=on, recorded_at__isnull=False).exists()
