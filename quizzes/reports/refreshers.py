"""What does somebody see of a refresher: what is due, one question, what it was worth, and when it
comes again?
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.http import Http404

from procedures.records.texts import rules_text
from quizzes.access import acts
from quizzes.models import RefresherAnswer, RefresherRound
from quizzes.records.recalling import list_asked_on, list_remembered
from quizzes.records.sources import pictures_of, pinned_sources
from quizzes.reports.results import AnswerResult, answer_result
from quizzes.reports.showing import first_line
from quizzes.reports.sittings import QuestionAsked, asked_page

TITLE = "Practice questions"


@dataclass(frozen=True, slots=True)
class StartPage:
    """What could be refreshed: how many questions are due, how many were answered ever, and when
    the next one is due.
    """

    due: str
    seen: str
    next_due: date | None
    is_hindered: bool


@dataclass(frozen=True, slots=True)
class RoundLine:
    """One question of a round that is over, and when it will be due again."""

    stem: str
    word: str
    critical: bool
    due: date | None


@dataclass(frozen=True, slots=True)
class DonePage:
    """A round: its answers, how many were right, and the place of the first that waits for one."""

    pk: int
    lines: tuple[RoundLine, ...]
    right: str
    waiting: int | None


def start_page(person: Any, today: date) -> StartPage:
    """What somebody (key) could refresh today."""
    found = list_remembered(person, today, list_asked_on(today))
    due = sum(one.is_due for one in found)
    later = [one.due for one in found if not one.is_due]
    return StartPage(
        str(due) if due else "",
        str(len(found)) if found else "",
        min(later, default=None),
        bool(acts.PRACTISE.why_not_now(person)),
    )


def question_of(kept: RefresherRound, place: int) -> tuple[RefresherAnswer, QuestionAsked]:
    """One question of a round, and how it is shown. Raises Http404 for a place that it does not
    have.
    """
    answers = {
        answer.place: answer for answer in kept.answers.select_related("version__question__writeup")
    }
    if place not in answers:
        raise Http404
    answered = sum(one.given is not None for one in answers.values())
    return answers[place], asked_page(
        answers[place], pk=kept.pk, title=TITLE, total=len(answers), answered=answered
    )


def tell_result(answer: RefresherAnswer) -> AnswerResult:
    """What an answer that was given is worth, and why; three queries."""
    return answer_result(
        answer,
        pinned_sources({answer.pin()})[answer.pin()],
        rules_text(),
        pictures_of([answer.version]),
    )


def next_place(kept: RefresherRound) -> int | None:
    """The first place that waits for an answer; None where the round is over."""
    return (
        kept.answers.filter(given__isnull=True)
        .order_by("place")
        .values_list("place", flat=True)
        .first()
    )


def done_page(kept: RefresherRound, today: date) -> DonePage:
    """A round with what each answer was worth and when the question is due again."""
    answers = list(kept.answers.select_related("version").order_by("place"))
    due = {
        one.version.question_id: one.due
        for one in list_remembered(kept.person_id, today, list_asked_on(today))
    }
    return DonePage(
        pk=kept.pk,
        lines=tuple(
            RoundLine(
                first_line(one.version.stem),
                _word(one),
                one.version.critical,
                due.get(one.version.question_id),
            )
            for one in answers
            if one.given is not None
        ),
        right=f"{sum(one.is_right() for one in answers)} of {len(answers)}",
        waiting=next_place(kept),
    )


def _word(answer: RefresherAnswer) -> str:
    if answer.is_right():
        return "right"
    return "partly right" if answer.marks else "wrong"
