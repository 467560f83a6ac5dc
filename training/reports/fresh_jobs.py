"""Which of somebody's own jobs can still be changed or taken back?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Prefetch

from training.models import Job, Level, User

WITHIN = timedelta(minutes=15)  # as the action says; a test holds the two together


@dataclass(frozen=True, slots=True)
class FreshJob:
    """A job that its person wrote down a moment ago, and until when it can be changed."""

    row: Job
    until: str


def fresh_jobs(person: User, now: datetime) -> tuple[FreshJob, ...]:
    """The newest first; two queries."""
    rows = Job.objects.filter(
        person=person,
        recorded_by=person,
        recorded_at__gte=now - WITHIN,
        confirmation__isnull=True,
        taken_back__isnull=True,
    ).select_related("watched_by")
    zone = ZoneInfo(person.workshop.time_zone)
    return tuple(
        FreshJob(row, f"{(row.recorded_at + WITHIN).astimezone(zone):%H:%M}")
        for row in rows.prefetch_related(Prefetch("level", Level.objects.titled())).order_by("-pk")
    )
