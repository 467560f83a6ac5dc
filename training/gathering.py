"""What is on record in this shop, in the plain rows that the standing is worked out from?

A fixed number of queries, whatever the size of the shop: columns, not instances, and one look-up of names.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from functools import lru_cache

from django.conf import settings

from procedures.models import Revision
from procedures.writeup.parse import parse
from quizzes.models import Sitting
from training import models
from training.standing import evidence

Limits = tuple[tuple[str, tuple[str, ...]], ...]


def gather() -> evidence.Shop:
    """Everything on record in the shop."""
    names = _Names()
    rules = tuple(_rules(names.levels))
    return evidence.Shop(
        people=names.people,
        levels=rules,
        revisions=tuple(_revisions()),
        appointments=tuple(_appointments(names)),
        readings=tuple(_readings(names)),
        passings=(*_sittings(names), *_paper_passes(names)),
        jobs=tuple(_jobs(names)),
        observations=tuple(_observations(names)),
        signoffs=tuple(_signoffs(names)),
        standdowns=tuple(_standdowns(names)),
        voids=tuple(_voids(names)),
        time_zone=names.time_zone,
        options=options_of(rules) if any(version.watched_per_option for version in rules) else {},
    )


def rules_of_levels() -> tuple[evidence.LevelRules, ...]:
    """Every version of every level's rules."""
    return tuple(_rules(dict(models.Level.objects.values_list("pk", "name"))))


def day_text(day: date) -> str:
    """A day as this site writes it: 25 Nov 2026."""
    return f"{day.day} {day:%b %Y}"


def options_of(rules: tuple[evidence.LevelRules, ...]) -> dict[str, Limits]:
    """For each level, the variants and options that the newest released revisions of its write-ups have."""
    wanted = {name for version in rules for name in version.writeups}
    oldest_first = Revision.objects.released().filter(writeup__name__in=wanted).order_by("number")
    texts: dict[str, str] = dict(oldest_first.values_list("writeup__name", "text"))
    found: dict[str, Limits] = {}
    for version in rules:
        variants = [variant for name in version.writeups if name in texts for variant in variants_of(texts[name])]
        found[version.level] = tuple(dict(reversed(variants)).items())
    return found


@lru_cache(maxsize=64)
def variants_of(text: str) -> Limits:
    """The variants of a write-up's text with their options, down the header."""
    return tuple((variant.name, tuple(variant.options)) for variant in parse(text).variants)


class _Names:
    """The logins, names and levels by key, read once."""

    def __init__(self) -> None:
        rows = models.User.objects.select_related("workshop").order_by("pk")
        people = [(row.pk, row.workshop.time_zone, _person(row)) for row in rows]
        self.people = tuple(person for _, _, person in people)
        self.logins: dict[int, str] = {pk: person.login for pk, _, person in people}
        self.names: dict[int, str] = {pk: person.name for pk, _, person in people}
        self.time_zone: str = people[0][1] if people else settings.TIME_ZONE
        self.levels: dict[int, str] = dict(models.Level.objects.values_list("pk", "name"))


def _person(row: models.User) -> evidence.Person:
    return evidence.Person(row.login, row.name, row.workshop.name, row.trade, row.started, row.left)


def _rules(levels: Mapping[int, str]) -> Iterator[evidence.LevelRules]:
    for row in models.LevelRules.objects.order_by("pk"):
        yield evidence.LevelRules(
            level=levels[row.level_id], title=row.title, earlier=tuple(row.earlier), writeups=tuple(row.writeups),
            valid_months=row.valid_months, practice_jobs=row.practice_jobs, practice_months=row.practice_months,
            watched_jobs=row.watched_jobs, watched_per_option=row.watched_per_option, observations=row.observations,
            observers=row.observers, pass_percent=row.pass_percent, grace_days=row.grace_days, from_day=row.from_day,
        )


def _revisions() -> Iterator[evidence.RevisionFact]:
    columns = ("writeup__name", "number", "released_on", "asks")
    for name, number, released, asks in Revision.objects.released().values_list(*columns):
        if released is not None:
            yield evidence.RevisionFact(name, number, released, asks)


def _appointments(names: _Names) -> Iterator[evidence.Appointment]:
    columns = ("pk", "person", "level", "by", "happened_on", "until", "recorded_at")
    for _pk, person, level, by, first, until, at in models.Appointment.objects.order_by("pk").values_list(*columns):
        ref = f"appointed by {names.names[by]} from {day_text(first)}"
        yield evidence.Appointment(
            names.logins[person], names.levels[level], names.logins[by], first, until, at, ref
        )


def _readings(names: _Names) -> Iterator[evidence.Reading]:
    columns = ("person", "revision__writeup__name", "revision__number", "happened_on", "recorded_at")
    for person, writeup, number, on, at in models.Reading.objects.order_by("pk").values_list(*columns):
        yield evidence.Reading(
            names.logins[person], writeup, number, on, at, f"read {writeup} revision {number} on {day_text(on)}"
        )


def _sittings(names: _Names) -> Iterator[evidence.Passing]:
    # A level's quiz has the level's name, and that name stands in the record book; the link from level to quiz does not.
    columns = ("person", "quiz__name", "happened_on", "percent", "critical_right", "recorded_at")
    ended = Sitting.objects.filter(recorded_at__isnull=False, quiz__name__in=names.levels.values()).order_by("pk")
    for person, level, on, percent, critical, at in ended.values_list(*columns):
        yield evidence.Passing(
            names.logins[person], level, on, percent, critical, at,
            f"sitting of {day_text(on)}: {percent.normalize():f} %",
        )


def _paper_passes(names: _Names) -> Iterator[evidence.Passing]:
    columns = ("person", "level", "happened_on", "percent", "critical_right", "recorded_at")
    for person, level, on, percent, critical, at in models.PaperPass.objects.order_by("pk").values_list(*columns):
        yield evidence.Passing(
            names.logins[person], names.levels[level], on, percent, critical, at,
            f"quiz on paper of {day_text(on)}: {percent.normalize():f} %",
        )


def _jobs(names: _Names) -> Iterator[evidence.Job]:
    columns = ("person", "level", "happened_on", "watched_by", "variant", "came_back", "recorded_at")
    for person, level, on, watched_by, variant, came_back, at in models.Job.objects.order_by("pk").values_list(*columns):
        yield evidence.Job(
            names.logins[person], names.levels[level], on, names.logins[watched_by] if watched_by else None,
            tuple(variant.items()), came_back, at, f"job of {day_text(on)}",
        )


def _observations(names: _Names) -> Iterator[evidence.Observation]:
    columns = ("person", "level", "happened_on", "observer", "right", "recorded_at")
    for person, level, on, observer, right, at in models.Observation.objects.order_by("pk").values_list(*columns):
        yield evidence.Observation(
            names.logins[person], names.levels[level], on, names.logins[observer], right, at,
            f"observed by {names.names[observer]} on {day_text(on)}",
        )


def _signoffs(names: _Names) -> Iterator[evidence.SignOff]:
    columns = ("person", "level", "happened_on", "signer", "limits", "founding", "recorded_at")
    for person, level, on, signer, limits, founding, at in models.SignOff.objects.order_by("pk").values_list(*columns):
        kind = "founding sign-off" if founding else "sign-off"
        yield evidence.SignOff(
            names.logins[person], names.levels[level], on, names.logins[signer], limits_of(limits), founding, at,
            f"{kind} of {day_text(on)} by {names.names[signer]}",
        )


def limits_of(limits: Mapping[str, list[str]]) -> Limits:
    """A sign-off's limits as the standing rules read them."""
    return tuple((variant, tuple(options)) for variant, options in limits.items())


def _standdowns(names: _Names) -> Iterator[evidence.StandDown]:
    columns = ("person", "level", "happened_on", "by", "recorded_at", "lift__happened_on", "lift__recorded_at")
    for person, level, first, by, at, lifted, lift_at in models.StandDown.objects.order_by("pk").values_list(*columns):
        yield evidence.StandDown(
            names.logins[person], names.levels[level] if level else None, first, names.logins[by], at, lifted, lift_at,
            f"stood down from {day_text(first)} by {names.names[by]}",
        )


def _voids(names: _Names) -> Iterator[evidence.Void]:
    columns = ("kind", "person", "about", "happened_on", "recorded_at")
    for kind, person, about, on, at in models.Void.objects.order_by("pk").values_list(*columns):
        yield evidence.Void(kind, names.logins[person], about, on, at)
