"""Which of somebody's own jobs can still be changed or taken back?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Prefetch, QuerySet

from procedures.records.statements import prepare_objects
from training.models import Job, Level, User

WITHIN = timedelta(minutes=15)  # as the action says; a test holds the two together


@dataclass(frozen=True, slots=True)
class FreshJob:
    """A job that its person wrote down a moment ago, and until when it can be changed."""

    row: Job
    until: str


def fresh_jobs(person: User, now: datetime) -> tuple[FreshJob, ...]:
    """The newest first; two queries at most."""
    zone = ZoneInfo(person.workshop.time_zone)
    return tuple(
        FreshJob(row, f"{(row.recorded_at + WITHIN).astimezone(zone):%H:%M}")
        for row in _ask_fresh_jobs(person.pk, now - WITHIN)
    )


@prepare_objects
def _ask_fresh_jobs(pk: int, since: datetime) -> QuerySet[Job]:
    rows = Job.objects.filter(
        person=pk,
        recorded_by=pk,
        recorded_at__gte=since,
        confirmation__isnull=True,
        taken_back__isnull=True,
    ).select_related("watched_by")
    return rows.prefetch_related(Prefetch("level", Level.objects.titled())).order_by("-pk")
