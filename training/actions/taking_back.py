"""How is one's own job changed or taken back, in the minutes after it was written down?

It counts from the moment at which it was written down, as every job; nothing waits. Who sees a slip
takes it back, by an entry of its own that names this one job: from there on it never counted. To
change it is to take it back and write another one, at once. After those minutes, or once somebody
has confirmed it, it stands, and only a void cancels it.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from django.db import transaction
from django.utils.translation import gettext

from procedures.records.refused import Refused
from training.actions.entries import write_down
from training.models import Job, JobConfirmation, JobTakenBack, User, Void
from training.records.clock import moment

# Long enough to read what was saved and see the slip, too short to think better of a job.
WITHIN = timedelta(minutes=15)


@transaction.atomic
def take_back_job(*, job: Job, by: User, now: datetime | None = None) -> JobTakenBack:
    """This job never counted, from now on. Raises Refused for a job that somebody else did or wrote
    down, after a quarter of an hour, once the watcher has said a word, and a second time.
    """
    now = moment(now)  # the watcher's word waits here too, so one of the two comes first
    kept = Job.objects.select_related("person", "level").get(pk=job.pk)
    if hindrance := _why_not(kept, by, now):
        raise Refused(hindrance)
    return write_down(
        JobTakenBack(job=kept, happened_on=by.workshop.day_of(now), recorded_at=now, recorded_by=by)
    )


@transaction.atomic
def change_job(*, job: Job, by: User, write: Callable[[], Job], now: datetime | None = None) -> Job:
    """The job that `write` writes down in place of this one, which never counted. Raises Refused as
    `take_back_job` does, and whatever `write` raises; then all stays as it was.
    """
    # First: the new one may be refused where the old still counts, such as a job sent twice.
    take_back_job(job=job, by=by, now=now)
    return write()


def _why_not(job: Job, by: User, now: datetime) -> str:
    # Entered by a senior it is the senior's word too.
    if job.person != by or job.recorded_by_id != by.pk:
        return gettext("Only the person who did the job and logged it can take it back.")
    if JobTakenBack.objects.filter(job=job).exists():
        return gettext("This job was taken back already.")
    # By the instant of the entry, not of the work: a late entry has its minutes as well.
    if now - job.recorded_at > WITHIN:
        return gettext(
            "A job can be changed for 15 minutes. Ask a senior mechanic or the owner to cancel it."
        )
    # A second person has put their word under it, which one alone cannot take away.
    if JobConfirmation.objects.filter(job=job).exists():
        return gettext(
            "The mechanic who watched has answered already. Ask a senior mechanic or the owner "
            "to cancel this job."
        )
    voids = Void.objects.filter(
        kind="job", person=job.person, about=job.level.name, happened_on=job.happened_on
    )
    if voids.filter(recorded_at__gte=job.recorded_at).exists():
        return gettext("This job was cancelled already.")
    return ""
