"""What does somebody see of an open sitting: what is left, and one question?

Before the end nothing here hands out which answer is right or what is said of one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.http import Http404
from django.utils.safestring import SafeString

from quizzes.marking import kinds
from quizzes.marking.kinds import ChooseAll, ChooseOne, GiveAmount, Match, PointAt, PutInOrder
from quizzes.models import Answer, Sitting
from quizzes.models.questions import AskedOnce
from quizzes.records.sources import outdated, pictures_of
from quizzes.reports.showing import (
    Spot,
    first_line,
    html,
    option_pictures,
    spot_to_point_at,
    variant_words,
)


@dataclass(frozen=True, slots=True)
class Line:
    """One question in the list of a sitting."""

    place: int
    stem: str
    is_answered: bool
    given: str  # what was answered, in words; empty while it is open


@dataclass(frozen=True, slots=True)
class Overview:
    """An open sitting: what is answered, and where to go on."""

    pk: int
    title: str
    started_at: datetime
    pass_percent: int
    lines: tuple[Line, ...]
    next_place: int | None
    is_outdated: bool
    minutes: int
    ends_at: datetime | None

    @property
    def waiting(self) -> int:
        return sum(not line.is_answered for line in self.lines)

    @property
    def answered(self) -> int:
        return len(self.lines) - self.waiting


@dataclass(frozen=True, slots=True)
class Asked:
    """One question as it is shown while the sitting is open."""

    pk: int
    title: str
    place: int
    total: int
    answered: int
    kind: str
    stem: SafeString
    variant: str
    order: tuple[Any, ...]
    labels: tuple[str, ...]
    given: Any
    partners: tuple[tuple[int, str], ...]
    pictures: tuple[SafeString, ...]
    spot: Spot | None
    ends_at: datetime | None

    @property
    def previous(self) -> int | None:
        return self.place - 1 if self.place > 1 else None

    @property
    def next(self) -> int | None:
        return self.place + 1 if self.place < self.total else None


def overview_page(sitting: Sitting, *, today: date) -> Overview:
    """What is left of an open sitting; five queries."""
    answers = list(sitting.answers.select_related("version").order_by("place"))
    lines = tuple(
        Line(
            answer.place,
            first_line(answer.version.stem),
            answer.given is not None,
            given_words(answer),
        )
        for answer in answers
    )
    return Overview(
        pk=sitting.pk,
        title=sitting.quiz.title,
        started_at=sitting.started_at,
        pass_percent=sitting.pass_percent,
        lines=lines,
        next_place=next((line.place for line in lines if not line.is_answered), None),
        is_outdated=outdated(sitting, today),
        minutes=sitting.minutes or 0,
        ends_at=sitting.ends_at(),
    )


def question_page(sitting: Sitting, place: int) -> Asked:
    """One question of an open sitting; three queries. Raises Http404 for a place that it does not
    have.
    """
    answers = {answer.place: answer for answer in sitting.answers.select_related("version")}
    if place not in answers:
        raise Http404
    answered = sum(one.given is not None for one in answers.values())
    return asked_page(
        answers[place],
        pk=sitting.pk,
        title=sitting.quiz.title,
        total=len(answers),
        answered=answered,
        ends_at=sitting.ends_at(),
    )


def asked_page(
    answer: AskedOnce,
    *,
    pk: int,
    title: str,
    total: int,
    answered: int,
    ends_at: datetime | None = None,
) -> Asked:
    """One question as it is shown to whoever is to answer it; one query. `pk` is that of its
    sitting or round.
    """
    place, asked = answer.place, answer.version.content()
    pictures = pictures_of([answer.version])
    mirrored, uid = answer.shown.get("mirrored", False), f"q{place}"
    spot = None
    if isinstance(asked, PointAt):
        spot = spot_to_point_at(asked, pictures, mirrored=mirrored, given=answer.given, uid=uid)
    return Asked(
        pk=pk,
        title=title,
        place=place,
        total=total,
        answered=answered,
        kind=answer.version.kind,
        stem=html(answer.version.stem, pictures, mirrored=mirrored, uid=uid),
        variant=variant_words(asked.variant) if isinstance(asked, PutInOrder) else "",
        order=tuple(answer.shown["order"]),
        labels=_labels(asked, answer.shown),
        given=answer.given,
        partners=_partners(asked, answer.shown),
        pictures=option_pictures(asked, answer.shown, pictures, uid),
        spot=spot,
        ends_at=ends_at,
    )


def _labels(asked: kinds.Asked, shown: Mapping[str, Any]) -> tuple[str, ...]:
    """The words of the options, steps or left halves, in the order shown."""
    match asked:
        case ChooseOne() | ChooseAll():
            return tuple(asked.options[at].text for at in shown["order"])
        case PutInOrder():
            return tuple(shown["titles"])
        case Match():
            return tuple(asked.pairs[at].left for at in shown["order"])
        case GiveAmount() | PointAt():
            return ()


def _partners(asked: kinds.Asked, shown: Mapping[str, Any]) -> tuple[tuple[int, str], ...]:
    """Every partner on offer with its place in the author's list, in the order shown."""
    return (
        tuple((at, asked.partners[at]) for at in shown["partners"])
        if isinstance(asked, Match)
        else ()
    )


def given_words(answer: Answer) -> str:
    """What was answered, as its sitter would say it; empty while it is open. Nothing here tells
    whether it is right.
    """
    asked, given = answer.version.content(), answer.given
    if given is None:
        return ""
    match asked:
        case ChooseOne():
            return asked.options[int(given)].text
        case ChooseAll():
            return "; ".join(asked.options[at].text for at in answer.shown["order"] if at in given)
        case PutInOrder():
            titles = dict(zip(answer.shown["order"], answer.shown["titles"], strict=True))
            return " → ".join(titles[step] for step in given)
        case GiveAmount():
            return str(given)
        case Match():
            chosen = (
                (asked.pairs[at].left, asked.partners[given[at]]) for at in answer.shown["order"]
            )
            return "; ".join(f"{left}: {partner}" for left, partner in chosen)
        case PointAt():
            return "a spot on the drawing"


def next_unanswered(sitting: Sitting, after: int) -> int | None:
    """The next place without an answer, from the one after this on and round to it; None where all
    are answered.
    """
    waiting = sorted(sitting.answers.filter(given__isnull=True).values_list("place", flat=True))
    return next((place for place in waiting if place > after), waiting[0] if waiting else None)
