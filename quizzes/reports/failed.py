"""Which steps does somebody go through again, whose last sitting of a quiz was not passed?"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Exists, OuterRef, QuerySet

from procedures.records.statements import prepare_objects
from quizzes.access.closing import sitting_in_the_way
from quizzes.models import Answer, Sitting
from quizzes.records.sources import pinned_sources
from quizzes.reports.results import StepLink, step_links


@dataclass(frozen=True, slots=True)
class Failed:
    """The last sitting of a quiz where it was not passed: its day, and the steps of what was
    answered wrong; none where it was ended before half was answered, or while another sitting is
    open.
    """

    sitting: int
    on: date
    steps: tuple[StepLink, ...]
    is_cut_short: bool


def find_last_failed(person: Any) -> dict[str, Failed]:
    """By the name of each quiz, the last sitting of somebody (key) where it was not passed; a fixed
    number of queries.
    """
    last = [one for one in _ask_last_ended(person) if not one.is_passed()]
    steps = (
        {}
        if sitting_in_the_way(person) is not None
        else _steps([one for one in last if not one.is_cut_short()])
    )
    return {
        one.quiz.name: Failed(one.pk, one.happened_on, steps.get(one.pk, ()), one.is_cut_short())
        for one in sorted(last, key=lambda one: one.pk)
        if one.happened_on is not None
    }


@prepare_objects
def _ask_last_ended(person: Any) -> QuerySet[Sitting]:
    ended = Sitting.objects.filter(person=person, recorded_at__isnull=False)
    later = ended.filter(quiz=OuterRef("quiz"), recorded_at__gt=OuterRef("recorded_at"))
    return ended.filter(~Exists(later)).select_related("quiz").prefetch_related("answers")


def _steps(sittings: list[Sitting]) -> dict[int, tuple[StepLink, ...]]:
    """Of each sitting (key) the steps of what was answered, and not wholly right, each once, in the
    order asked; two queries.
    """
    rows = Answer.objects.filter(sitting__in=sittings, given__isnull=False).select_related(
        "version__question__writeup"
    )
    wrong = [answer for answer in rows.order_by("sitting", "place") if not answer.is_right()]
    sources = pinned_sources({answer.pin() for answer in wrong})
    found: dict[int, dict[StepLink, None]] = defaultdict(dict)
    for answer in wrong:
        links = step_links(sources[answer.pin()], answer.version.content(), answer.version.steps)
        found[answer.sitting_id] |= dict.fromkeys(links)
    return {pk: tuple(links) for pk, links in found.items()}
