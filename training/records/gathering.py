"""What is on record in this shop, in the plain rows that the standing is worked out from?

A fixed number of queries, whatever the size of the shop: columns, not instances, one look-up of
names, and the entries of a person in one bundle that is opened only for a question about that
person.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db.models import Case, F, QuerySet, When

from procedures.models import WriteUp
from procedures.records.statements import prepare_once
from quizzes.models import Sitting
from training import models
from training.records.bundling import bundle_rows, day, instant, is_yes, shelf
from training.records.released import Sheets, options_by_writeup
from training.records.state import Kept, newest_on_record, state_of_records
from training.standing import evidence
from training.standing.evidence import Limits
from training.standing.shelf import Shelf
from training.standing.terms import TERMS

_kept = Kept()

_OF_PASSINGS = ("recorded_at", "percent", "critical_right")

# Sorted as words: "here" comes before "paper", and so do the sittings of this site.
HERE, PAPER = "here", "paper"
"""What a bundle says of a sitting: whether it was one of this site or one on paper. Those of this
site come first.
"""


def gather() -> evidence.Shop:
    """Everything on record in the shop: what was read before, where the records are still in that
    state, with all that was worked out for it.
    """
    # Read after it, records may be newer than their state:
    # then they are read once more, and no harm is done.
    now = state_of_records()  # before the records, which are then at least as new
    # No head: nothing was ever recorded, as in the midst of setting up. Nothing is kept of it.
    if now is None:
        return _read()
    if _kept.shop is None or _kept.state != now:
        _kept.state, _kept.shop = now, _read()
        _kept.shop.settled_from(newest_on_record())
    return _kept.shop


def forget_records() -> None:
    """Read everything afresh the next time."""
    _kept.state = _kept.shop = None


def _read() -> evidence.Shop:
    names = _Names()
    rules = tuple(_rules(names.levels))
    sheets = Sheets()
    return evidence.Shop(
        people=names.people,
        levels=rules,
        revisions=sheets.facts,
        appointments=tuple(_appointments(names)),
        readings=_readings(names),
        passings=_passings(names),
        jobs=_jobs(names),
        observations=_observations(names, sheets),
        signoffs=_signoffs(names),
        standdowns=tuple(_standdowns(names)),
        voids=tuple(_voids(names)),
        time_zone=names.time_zone,
        # Of those only: it parses the text of each write-up.
        options=options_by_writeup(version for version in rules if version.watched_per_option),
        titles=names.titles,
    )


def rules_of_levels() -> tuple[evidence.LevelRules, ...]:
    """Every version of every level's rules."""
    return tuple(_rules(dict(_ask_levels())))


def time_zone_of_shop() -> str:
    """The time zone in which the days of the shop lie: that of the workshop of its first person."""
    # One zone for all: two workshops in two zones would have two answers for one evening.
    first = models.User.objects.order_by("pk").values_list("workshop__time_zone", flat=True).first()
    return first or settings.TIME_ZONE


class _Names:
    """The logins, names and levels by key, read once."""

    def __init__(self) -> None:
        people = [(pk, time_zone, evidence.Person(*row)) for pk, time_zone, *row in _ask_people()]
        self.people = tuple(person for _, _, person in people)
        self.logins: dict[int, str] = {pk: person.login for pk, _, person in people}
        # as time_zone_of_shop says
        self.time_zone: str = people[0][1] if people else settings.TIME_ZONE
        self.levels: dict[int, str] = dict(_ask_levels())
        self.level_keys = {str(pk): name for pk, name in self.levels.items()}
        writeups = _ask_writeups()
        self.writeup_keys = {str(pk): name for pk, name, _ in writeups}
        self.titles = {name: title for _, name, title in writeups}


@prepare_once
def _ask_people() -> QuerySet[Any]:
    columns = ("login", "name", "workshop__name", "trade", "started", "left", "owner")
    return models.User.objects.order_by("pk").values_list("pk", "workshop__time_zone", *columns)


@prepare_once
def _ask_levels() -> QuerySet[Any]:
    return models.Level.objects.values_list("pk", "name")


@prepare_once
def _ask_writeups() -> QuerySet[Any]:
    return WriteUp.objects.values_list("pk", "name", "title")


def _rules(levels: Mapping[int, str]) -> Iterator[evidence.LevelRules]:
    for level, first, *values in _ask_rules():
        terms = dict(zip(TERMS, map(_plain, values), strict=True))
        yield evidence.LevelRules(level=levels[level], from_day=first, **terms)


@prepare_once
def _ask_rules() -> QuerySet[Any]:
    # By key: of two versions of one first day the later one holds.
    return models.LevelRules.objects.order_by("pk").values_list("level_id", "from_day", *TERMS)


def _plain(value: Any) -> Any:
    # JSON has no tuples, and rules are hashed and compared.
    return tuple(value) if isinstance(value, list) else value


def _appointments(names: _Names) -> Iterator[evidence.Appointment]:
    ends: dict[int, list[tuple[date, datetime]]] = {}
    for key, until, at in _ask_ends():
        ends.setdefault(key, []).append((until, at))
    for pk, person, level, by, first, last, at in _ask_appointments():
        yield evidence.Appointment(
            names.logins[person],
            names.levels[level],
            names.logins[by],
            first,
            last,
            at,
            tuple(ends.get(pk, ())),
        )


@prepare_once
def _ask_appointments() -> QuerySet[Any]:
    columns = ("pk", "person", "level", "by", "happened_on", "until", "recorded_at")
    return models.Appointment.objects.order_by("pk").values_list(*columns)


@prepare_once
def _ask_ends() -> QuerySet[Any]:
    # A query of its own: joined, an appointment would come once for each of its ends.
    columns = ("appointment", "until", "recorded_at")
    return models.AppointmentEnd.objects.order_by("pk").values_list(*columns)


def _readings(names: _Names) -> Shelf[evidence.Reading]:
    def read(login: str, writeup: str, columns: Sequence[str]) -> evidence.Reading:
        on, _key, number, at = columns
        return evidence.Reading(login, writeup, int(number), day(on), instant(at))

    return shelf([dict(_ask_readings())], read, names.logins, names.writeup_keys)


@prepare_once
def _ask_readings() -> QuerySet[Any]:
    named = models.Reading.objects.annotate(
        writeup=F("revision__writeup_id"), number=F("revision__number")
    )
    return bundle_rows(named, "writeup", "number", "recorded_at")


def _passings(names: _Names) -> Shelf[evidence.Passing]:
    def read(login: str, level: str, columns: Sequence[str]) -> evidence.Passing:
        on, _key, at, text, critical, what = columns
        return evidence.Passing(
            login,
            level,
            day(on),
            Decimal(text),
            is_yes(critical),
            instant(at),
            on_paper=what == PAPER,
        )

    texts: list[dict[int, str]] = [dict(_ask_sittings()), dict(_ask_paper_passes())]
    return shelf(texts, read, names.logins, {name: name for name in names.levels.values()})


@prepare_once
def _ask_sittings() -> QuerySet[Any]:
    # A level's quiz has the level's name, and that name stands in the record book; the link from
    # level to quiz does not.
    levels = models.Level.objects.values("name")
    ended = Sitting.objects.filter(recorded_at__isnull=False, quiz__name__in=levels)
    return bundle_rows(ended.annotate(about=F("quiz__name")), "about", *_OF_PASSINGS, what=HERE)


@prepare_once
def _ask_paper_passes() -> QuerySet[Any]:
    rows = models.PaperPass.objects.annotate(about=F("level__name"))
    return bundle_rows(rows, "about", *_OF_PASSINGS, what=PAPER)


def _jobs(names: _Names) -> Shelf[evidence.Job]:
    def read(login: str, level: str, columns: Sequence[str]) -> evidence.Job:
        on, _key, at, watcher, variant, came_back, waits, confirmed_at, back_at = columns
        happened, recorded = day(on), instant(at)
        counts_from = (
            # From the instant at which the watcher confirms it; one brought in, from its own.
            (instant(confirmed_at) if confirmed_at else None) if is_yes(waits) else recorded
        )
        return evidence.Job(
            login,
            level,
            happened,
            names.logins[int(watcher)] if watcher else None,
            # Most jobs name no option, and parsing "{}" a hundred thousand times is felt.
            tuple(json.loads(variant).items()) if variant != "{}" else (),
            is_yes(came_back),
            recorded,
            counts_from,
            late(happened, recorded),
            instant(back_at) if back_at else None,
        )

    late = days_late(names.time_zone)
    return shelf([dict(_ask_jobs())], read, names.logins, names.level_keys)


@prepare_once
def _ask_jobs() -> QuerySet[Any]:
    columns = (
        "recorded_at",
        "watched_by_id",
        "variant",
        "came_back",
        "needs_confirmation",
        "confirmed_at_or_null",
        "taken_back_at_or_null",
    )
    # Null for none and for a refusal: both mean that it does not count.
    confirmed = Case(When(confirmation__confirmed=True, then=F("confirmation__recorded_at")))
    rows = models.Job.objects.annotate(
        confirmed_at_or_null=confirmed, taken_back_at_or_null=F("taken_back__recorded_at")
    )
    return bundle_rows(rows, "level_id", *columns)


def _observations(names: _Names, sheets: Sheets) -> Shelf[evidence.Observation]:
    def read(login: str, level: str, columns: Sequence[str]) -> evidence.Observation:
        on, _key, at, observer, right, revision = columns
        return evidence.Observation(
            login,
            level,
            day(on),
            names.logins[int(observer)],
            is_yes(right),
            instant(at),
            *sheets.of(revision),
        )

    return shelf([dict(_ask_observations())], read, names.logins, names.level_keys)


@prepare_once
def _ask_observations() -> QuerySet[Any]:
    columns = ("recorded_at", "observer_id", "right", "revision_id")
    return bundle_rows(models.Observation.objects.all(), "level_id", *columns)


def _signoffs(names: _Names) -> Shelf[evidence.SignOff]:
    def read(login: str, level: str, columns: Sequence[str]) -> evidence.SignOff:
        on, _key, at, signer, limits, founding = columns
        return evidence.SignOff(
            login,
            level,
            day(on),
            names.logins[int(signer)],
            limits_of(json.loads(limits)) if limits != "{}" else (),
            is_yes(founding),
            instant(at),
        )

    return shelf([dict(_ask_signoffs())], read, names.logins, names.level_keys)


@prepare_once
def _ask_signoffs() -> QuerySet[Any]:
    columns = ("recorded_at", "signer_id", "limits", "founding")
    return bundle_rows(models.SignOff.objects.all(), "level_id", *columns)


def days_late(time_zone: str) -> Callable[[date, datetime], int]:
    """How many days later an entry was written down, where those are more than the shop lets people
    enter by themselves; else 0.
    """
    # By the number of now: "late" is for the reader of today, and decides nothing.
    most, zone = models.days_back(), ZoneInfo(time_zone)

    def late(happened: date, recorded: datetime) -> int:
        if (recorded.date() - happened).days < most:  # the day of the workshop is at most one off
            return 0
        days = (recorded.astimezone(zone).date() - happened).days
        return days if days > most else 0

    return late


def limits_of(limits: Mapping[str, list[str]]) -> Limits:
    """A sign-off's limits as the standing rules read them."""
    return tuple((variant, tuple(options)) for variant, options in limits.items())


def _standdowns(names: _Names) -> Iterator[evidence.StandDown]:
    for person, level, first, by, at, lifted, lift_at in _ask_standdowns():
        yield evidence.StandDown(
            names.logins[person],
            names.levels[level] if level else None,
            first,
            names.logins[by],
            at,
            lifted,
            lift_at,
        )


@prepare_once
def _ask_standdowns() -> QuerySet[Any]:
    columns = ("person", "level", "happened_on", "by", "recorded_at")
    lifted = ("lift__happened_on", "lift__recorded_at")
    return models.StandDown.objects.order_by("pk").values_list(*columns, *lifted)


def _voids(names: _Names) -> Iterator[evidence.Void]:
    for kind, person, about, on, at in _ask_voids():
        yield evidence.Void(kind, names.logins[person], about, on, at)


@prepare_once
def _ask_voids() -> QuerySet[Any]:
    columns = ("kind", "person", "about", "happened_on", "recorded_at")
    return models.Void.objects.order_by("pk").values_list(*columns)
