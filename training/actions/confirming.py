"""How does a watcher say that a job was watched, or that it was not?"""

from __future__ import annotations

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext

from procedures.records.refused import Refused
from training.actions.accounts import check_own_hand
from training.actions.entries import check_not_stopped, write_down
from training.models import Job, JobConfirmation, JobTakenBack, User, Void
from training.records.clock import moment
from training.records.levels import standing_of


@transaction.atomic
def confirm_job(*, job: Job, by: User, now: datetime | None = None) -> JobConfirmation:
    """The watcher's word that the job was watched; it counts from here on.

    Raises Refused for anybody but the watcher, for a job that waits for no word, where the watcher
    was not alone on its day or is stood down now, and within an hour of a password by somebody
    else's hand.
    """
    now = moment(now)
    check_own_hand(by, now)  # it makes the job count, so it waits as a signature does
    kept = _waiting_for(job, by)
    # On the day of the job, for its very fork: that is what the watcher answers for.
    if standing_of(by, kept.level, kept.happened_on, now, kept.variant) != "alone":
        raise Refused(
            gettext(
                "You cannot confirm this job: you could not work alone at this level on that "
                "day. Choose “Do not confirm” and give this as the reason."
            )
        )
    # And today: see `check_not_stopped` for why a stop reaches back.
    check_not_stopped(by, kept.level, now)
    return _said(kept, by, now, confirmed=True)


@transaction.atomic
def refuse_job(*, job: Job, by: User, reason: str, now: datetime | None = None) -> JobConfirmation:
    """The watcher's word that the job was not watched; it never counts. Raises Refused as
    `confirm_job` does, and without a reason.
    """
    now = moment(now)
    kept = _waiting_for(job, by)
    if not reason.strip():
        raise Refused(
            gettext("Say why you do not confirm this job. The person who logged it will read it.")
        )
    # No standing is asked and no hour: a no makes nothing count.
    return _said(kept, by, now, confirmed=False, reason=reason.strip())


def _said(
    job: Job, by: User, now: datetime, *, confirmed: bool, reason: str = ""
) -> JobConfirmation:
    day = by.workshop.day_of(now)
    return write_down(
        JobConfirmation(
            job=job,
            by=by,
            confirmed=confirmed,
            reason=reason,
            happened_on=day,
            recorded_at=now,
            recorded_by=by,
        )
    )


def _waiting_for(job: Job, by: User) -> Job:
    """The job as it stands now, held until the transaction ends. Raises Refused where it does not
    wait for this person's word.
    """
    kept = (
        # `of`: PostgreSQL would else hold the person and the level too, for which others wait.
        Job.objects.select_for_update(of=("self",)).select_related("person", "level").get(pk=job.pk)
    )
    if kept.watched_by_id != by.pk:
        raise Refused(
            gettext("Only the mechanic named as the one who watched can confirm this job.")
        )
    # Asked here for the sentence; the table itself refuses a second word as well.
    if not kept.needs_confirmation or JobConfirmation.objects.filter(job=kept).exists():
        raise Refused(gettext("You have answered this already. Nothing was saved twice."))
    if JobTakenBack.objects.filter(job=kept).exists():
        raise Refused(
            gettext("{name} has taken this job back. There is nothing to confirm.").format(
                name=kept.person.name
            )
        )
    voids = Void.objects.filter(
        kind="job", person=kept.person, about=kept.level.name, happened_on=kept.happened_on
    )
    # A void means what was recorded until then, so that an older one does not touch this job.
    if voids.filter(recorded_at__gte=kept.recorded_at).exists():
        raise Refused(gettext("This job was cancelled, so there is nothing to confirm."))
    return kept
