"""How is work at the bench kept, and its job written down exactly once?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from django.db import transaction

from procedures.models import Revision
from procedures.records.refused import Refused
from training.actions.entries import record_job
from training.actions.once import FormDone, write_once
from training.models import BenchPlace, Job, Level, User
from training.records.benchwork import open_in_job, values_for_job


@transaction.atomic
def keep_place(
    *,
    person: User,
    revision: Revision,
    fork: Mapping[str, str],
    step: int,
    given: Mapping[str, str],
    now: datetime,
) -> BenchPlace:
    """The place that is kept for this person and write-up, instead of the one before."""
    kept = {
        "revision": revision.number,
        "fork": dict(fork),
        "step": step,
        "given": dict(given),
        "kept_at": now,
    }
    # No lock of the head: a place is no evidence, and it is saved at each step.
    place, _ = BenchPlace.objects.update_or_create(
        person=person, writeup=revision.writeup, defaults=kept
    )
    return place


def record_bench_job(
    *,
    mark: str,
    person: User,
    level: Level,
    revision: Revision,
    on: date,
    watched_by: User | None,
    variant: Mapping[str, str],
    given: Mapping[str, str],
    note: str,
    tools: Sequence[str],
    today: date | None = None,
    now: datetime | None = None,
) -> FormDone[Job]:
    """The job with this mark: written down now, or the one that had arrived already. `given` is
    what was typed and ticked at its steps.

    Raises Refused as `record_job` does, and where a step still lacks a critical value, a reason for
    one outside its range, or the look of the watching mechanic, from whatever page it was sent.
    """

    def write() -> Job:
        # The browser has asked the same, but works offline and may run an old script.
        missing = open_in_job(revision, variant, given)
        if missing:
            raise Refused(f"{missing.title}: {missing.says}")
        job = record_job(
            person=person,
            level=level,
            revision=revision,
            on=on,
            today=today,
            watched_by=watched_by,
            variant=variant,
            by=person,
            now=now,
            values=values_for_job(revision, variant, given),
            note=note,
            tools=tools,
        )
        # In the same transaction: a job refused leaves what was typed where it was.
        BenchPlace.objects.filter(person=person, writeup=revision.writeup).delete()
        return job

    # A tablet without network sends again and again until it hears that it has arrived.
    return write_once(Job, person=person, mark=mark, write=write)
