"""Do the instants of a delivery lie where they belong: releases on their day, early ends on the day
of their writing or later, a word on a job with its moment, a sitting that begins before its end?
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.conf import settings
from django.utils.translation import gettext

from training.exchange.folder.delivery import Delivery, Fault, Record
from training.exchange.folder.files import CONFIRMED, REFUSED, WAITING
from training.models import User, Workshop


def instants_out_of_place(delivery: Delivery) -> Iterator[Fault]:
    """Every such fault."""
    # The workshops of the folder are not written yet, so their zone is read from the rows.
    zone = ZoneInfo(_time_zone(delivery))
    yield from _releases(delivery, zone)
    for record in delivery.rows("appointments.csv"):
        yield from _ended(record, zone)
    for record in delivery.rows("sittings.csv"):
        if record["started_at"] > record["recorded_at"]:
            wrong = gettext("{at} is after recorded_at, when the sitting ended")
            yield record.fault(
                "started_at",
                wrong.format(at=record["started_at"].isoformat()),
                gettext("an earlier moment"),
            )
    for record in delivery.rows("jobs.csv"):
        yield from _confirmed(record)
        yield from _taken_back(record)


def _time_zone(delivery: Delivery) -> str:
    """The time zone of the shop as it will be: that of the workshop of the first person."""
    first = User.objects.select_related("workshop").order_by("pk").first()
    if first is not None:
        return first.workshop.time_zone
    zones = dict(Workshop.objects.values_list("name", "time_zone"))
    zones |= {row["workshop"]: row["time_zone"] for row in delivery.rows("workshops.csv")}
    people = delivery.rows("people.csv")
    return zones.get(people[0]["workshop"], settings.TIME_ZONE) if people else settings.TIME_ZONE


def _releases(delivery: Delivery, zone: ZoneInfo) -> Iterator[Fault]:
    for revision in delivery.revisions:
        parsed = revision.parsed
        if not parsed.released_at:
            continue
        day = datetime.fromisoformat(parsed.released_at).astimezone(zone).date()
        if not parsed.released:
            yield Fault(
                revision.file,
                0,
                "released",
                gettext("the day of release is missing"),
                gettext("released: a date, beside released_at"),
            )
        elif day != date.fromisoformat(parsed.released):
            wrong = gettext("{released_at} lies on {day} in the workshop's time zone").format(
                released_at=parsed.released_at, day=day
            )
            yield Fault(
                revision.file,
                0,
                "released_at",
                wrong,
                gettext("a moment on {released}, the day of release").format(
                    released=parsed.released
                ),
            )


def _ended(record: Record, zone: ZoneInfo) -> Iterator[Fault]:
    columns = ("ended", "ended_at", "ended_by")
    days, instants, _ = (record[column] for column in columns)
    if len({len(record[column]) for column in columns}) > 1:
        yield record.fault(
            "ended",
            gettext("ended, ended_at and ended_by do not hold the same number"),
            gettext("one of each for every early end"),
        )
        return
    for day, at in zip(days, instants, strict=True):
        if day < at.astimezone(zone).date():
            yield record.fault(
                "ended",
                gettext("{day} is before {at}, when it was recorded").format(
                    day=day, at=at.isoformat()
                ),
                gettext("the day of ended_at or a later one"),
            )


def _taken_back(record: Record) -> Iterator[Fault]:
    at, recorded_at = record["taken_back_at"], record["recorded_at"]
    if at is not None and (recorded_at is None or at < recorded_at):
        yield record.fault(
            "taken_back_at",
            gettext("{at} is not after the moment at which the job was recorded").format(
                at=at.isoformat()
            ),
            gettext("recorded_at beside it, and a moment at or after that one"),
        )


def _confirmed(record: Record) -> Iterator[Fault]:
    word, at = record["confirmation"], record["confirmation_at"]
    if word is None:
        if at or record["confirmation_reason"]:
            yield record.fault(
                "confirmation",
                gettext("the cell is empty"),
                gettext("{waiting}, {confirmed} or {refused}").format(
                    waiting=WAITING, confirmed=CONFIRMED, refused=REFUSED
                ),
            )
        return
    if not record["watched_by"]:
        yield record.fault(
            "confirmation",
            gettext("'{word}' is beside a job that nobody watched").format(word=word),
            gettext("an empty cell"),
        )
    if (at is None) is (word != WAITING):
        expected = (
            gettext("an empty cell while it waits")
            if at
            else gettext("the moment at which the mechanic who watched said so")
        )
        yield record.fault(
            "confirmation_at", gettext("'{word}' does not go with it").format(word=word), expected
        )
    if word == REFUSED and not record["confirmation_reason"]:
        yield record.fault(
            "confirmation_reason",
            gettext("the cell is empty"),
            gettext("why the mechanic who watched refused"),
        )
