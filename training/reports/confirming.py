"""Which watched jobs wait for somebody's word, and what was said of those that somebody entered?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet
from django.utils.translation import gettext

from procedures.records.days.reader import say_day
from procedures.records.statements import prepare_objects
from training.models import Job, JobConfirmation, JobTakenBack, Level, StandDown, User, Void
from training.records.benchwork import say_outside, values_said
from training.records.gathering import days_late
from training.records.wording import lines as told
from training.records.wording.pieces import write_options
from training.standing.rules.here import has_left

# so long the bench tells of a job that was refused; the record tells of it for good
TOLD_FOR = timedelta(days=60)


@dataclass(frozen=True, slots=True)
class JobToConfirm:
    """One job that waits for the watcher's word."""

    pk: int
    on: date
    person: str
    level: str
    text: str
    note: str
    values: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class JobUnconfirmed:
    """One watched job of somebody that does not count: it waits, or was refused; and why, and what
    to do.
    """

    on: date
    level: str
    text: str


def jobs_to_confirm(user: User) -> tuple[JobToConfirm, ...]:
    """The jobs that wait for this person's word, the oldest first."""
    return tuple(map(describe_to_confirm, _ask_to_confirm(user.pk)))


@prepare_objects
def _ask_to_confirm(pk: int) -> QuerySet[Job]:
    return _unsettled().filter(watched_by=pk)


def describe_to_confirm(row: Job) -> JobToConfirm:
    """A job as its watcher sees it."""
    late = days_late(row.person.workshop.time_zone)(row.happened_on, row.recorded_at)
    day, options = say_day(row.happened_on), write_options(row.variant.items())
    job = (
        gettext("Job of {day}, with {options}.") if options else gettext("Job of {day}.")
    ).format(day=day, options=options)
    return JobToConfirm(
        row.pk,
        row.happened_on,
        row.person.name,
        str(row.level),
        " ".join(filter(None, (job, told.say_late(late), say_outside(row.values)))),
        row.note,
        values_said(row.values),
    )


def jobs_unconfirmed(
    person: User, on: date, level: Level | None = None
) -> tuple[JobUnconfirmed, ...]:
    """The watched jobs of a person that wait, and those refused within the last weeks; at one level
    or at all.
    """
    rows = [*_ask_waiting(person.pk, on), *_ask_refused(person.pk, on - TOLD_FOR)]
    found = [_unconfirmed(row, on) for row in rows if level is None or row.level_id == level.pk]
    return tuple(sorted(found, key=lambda one: one.on))


@prepare_objects
def _ask_waiting(pk: int, on: date) -> QuerySet[Job]:
    stopped = (
        StandDown.objects.in_force(on).at(OuterRef("level")).filter(person=OuterRef("watched_by"))
    )
    return _unsettled().filter(person=pk).annotate(is_watcher_stopped=Exists(stopped))


@prepare_objects
def _ask_refused(pk: int, first: date) -> QuerySet[Job]:
    rows = Job.objects.filter(
        person=pk, confirmation__confirmed=False, confirmation__happened_on__gte=first
    )
    return _titled(rows).exclude(Exists(_voids()))


def _unconfirmed(row: Job, on: date) -> JobUnconfirmed:
    said: JobConfirmation | None = getattr(row, "confirmation", None)
    name = row.watched_by.name if row.watched_by else ""
    if said is not None:
        text = gettext("{name} did not confirm it. Reason: {reason}").format(
            name=name, reason=said.reason
        )
    elif row.watched_by is not None and not may_still_confirm(row.watched_by, on):
        text = gettext("{name} has left and cannot confirm it. Do one more supervised job.").format(
            name=name
        )
    elif getattr(row, "is_watcher_stopped", False):
        text = gettext(
            "Waits for {name}, who is stood down now and can confirm it only after that."
        ).format(name=name)
    else:
        text = gettext("Waits for {name} to confirm it.").format(name=name)
    return JobUnconfirmed(row.happened_on, str(row.level), text)


def may_still_confirm(watcher: User, on: date) -> bool:
    """Whether a watcher can sign in."""
    return watcher.is_active and not has_left(watcher, on)


def describe_confirmation(row: Job) -> str:
    """What a list of entries says of a job's confirmation; nothing where it counts."""
    taken_back: JobTakenBack | None = getattr(row, "taken_back", None)
    if taken_back is not None:
        return told.say_taken_back()
    if not row.needs_confirmation:
        return ""
    said: JobConfirmation | None = getattr(row, "confirmation", None)
    if said is None:
        return told.say_unconfirmed()
    return "" if said.confirmed else told.say_unconfirmed(said.reason)


def _unsettled() -> QuerySet[Job]:
    """Jobs that wait for a word and are not void, the oldest first."""
    rows = Job.objects.filter(
        Q(needs_confirmation=True), confirmation__isnull=True, taken_back__isnull=True
    ).exclude(Exists(_voids()))
    return _titled(rows).order_by("happened_on", "pk")


def _titled(rows: QuerySet[Job]) -> QuerySet[Job]:
    return rows.select_related("person__workshop", "watched_by", "confirmation").prefetch_related(
        Prefetch("level", Level.objects.titled())
    )


def _voids() -> QuerySet[Void]:
    return Void.objects.filter(
        kind=Job.KIND,
        person=OuterRef("person"),
        about=OuterRef("level__name"),
        happened_on=OuterRef("happened_on"),
        recorded_at__gte=OuterRef("recorded_at"),
    )
