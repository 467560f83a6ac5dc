"""Are the records still those that were read?

What was worked out for one state of the records is kept until they are in another. The head of the
record book tells that: whatever is written down moves it. Beside it stand the newest key of each
table that grows and the text of what can be changed in place, in case something comes past the
book. A row of a sealed table that somebody alters by force, without a new entry, is not seen here;
the check of the book finds it.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from threading import local
from typing import Any

from django.db import connection
from django.db.models import Max, Model, QuerySet, Subquery

from procedures.models import Revision, WriteUp
from procedures.records.statements import prepare_once
from quizzes.models import Sitting
from training import models
from training.records.bundling import group_all, join_rows
from training.standing.evidence import Shop

State = tuple[object, ...]

# A newest key is found in an index at once, whatever the size of the table.
_GROWING: tuple[type[Model], ...] = (
    models.Level,
    models.LevelRules,
    models.Appointment,
    models.AppointmentEnd,
    models.Reading,
    models.PaperPass,
    models.Job,
    models.JobConfirmation,
    models.JobTakenBack,
    models.Observation,
    models.SignOff,
    models.StandDown,
    models.Lift,
    models.Void,
    models.EntryRules,
    Sitting,
    Revision,
)
# Only what standing holds against the moment of knowledge; rules and write-ups go by days.
_WITH_INSTANTS: tuple[type[Model], ...] = (
    models.Appointment,
    models.AppointmentEnd,
    models.Reading,
    models.PaperPass,
    models.Job,
    models.JobConfirmation,
    models.JobTakenBack,
    models.Observation,
    models.SignOff,
    models.StandDown,
    models.Lift,
    models.Void,
    Sitting,
)


def state_of_records() -> State | None:
    """Return what differs as soon as anything is written down; None where the book has no head yet.

    It is read from the database each time, in one query, however large the shop.
    """
    # With the database's name: tests and restores change it under a running process.
    return next(((connection.settings_dict["NAME"], *found) for found in _ask_state()), None)


def newest_on_record() -> datetime | None:
    """Return the latest instant that any entry of evidence carries; None without any."""
    return max((at for found in _ask_newest() for at in found if at), default=None)


@prepare_once
def _ask_state() -> QuerySet[Any]:
    newest = {
        f"newest_{place}": Subquery(_rows(table).order_by("-pk").values("pk")[:1])
        for place, table in enumerate(_GROWING)
    }
    texts = {f"text_{place}": Subquery(rows) for place, rows in enumerate(_in_place())}
    head = models.BookHead.objects.annotate(**newest, **texts)
    return head.values_list("number", "digest", *newest, *texts)[:1]


@prepare_once
def _ask_newest() -> QuerySet[Any]:
    newest = {
        f"newest_{place}": Subquery(
            group_all(_rows(table)).annotate(newest=Max("recorded_at")).values("newest")
        )
        for place, table in enumerate(_WITH_INSTANTS)
    }
    return models.BookHead.objects.annotate(**newest).values_list(*newest)[:1]


def _in_place() -> Iterable[QuerySet[Any]]:
    """Give the text of everything that is changed where it stands."""
    # Every column that `gathering` reads of them, and no other: a new password is no new shop.
    people = ("pk", "login", "name", "trade", "owner", "started", "left", "workshop__name")
    yield join_rows(models.User.objects.all(), *people, "workshop__time_zone")
    yield join_rows(models.Level.objects.all(), "pk", "name")
    yield join_rows(WriteUp.objects.all(), "pk", "name", "title")
    released = ("pk", "digest", "number", "released_on", "asks", "released_at", "recorded_at")
    yield join_rows(Revision.objects.released(), *released)


# Copies per thread cost memory, but an Asking has no locks and must not be shared.
class Kept(local):
    """What a thread has read last: threads never share what is half worked out."""

    state: State | None = None
    shop: Shop | None = None


def _rows(table: type[Model]) -> QuerySet[Any]:
    return table._default_manager.all()
