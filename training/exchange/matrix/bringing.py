"""How does a shop's matrix come in: people, levels and first sign-offs with their real days, all
or nothing; and what follows from it?
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

from django.db import transaction
from django.utils.translation import gettext

from procedures.records.refused import Refused
from training.access import acts
from training.actions.levels import change_terms
from training.exchange.folder.bring import Faulty, bring
from training.exchange.folder.csv_rows import Rows, Unreadable
from training.exchange.folder.delivery import Delivery, Fault
from training.exchange.folder.read import read_rows
from training.exchange.folder.written import cell
from training.exchange.matrix.meaning import (
    Answers,
    FirstSignOff,
    ListPerson,
    Remark,
    Sheet,
    ShopSoFar,
    Understood,
)
from training.exchange.matrix.sheets import read_sheets
from training.exchange.matrix.understood import understand
from training.models import Level, LevelRules, SignOff, User, Workshop
from training.records.clock import moment
from training.records.gathering import gather
from training.standing.answer import answers as ask
from training.standing.terms import Terms

# What a level asks that comes in by a matrix; the owner changes it on the level's page.
NEW_LEVEL = {
    "valid_months": 24,
    "practice_jobs": 4,
    "practice_months": 12,
    "watched_jobs": 2,
    "observations": 1,
    "observers": 1,
    "pass_percent": 80,
    "grace_days": 14,
}


FIRST_ROW = 2  # below the heads


@dataclass(frozen=True, slots=True)
class Follows:
    """What holds once the matrix is in: how many first sign-offs, how many people and services may
    be worked alone today, and how many not, by the first reason.
    """

    sign_offs: int = 0
    alone: int = 0
    not_alone: tuple[tuple[str, int], ...] = ()
    new_workshops: tuple[str, ...] = ()

    def because(self, code: str) -> int:
        return dict(self.not_alone).get(code, 0)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What was understood of a matrix, what follows from it, and whether it is in."""

    understood: Understood
    follows: Follows | None = None
    is_in: bool = False


def sheets_of(path: Path) -> tuple[list[Sheet], tuple[Remark, ...]]:
    """The sheets of a file, or what is wrong with it."""
    try:
        return read_sheets(path), ()
    except Unreadable as bad:
        args = {"wrong": bad.wrong, "expected": bad.expected}
        return [], (Remark("unreadable", (), args),)


def bring_matrix(
    sheets: Sequence[Sheet],
    *,
    by: User,
    given: Answers,
    only_check: bool,
    now: datetime | None = None,
) -> Outcome:
    """Bring in what the sheets mean, where nothing is open; with `only_check` everything is worked
    out and nothing is kept.

    Raises Refused for somebody who may not, Faulty where the records would not take it.
    """
    if not acts.FOUND.is_open_to(by):
        raise Refused(
            gettext("{name} is not an owner. Only an owner brings in a list.").format(name=by.name)
        )
    with transaction.atomic():
        now = moment(now)
        known = read_shop_so_far(by.workshop, now)
        found = understand(sheets, known, given)
        if not found.is_ready:
            return Outcome(found)
        places = {one.workshop for one in found.people if one.is_new}
        new = tuple(sorted(places - known.workshops))
        try:
            bring(delivery_of(found, given, new, by.workshop), now=now)
        except Faulty as faulty:
            raise Faulty(_at_cells(found, faulty.faults)) from faulty
        if given.practice_from:
            _start_practice(found, given.practice_from, by, now)
        follows = replace(_what_follows(found.sign_offs, now), new_workshops=new)
        if only_check:
            # Worked out by writing it and taking it back, so that what is told is what would be.
            transaction.set_rollback(True)
    return Outcome(found, follows, is_in=not only_check)


def read_shop_so_far(workshop: Workshop, now: datetime) -> ShopSoFar:
    """What the shop has, as the reader of a matrix needs it."""
    people = list(User.objects.select_related("workshop").order_by("pk"))
    # The newest version comes last.
    titles = dict(LevelRules.objects.order_by("pk").values_list("level__name", "title"))
    return ShopSoFar(
        people={person.login: person.name for person in people},
        levels=titles,
        owners=frozenset(person.login for person in people if acts.FOUND.is_open_to(person)),
        workshop=workshop.name,
        workshops=frozenset(Workshop.objects.values_list("name", flat=True)),
        today=workshop.day_of(now),
        # One that was cancelled is on record too: a list brought in again does not revive it.
        signed=frozenset(
            SignOff.objects.values_list("person__login", "level__name", "happened_on")
        ),
    )


def _at_cells(found: Understood, faults: Iterable[Fault]) -> list[Fault]:
    """The same faults, each at the cell or the head from which its row was made."""
    made = {
        "people.csv": [one.place for one in found.people if one.is_new],
        "levels.csv": [f"“{one.head}”" for one in found.levels if one.is_new],
        "signoffs.csv": [one.place for one in found.sign_offs],
    }
    told = []
    for fault in faults:
        places = made.get(fault.file, [])
        at = fault.row - FIRST_ROW
        is_known = 0 <= at < len(places)
        told.append(replace(fault, file=places[at], row=0, column="") if is_known else fault)
    return told


def delivery_of(
    found: Understood, given: Answers, workshops: Sequence[str], like: Workshop
) -> Delivery:
    """What a matrix means, as the rows of a delivery; `workshops` are new, and `like` this one."""
    delivery = Delivery()
    zone = {"time_zone": like.time_zone, "demo": like.is_demo}
    _add(delivery, "workshops.csv", ({"workshop": name} | zone for name in workshops))
    _add(delivery, "people.csv", (_row_of(one) for one in found.people if one.is_new))
    asked = {"earlier": "", "writeups": "", **NEW_LEVEL, "practice_from": given.practice_from}
    _add(
        delivery,
        "levels.csv",
        ({"level": one.level, "title": one.title, **asked} for one in found.levels if one.is_new),
    )
    _add(
        delivery,
        "signoffs.csv",
        (
            {
                "login": one.login,
                "level": one.level,
                "on": one.on,
                "signed_by": given.signed_by,
                "variants": "*",
                "founding": True,
                "note": one.note,
            }
            for one in found.sign_offs
        ),
    )
    return delivery


def _row_of(person: ListPerson) -> dict[str, Any]:
    return {
        "login": person.login,
        "name": person.name,
        "workshop": person.workshop,
        "trade": person.trade,
        "started": person.started,
        "left": person.left,
    }


def _add(delivery: Delivery, file: str, rows: Iterable[dict[str, Any]]) -> None:
    """Rows go through the cells of a file, so that they are read and checked as those are."""
    written = [{name: cell(value) for name, value in row.items()} for row in rows]
    if written:
        header = list(written[0])
        lines = ((number, list(row.values())) for number, row in enumerate(written, FIRST_ROW))
        read_rows(file, file, lambda: Rows(1, header, lines), delivery)


def _start_practice(found: Understood, first: date, by: User, now: datetime) -> None:
    """The levels of the matrix that are not new ask for practice from this day on, too."""

    def start(terms: Terms) -> Terms:
        begins = terms.practice_jobs and not terms.practice_from
        return replace(terms, practice_from=first) if begins else terms

    names = [one.level for one in found.levels if not one.is_new]
    for level in Level.objects.filter(name__in=names).order_by("pk"):
        change_terms(level=level, change=start, by=by, now=now)


def _what_follows(sign_offs: Sequence[FirstSignOff], now: datetime) -> Follows:
    """The standings today of everybody whose sign-off comes in."""
    pairs = {(one.login, one.level) for one in sign_offs}
    shop = gather()
    alone, why = 0, Counter[str]()
    days = {person.login: person for person in User.objects.select_related("workshop")}
    for level in sorted({level for _, level in pairs}):
        people = sorted(login for login, of in pairs if of == level)
        today = days[people[0]].workshop.day_of(now)
        for told in ask(shop, level, today, now, {}, people):
            if told.standing == "alone":
                alone += 1
            else:
                why[told.reasons[0].code] += 1
    return Follows(len(sign_offs), alone, tuple(why.most_common()))
