"""How do the entries of a delivery come in: readings, jobs, observations, signatures, voids?"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from procedures.records import files
from training.exchange.folder.bringing import Bringing
from training.exchange.folder.delivery import Record
from training.exchange.folder.files import CONFIRMED, REFUSED
from training.models import (
    Appointment,
    AppointmentEnd,
    Entry,
    Job,
    JobConfirmation,
    JobTakenBack,
    Lift,
    Observation,
    PaperPass,
    Reading,
    SignOff,
    StandDown,
    Void,
)

ReadColumns = Callable[[Bringing, Record], dict[str, Any]]
RowsWritten = list[tuple[Record, Any]]


def bring_photos(writing: Bringing) -> None:
    """The photos that observations name, into the files of the site."""
    for path in writing.delivery.photos.values():
        writing.tell(f"Writing photo {path.name}")
        files.keep(path.read_bytes())
    writing.counts["photo"] = len(writing.delivery.photos)


def bring_entries(writing: Bringing) -> None:
    """Every entry, kind by kind; what rests on another comes right after it, voids last."""
    _end_appointments(writing, _write(writing, "appointments.csv", Appointment, _appointment))
    _write(writing, "readings.csv", Reading, _reading)
    _write(writing, "passes.csv", PaperPass, _paper_pass)
    jobs = _write(writing, "jobs.csv", Job, _job)
    _confirm_jobs(writing, jobs)
    _take_back_jobs(writing, jobs)
    _write(writing, "observations.csv", Observation, _observation)
    _write(writing, "signoffs.csv", SignOff, _signoff)
    _lift_standdowns(writing, _write(writing, "standdowns.csv", StandDown, _standdown))
    _write(writing, "voids.csv", Void, _void)


def _write(writing: Bringing, file: str, model: type[Entry], columns: ReadColumns) -> RowsWritten:
    made = [
        (
            row,
            model(
                **{
                    "person": writing.logins[row["login"]],
                    "happened_on": row.values.get("on"),
                    "recorded_at": row["recorded_at"] or writing.now,
                    **columns(writing, row),
                }
            ),
        )
        for row in writing.delivery.rows(file)
    ]
    writing.keep(model, [entry for _, entry in made])
    return made


# What each kind takes from its row beyond person, day and instant


def _appointment(writing: Bringing, row: Record) -> dict[str, Any]:
    return {
        "happened_on": row["from"],
        "level": writing.level_rows[row["level"]],
        "by": writing.logins[row["by"]],
        "until": row["until"],
    }


def _reading(writing: Bringing, row: Record) -> dict[str, Any]:
    return {"revision": writing.revision_of(row)}


def _paper_pass(writing: Bringing, row: Record) -> dict[str, Any]:
    return {
        "level": writing.level_rows[row["level"]],
        "percent": row["percent"],
        "critical_right": row["critical_right"],
    }


def _job(writing: Bringing, row: Record) -> dict[str, Any]:
    return {
        "level": writing.level_rows[row["level"]],
        "watched_by": writing.somebody(row["watched_by"]),
        "variant": row["variant"],
        "came_back": row["came_back"],
        "note": row["note"],
        "revision": writing.revision_of(row),
        "tools": row.values.get("tools") or [],
        "needs_confirmation": row["confirmation"] is not None,
    }


def _observation(writing: Bringing, row: Record) -> dict[str, Any]:
    return {
        "level": writing.level_rows[row["level"]],
        "observer": writing.logins[row["observer"]],
        "right": row["right"],
        "note": row["note"],
        "tools": row.values.get("tools") or [],
        "revision": writing.revision_of(row),
        "variant": row["variant"],
        "lines": row["lines"],
        "photos": row["photos"],
    }


def _signoff(writing: Bringing, row: Record) -> dict[str, Any]:
    return {
        "level": writing.level_rows[row["level"]],
        "signer": writing.logins[row["signed_by"]],
        "limits": row["variants"],
        "founding": row["founding"],
        "note": row["note"],
    }


def _standdown(writing: Bringing, row: Record) -> dict[str, Any]:
    return {
        "happened_on": row["from"],
        "level": writing.level_rows.get(row["level"]),
        "by": writing.logins[row["by"]],
        "reason": row["reason"],
    }


def _void(writing: Bringing, row: Record) -> dict[str, Any]:
    return {
        "kind": row["kind"],
        "about": row["about"],
        "by": writing.logins[row["by"]],
        "reason": row["reason"],
    }


# What stands in the row of another entry and is an entry of its own


def _lift_standdowns(writing: Bringing, standdowns: RowsWritten) -> None:
    writing.keep(
        Lift,
        [
            Lift(
                standdown=entry,
                happened_on=row["lifted_on"],
                by=writing.somebody(row["lifted_by"]),
                # Without its own moment a lifting was known as soon as the row was.
                recorded_at=row["lift_recorded_at"] or entry.recorded_at,
            )
            for row, entry in standdowns
            if row["lifted_on"]
        ],
    )


def _end_appointments(writing: Bringing, appointments: RowsWritten) -> None:
    writing.keep(
        AppointmentEnd,
        [
            AppointmentEnd(
                appointment=entry,
                happened_on=writing.day_of(at),
                until=until,
                by=writing.logins[by],
                recorded_at=at,
            )
            for row, entry in appointments
            for until, at, by in zip(row["ended"], row["ended_at"], row["ended_by"], strict=True)
        ],
    )


def _take_back_jobs(writing: Bringing, written: RowsWritten) -> None:
    writing.keep(
        JobTakenBack,
        [
            JobTakenBack(
                job=job,
                happened_on=writing.day_of(row["taken_back_at"]),
                recorded_at=row["taken_back_at"],
            )
            for row, job in written
            if row["taken_back_at"]
        ],
    )


def _confirm_jobs(writing: Bringing, jobs: RowsWritten) -> None:
    writing.keep(
        JobConfirmation,
        [
            JobConfirmation(
                job=entry,
                happened_on=writing.day_of(row["confirmation_at"]),
                by=entry.watched_by,
                confirmed=row["confirmation"] == CONFIRMED,
                reason=row["confirmation_reason"],
                recorded_at=row["confirmation_at"],
            )
            for row, entry in jobs
            if row["confirmation"] in (CONFIRMED, REFUSED)
        ],
    )
