"""Which jobs and people has a faulty revision, a wrong tool or somebody's hand touched?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from typing import Any

from django.db.models import Q

from procedures.models import Revision
from training.models import Job, LevelRules, Observation, SignOff
from training.records.wording import lines as said
from training.reports.confirming import describe_confirmation

MOST_LIKE, LONGEST_MARK = 3, 60


@dataclass(frozen=True, slots=True)
class Recalled:
    """From what, and between which days (both included; None: no bound), things are recalled."""

    tool: str = ""
    writeup: str = ""
    revision: int | None = None
    person: str = ""
    since: date | None = None
    until: date | None = None


@dataclass(frozen=True, slots=True)
class TouchedWork:
    """One job or observation: on which day, by whom, watched or seen by whom, on which fork, with
    which note.
    """

    on: date
    kind: str
    person: str
    login: str
    title: str
    beside: str
    fork: str
    came_back: bool
    note: str


@dataclass(frozen=True, slots=True)
class RecallPage:
    """What was touched, by day; and, for a person, whom that person signed off."""

    rows: tuple[TouchedWork, ...]
    people: tuple[str, ...]
    signed_off: tuple[tuple[date, str, str], ...]


def question_of_form(given: Mapping[str, Any]) -> Recalled:
    """The question as the form gives it."""
    writeup, person = given.get("writeup"), given.get("person")
    return Recalled(
        tool=" ".join((given.get("tool") or "").split()).upper(),
        writeup=writeup.name if writeup else "",
        revision=given.get("revision"),
        person=person.login if person else "",
        since=given.get("since"),
        until=given.get("until"),
    )


def recall_page(asked: Recalled) -> RecallPage:
    """Every job and observation that fits all of what was asked, by day. A job that names no
    revision counts as done by the one that was current on its day. A fixed number of queries."""
    titles = dict(LevelRules.objects.order_by("pk").values_list("level__name", "title"))
    rows = [*_jobs_touched(asked, titles), *_observations_touched(asked, titles)]
    signed = SignOff.objects.filter(_between(asked), signer__login=asked.person).select_related(
        "person", "level"
    )
    return RecallPage(
        rows=tuple(sorted(rows, key=lambda row: (row.on, row.person, row.kind))),
        people=tuple(sorted({row.person for row in rows})),
        signed_off=tuple(
            (row.happened_on, row.person.name, titles.get(row.level.name, row.level.name))
            for row in signed
            # A sign-off names no tool and no write-up, so it can be recalled by its signer alone.
            if not asked.tool and not asked.writeup
        ),
    )


def _jobs_touched(asked: Recalled, titles: Mapping[str, str]) -> Iterator[TouchedWork]:
    for row in (
        Job.objects.filter(_between(asked), _of(asked, "watched_by"), taken_back__isnull=True)
        .select_related("person", "level", "watched_by", "confirmation")
        .defer("revision")
    ):
        if not asked.tool or asked.tool in row.tools:
            watcher = row.watched_by.name if row.watched_by else ""
            yield TouchedWork(
                row.happened_on,
                "job",
                row.person.name,
                row.person.login,
                titles.get(row.level.name, row.level.name),
                " ".join(filter(None, (said.say_job(watcher, {}), describe_confirmation(row)))),
                _fork(row.variant),
                row.came_back,
                row.note,
            )


def _observations_touched(asked: Recalled, titles: Mapping[str, str]) -> Iterator[TouchedWork]:
    for row in Observation.objects.filter(_between(asked), _of(asked, "observer")).select_related(
        "person", "level", "observer"
    ):
        if not asked.tool or asked.tool in row.tools:
            yield TouchedWork(
                row.happened_on,
                "observation",
                row.person.name,
                row.person.login,
                titles.get(row.level.name, row.level.name),
                said.say_observation(row.observer.name, {}, right=row.right),
                _fork(row.variant),
                False,
                row.note,
            )


def marks_like(tool: str) -> tuple[str, ...]:
    """The marks in the records that somebody may have meant: the same but for hyphens and spaces,
    else the nearest, three at most.
    """
    known = sorted(
        {
            mark
            for rows in (Job, Observation)
            for marks in rows.objects.values_list("tools", flat=True)
            for mark in marks or ()
        }
    )
    same = [mark for mark in known if _bare(mark) == _bare(tool)]
    return tuple(same or get_close_matches(tool[:LONGEST_MARK], known, n=MOST_LIKE))


def _bare(mark: str) -> str:
    return "".join(letter for letter in mark.casefold() if letter.isalnum())


def _between(asked: Recalled) -> Q:
    found = Q()
    if asked.since:
        found &= Q(happened_on__gte=asked.since)
    if asked.until:
        found &= Q(happened_on__lte=asked.until)
    return found


def _of(asked: Recalled, beside: str) -> Q:
    found = Q()
    if asked.person:
        found &= Q(person__login=asked.person) | Q(**{f"{beside}__login": asked.person})
    if asked.writeup:
        # By any version of the rules: the level may have covered the write-up only then.
        levels = [
            name
            for name, covered in LevelRules.objects.values_list("level__name", "writeups")
            if asked.writeup in covered
        ]
        named = Q(revision__writeup__name=asked.writeup)
        unnamed = Q(revision__isnull=True, level__name__in=levels)
        if asked.revision:
            named &= Q(revision__number=asked.revision)
            unnamed &= _current(asked.writeup, asked.revision)
        found &= named | unnamed
    return found


def _current(writeup: str, number: int) -> Q:
    """The days on which a revision was the one to work by: from its release to that of the next
    higher number.
    """
    released = (
        Revision.objects.released()
        .filter(writeup__name=writeup, number__gte=number)
        .values_list("number", "released_on")
    )
    days: dict[int, date] = {found: day for found, day in released if day is not None}
    if number not in days:
        return Q(pk__in=())
    # By number, not by day: the highest number released by a day is the one to work by.
    later = [day for found, day in days.items() if found > number]
    return Q(happened_on__gte=days[number]) & (Q(happened_on__lt=min(later)) if later else Q())


def _fork(variant: Mapping[str, str]) -> str:
    return ", ".join(f"{name} {option}" for name, option in variant.items())
