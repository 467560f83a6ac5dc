"""Which rows does each file of a folder that is taken out hold?

Rows stand in the order in which they were recorded, so that taking twice writes the same and
bringing in keeps the order.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from django.db.models import Prefetch, QuerySet

from quizzes.models import QuizRules, Sitting
from training.exchange.folder.files import CONFIRMED, REFUSED, WAITING
from training.exchange.folder.written import columns_of_revision, fork, limits, make_json
from training.models import (
    DAYS,
    Absence,
    Appointment,
    AppointmentEnd,
    Entry,
    EntryRules,
    Job,
    JobConfirmation,
    JobTakenBack,
    Level,
    LevelRules,
    Observation,
    PaperPass,
    Reading,
    Rota,
    SignOff,
    StandDown,
    User,
    Void,
    Want,
    Workshop,
)
from training.standing.terms import TERMS

FileRow = dict[str, Any]


def rows_of(file: str, person: User | None = None) -> Iterator[FileRow]:
    """The rows of one file by column, of the whole shop or of one person; a file about no person is
    then empty.
    """
    if person is not None and file not in OF_PEOPLE:
        return iter(())
    return (OF_PEOPLE | OF_THE_SHOP)[file](person)


def _whose(rows: QuerySet[Any], person: User | None, *related: str) -> Iterator[Any]:
    """The rows of a person, or all of them, in portions."""
    mine = rows if person is None else rows.filter(person=person)
    # In portions: a large shop's jobs would not fit into memory as rows.
    return mine.order_by("pk").select_related("person", *related).iterator(2000)


def _entry(row: Entry, person: User) -> FileRow:
    return {"login": person, "on": row.happened_on, "recorded_at": row.recorded_at}


def _workshops(_: User | None) -> Iterator[FileRow]:
    for row in Workshop.objects.order_by("pk"):
        yield {"workshop": row.name, "time_zone": row.time_zone, "demo": row.is_demo}


def _people(person: User | None) -> Iterator[FileRow]:
    rows = User.objects.select_related("workshop").order_by("pk")
    for row in rows if person is None else rows.filter(pk=person.pk):
        yield {
            "login": row.login,
            "name": row.name,
            "workshop": row.workshop,
            "trade": row.trade,
            "started": row.started,
            "left": row.left,
            "owner": row.owner,
        }


def _levels(_: User | None) -> Iterator[FileRow]:
    """Every version of every level's rules that still holds on some day, in the order of their
    first days.
    """
    for level in Level.objects.order_by("pk"):
        # Of two versions with one first day the later one is the one that holds, so it stays.
        by_day = {
            row.from_day: row for row in LevelRules.objects.filter(level=level).order_by("pk")
        }
        for first in sorted(by_day, key=lambda day: day.isoformat() if day else ""):
            rules = by_day[first]
            yield {"level": level, "from": first} | {
                name: getattr(rules, name) for name, term in TERMS.items() if term.in_folder
            }


def _quizzes(_: User | None) -> Iterator[FileRow]:
    """The rules in force of each level's quiz."""
    levels = {level.quiz_id: level for level in Level.objects.exclude(quiz=None)}
    for rules in QuizRules.objects.in_force().filter(quiz__in=levels).order_by("quiz"):
        yield {
            "level": levels[rules.quiz_id],
            "size": rules.size,
            "critical_percent": rules.critical_percent,
            "parts": make_json(rules.parts),
            "minutes": rules.minutes,
            "wait_days": rules.wait_days,
            "sittings_a_day": rules.sittings_a_day,
            "recall_percent": rules.recall_percent,
        }


def _late_entries(_: User | None) -> Iterator[FileRow]:
    for row in EntryRules.objects.select_related("by").order_by("-pk")[:1]:
        yield {"days_back": row.days_back, "by": row.by, "recorded_at": row.recorded_at}


def _appointments(person: User | None) -> Iterator[FileRow]:
    ends = Prefetch("ends", AppointmentEnd.objects.select_related("by").order_by("pk"))
    for row in _whose(Appointment.objects.prefetch_related(ends), person, "level", "by"):
        ended = list(row.ends.all())
        yield _entry(row, row.person) | {
            "level": row.level,
            "by": row.by,
            "from": row.happened_on,
            "until": row.until,
            "ended": [end.until for end in ended],
            "ended_at": [end.recorded_at for end in ended],
            "ended_by": [end.by for end in ended],
        }


def _readings(person: User | None) -> Iterator[FileRow]:
    for row in _whose(Reading.objects.all(), person, "revision__writeup"):
        yield _entry(row, row.person) | columns_of_revision(row.revision)


def _passes(person: User | None) -> Iterator[FileRow]:
    """Ended sittings, then quizzes on paper: in the order in which the standing reads them."""
    sittings = Sitting.objects.filter(
        recorded_at__isnull=False, quiz__name__in=Level.objects.values("name")
    )
    for row in _whose(sittings, person, "quiz"):
        yield {
            "login": row.person,
            "level": row.quiz.name,
            "on": row.happened_on,
            "percent": row.percent,
            "critical_right": row.critical_right,
            "recorded_at": row.recorded_at,
        }
    for row in _whose(PaperPass.objects.all(), person, "level"):
        yield _entry(row, row.person) | {
            "level": row.level,
            "percent": row.percent,
            "critical_right": row.critical_right,
        }


def _jobs(person: User | None) -> Iterator[FileRow]:
    for row in _whose(
        Job.objects.all(),
        person,
        "level",
        "watched_by",
        "revision__writeup",
        "confirmation",
        "taken_back",
    ):
        taken_back: JobTakenBack | None = getattr(row, "taken_back", None)
        yield (
            _entry(row, row.person)
            | columns_of_revision(row.revision)
            | _confirmation(row)
            | {
                "level": row.level,
                "watched_by": row.watched_by,
                "variant": fork(row.variant),
                "came_back": row.came_back,
                "note": row.note,
                "tools": row.tools,
                "taken_back_at": taken_back.recorded_at if taken_back else None,
            }
        )


def _confirmation(row: Job) -> FileRow:
    """What the watcher said of a job that waits for a word, so that none comes in elsewhere as
    confirmed that is not.
    """
    if not row.needs_confirmation:
        return {}
    said: JobConfirmation | None = getattr(row, "confirmation", None)
    if said is None:
        return {"confirmation": WAITING}
    word = CONFIRMED if said.confirmed else REFUSED
    return {
        "confirmation": word,
        "confirmation_at": said.recorded_at,
        "confirmation_reason": said.reason,
    }


def _observations(person: User | None) -> Iterator[FileRow]:
    for row in _whose(Observation.objects.all(), person, "level", "observer", "revision__writeup"):
        yield (
            _entry(row, row.person)
            | columns_of_revision(row.revision)
            | {
                "level": row.level,
                "observer": row.observer,
                "right": row.right,
                "note": row.note,
                "variant": fork(row.variant),
                "lines": make_json(row.lines),
                "photos": row.photos,
                "tools": row.tools,
            }
        )


def _signoffs(person: User | None) -> Iterator[FileRow]:
    for row in _whose(SignOff.objects.all(), person, "level", "signer"):
        yield _entry(row, row.person) | {
            "level": row.level,
            "signed_by": row.signer,
            "variants": limits(row.limits),
            "founding": row.founding,
            "note": row.note,
        }


def _standdowns(person: User | None) -> Iterator[FileRow]:
    for row in _whose(StandDown.objects.all(), person, "level", "by", "lift__by"):
        lift = getattr(row, "lift", None)
        yield _entry(row, row.person) | {
            "level": row.level or "*",
            "from": row.happened_on,
            "by": row.by,
            "reason": row.reason,
            "lifted_on": lift and lift.happened_on,
            "lifted_by": lift and lift.by,
            "lift_recorded_at": lift and lift.recorded_at,
        }


def _voids(person: User | None) -> Iterator[FileRow]:
    for row in _whose(Void.objects.all(), person, "by"):
        yield _entry(row, row.person) | {
            "kind": row.kind,
            "about": row.about,
            "by": row.by,
            "reason": row.reason,
        }


def _rota(person: User | None) -> Iterator[FileRow]:
    for row in _whose(Rota.objects.all(), person, "workshop"):
        yield {
            "login": row.person,
            "workshop": row.workshop,
            "from": row.first,
            "until": row.until,
        } | _days(row)


def _absences(person: User | None) -> Iterator[FileRow]:
    for row in _whose(Absence.objects.all(), person):
        yield {"login": row.person, "from": row.first, "until": row.until, "why": row.why}


def _want(_: User | None) -> Iterator[FileRow]:
    for row in Want.objects.select_related("workshop", "level").order_by("pk"):
        yield {"workshop": row.workshop, "level": row.level} | _days(row)


def _days(row: Rota | Want) -> FileRow:
    return {day: getattr(row, day) for day in DAYS}


TakeRows = Callable[[User | None], Iterator[FileRow]]
OF_THE_SHOP: dict[str, TakeRows] = {
    "workshops.csv": _workshops,
    "levels.csv": _levels,
    "quizzes.csv": _quizzes,
    "late-entries.csv": _late_entries,
    "want.csv": _want,
    # Answers belong to versions of questions, which stay where they were written; what a sitting
    # proved goes into passes.csv.
    "sittings.csv": lambda _: iter(()),
}
OF_PEOPLE: dict[str, TakeRows] = {
    "people.csv": _people,
    "appointments.csv": _appointments,
    "readings.csv": _readings,
    "passes.csv": _passes,
    "jobs.csv": _jobs,
    "observations.csv": _observations,
    "signoffs.csv": _signoffs,
    "standdowns.csv": _standdowns,
    "rota.csv": _rota,
    "absences.csv": _absences,
    "voids.csv": _voids,
}
