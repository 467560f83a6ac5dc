"""How does each level look to somebody who works at it: the standing, what is left, what to study,
the quiz?
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import QuerySet
from django.utils.translation import gettext, ngettext

from procedures.models import Revision
from procedures.records.statements import prepare_once
from quizzes.models import Sitting
from quizzes.reports.failed import Failed, find_last_failed
from training.models import Planned, User
from training.reports.who_may import Cell
from training.standing.answer import answer
from training.standing.evidence import LevelRules, Shop
from training.standing.known import Known
from training.standing.levels import version_on
from training.standing.rules.quiz import is_pass, latest_sitting

SOON = timedelta(days=60)  # a standing that lapses until then asks for something now


@dataclass(frozen=True, slots=True)
class WriteUpToStudy:
    """One write-up of a level, and whether this person has read its current revision."""

    name: str
    title: str
    number: int
    is_read: bool


@dataclass(frozen=True, slots=True)
class LevelAtBench:
    """One level as its own person sees it: the standing, what is next, what to study, the quiz."""

    cell: Cell
    writeups: tuple[WriteUpToStudy, ...]
    pass_percent: int
    open_sitting: int | None
    on: date
    failed: Failed | None = None  # the last sitting, where it was not passed
    planned: tuple[date, date] | None = None  # from when to when the plan has it learned or renewed

    @property
    def is_unread(self) -> bool:
        """Whether a current write-up of the level is still to be read."""
        return any(not writeup.is_read for writeup in self.writeups)

    @property
    def is_alone(self) -> bool:
        """Whether this person may do the work alone."""
        return self.cell.answer.standing == "alone"

    @property
    def is_open(self) -> bool:
        """Whether there is something to do here now: a sitting to go on with, what is missing and
        does not wait for an earlier level, or what keeps a standing that lapses soon."""
        steps, lapse = self.cell.answer.next, self.cell.answer.lapses_on
        if self.open_sitting:
            return True
        if self.is_alone:
            return lapse is not None and lapse <= self.on + SOON
        # What waits for an earlier level would only hide the level where work can be done.
        return bool(steps) and all(step.code != "earlier-level-first" for step in steps)

    @property
    def left(self) -> str:
        """How much is left, in words: what keeps it where the standing is alone, else how many
        things are missing.
        """
        many = len(self.cell.answer.next)
        if self.is_alone:
            return gettext("How to keep it")
        return ngettext("{many} thing is left", "{many} things are left", many).format(many=many)


def rules_in_force(shop: Shop, level: str, on: date) -> LevelRules | None:
    """The version of the level's rules by which the standing reads a day; None for a level without
    any.
    """
    versions = shop.files.versions.get(level)
    return version_on(versions, on) if versions else None


def _is_done(known: Known, login: str, level: str, planned: tuple[date, date] | None) -> bool:
    """Whether a sign-off came since a planned piece of training began."""
    # Since it began, not since it was planned: a sign-off of before is what is being renewed.
    return planned is not None and any(row.on >= planned[0] for row in known.signoffs(login, level))


def _has_failed(known: Known, login: str, rules: LevelRules, on: date) -> bool:
    """Whether the latest sitting, here or on paper, was not passed."""
    latest = latest_sitting(known, login, rules, on)
    return latest is not None and not is_pass(latest, rules)


def _current_revisions(on: date) -> dict[str, tuple[str, int]]:
    """Title and number of the newest revision of each write-up that is released by a day."""
    return {name: (title, number) for name, title, number in _ask_released(on)}


@prepare_once
def _ask_released(on: date) -> QuerySet[Any]:
    rows = Revision.objects.released(on).order_by("number")
    return rows.values_list("writeup__name", "writeup__title", "number")


def _planned_days(user: User) -> dict[str, tuple[date, date]]:
    """From when to when the plan has somebody learn or renew each level."""
    return {level: (first, until) for level, first, until in _ask_planned(user.pk)}


@prepare_once
def _ask_planned(pk: int) -> QuerySet[Any]:
    return Planned.objects.filter(person=pk).values_list("level__name", "first", "until")


@prepare_once
def _ask_open_sittings(pk: int) -> QuerySet[Any]:
    rows = Sitting.objects.filter(person=pk, recorded_at__isnull=True)
    return rows.values_list("quiz__level__name", "pk")


def levels_at_bench(
    shop: Shop, user: User, levels: tuple[tuple[str, str], ...], on: date, now: datetime
) -> Iterator[LevelAtBench]:
    """Every level (name and title) as this person sees it on a day; a fixed number of queries."""
    current = _current_revisions(on)
    read = {
        (name, row.revision)
        for name, rows in shop.files.readings.drawer(user.login).items()
        for row in rows
    }
    open_sittings: dict[str, int] = dict(_ask_open_sittings(user.pk))
    known, failed = Known(shop, now), find_last_failed(user.pk)
    planned = _planned_days(user)
    for level, title in levels:
        rules = rules_in_force(shop, level, on)
        names = rules.writeups if rules else ()
        yield LevelAtBench(
            cell=Cell(level, title, answer(shop, user.login, level, on, now, {})),
            writeups=tuple(
                WriteUpToStudy(
                    name,
                    *current[name],
                    is_read=any(w == name and n >= current[name][1] for w, n in read),
                )
                for name in names
                if name in current
            ),
            pass_percent=rules.pass_percent if rules else 0,
            open_sitting=open_sittings.get(level),
            on=on,
            failed=failed.get(level)
            if rules and _has_failed(known, user.login, rules, on)
            else None,
            planned=None
            if _is_done(known, user.login, level, planned.get(level))
            else planned.get(level),
        )
