"""On which texts do questions rest: which revision of which write-up, and which rules?"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache, reduce
from operator import or_
from typing import cast

from django.db.models import Exists, OuterRef, Q

from procedures.models import Asks, Revision, WriteUp
from procedures.records.texts import parse_once, read_rules_once
from procedures.writeup import model
from quizzes.kinds.kind import Asked
from quizzes.kinds.put_in_order import PutInOrder
from quizzes.kinds.rehearsed import Rehearsed, misfits
from quizzes.kinds.spots import Box, drawings_of
from quizzes.models import QuestionVersion, QuestionWithdrawn, Sitting
from quizzes.records.album import NO_PICTURES, Album, album
from quizzes.records.wording.say import say

COLUMNS = ("writeup__name", "number", "text", "changed_at")


@dataclass(frozen=True, slots=True)
class Source:
    """One revision as questions see it."""

    name: str
    number: int
    text: str
    changed_at: datetime | None = (
        None  # when its text was last changed; a released text stays as it is
    )

    @property
    def writeup(self) -> model.WriteUp:
        """The text as it was read; read once, however often it is asked for."""
        return parse_once(self.text)

    def titles(self) -> dict[str, str]:
        """The title of each step, by its id."""
        return {step.id: step.title for step in self.writeup.steps}

    def orders(self, asked: PutInOrder, rules: str) -> Rehearsed:
        """Who judges the orders of this question by these rules (their text)."""
        return _rehearsed(self.text, rules, asked)

    def faults(
        self,
        asked: Asked,
        steps: Collection[str],
        rules: str,
        pictures: Album = NO_PICTURES,
        *,
        mirror: bool = False,
    ) -> tuple[str, ...]:
        """Why this can't be asked beside this revision, by these rules (their text) and with these
        drawings, in sentences; empty when it can.
        """
        found = misfits(asked, tuple(steps), self.writeup)
        beside = BesideRevision(self, rules, pictures)
        found += asked.faults(beside, fits=not found, mirror=mirror)
        return tuple(map(say, found))

    def judge(self, asked: Asked, rules: str) -> Rehearsed | None:
        """Who judges the answers to this question, where its kind needs somebody."""
        return self.orders(cast("PutInOrder", asked), rules) if asked.is_rehearsed else None


@dataclass(frozen=True, slots=True)
class BesideRevision:
    """What a question stands beside: a revision, the rules (their text) and the drawings."""

    source: Source
    rules: str
    pictures: Album = NO_PICTURES

    @property
    def writeup(self) -> model.WriteUp:
        return self.source.writeup

    def orders(self, asked: PutInOrder) -> Rehearsed:
        return self.source.orders(asked, self.rules)

    def box(self, drawing: str) -> Box | None:
        return self.pictures.box(drawing)

    def mirrors(self, drawing: str) -> bool:
        return self.pictures.mirrors(drawing)


def pictures_of(versions: Iterable[QuestionVersion]) -> Album:
    """Every drawing that these versions show; at most one query."""
    return album(
        name
        for version in versions
        for name in drawings_of(f"{version.stem}\n{version.says}", version.content())
    )


@lru_cache(maxsize=128)
def _rehearsed(text: str, rules: str, asked: PutInOrder) -> Rehearsed:
    """One and the same judge for the same texts and question, so that no order is rehearsed
    twice.
    """
    return Rehearsed(parse_once(text), read_rules_once(rules), asked)


def current_sources(writeups: Collection[int], on: date) -> dict[int, Source]:
    """The current revision of each of these write-ups (by key), as of the end of a day; one
    query.
    """
    rows = Revision.objects.current(on).filter(writeup__in=writeups)
    return {pk: Source(*told) for pk, *told in rows.values_list("writeup_id", *COLUMNS)}


def newest_source(writeup: WriteUp) -> Source | None:
    """The revision of the highest number, a draft too; None where there is none."""
    newest = writeup.revisions.order_by("number").last()
    return (
        None
        if newest is None
        else Source(writeup.name, newest.number, newest.text, newest.changed_at)
    )


def pinned_sources(pins: Collection[tuple[int, int]]) -> dict[tuple[int, int], Source]:
    """These revisions, by write-up (key) and number; one query."""
    if not pins:
        return {}
    wanted = reduce(or_, (Q(writeup=writeup, number=number) for writeup, number in sorted(pins)))
    rows = Revision.objects.filter(wanted).values_list("writeup_id", *COLUMNS)
    return {(pk, told[1]): Source(*told) for pk, *told in rows}


def is_outdated(sitting: Sitting, on: date) -> bool:
    """Whether an open sitting asks what no longer holds: a question was rewritten or withdrawn, or
    a later revision asks people to answer or show again. A revision that asks for less leaves it as
    it is. Two queries.
    """
    later = QuestionVersion.objects.accepted().filter(
        question=OuterRef("version__question"), number__gt=OuterRef("version__number")
    )
    withdrawn = QuestionWithdrawn.objects.filter(
        version__question=OuterRef("version__question"),
        version__number__gte=OuterRef("version__number"),
    )
    answers = sitting.answers.annotate(rewritten=Exists(later) | Exists(withdrawn)).values_list(
        "version__question__writeup", "shown__revision", "rewritten"
    )
    pins = {(writeup, number) for writeup, number, rewritten in answers if not rewritten}
    # A sitting without questions cannot count either.
    if len(pins) == 0 or any(rewritten for _, _, rewritten in answers):
        return True
    wanted = reduce(
        or_, (Q(writeup=writeup, number__gt=number) for writeup, number in sorted(pins))
    )
    # By what the release asks of people who are signed off: reading again needs no new quiz.
    return Revision.objects.released(on).filter(wanted, asks__in=[Asks.ANSWER, Asks.SHOW]).exists()
