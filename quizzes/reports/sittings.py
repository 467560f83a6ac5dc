"""What does somebody see of an open sitting: what is left, and one question?

Before the end nothing here hands out which answer is right or what is said of one.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from django.db.models import QuerySet
from django.http import Http404
from django.utils.safestring import SafeString

from procedures.records.statements import prepare_objects, prepare_once
from quizzes.kinds.fields import Field
from quizzes.models import Answer, Sitting
from quizzes.models.questions import AskedOnce
from quizzes.records.sources import is_outdated, pictures_of
from quizzes.records.wording.say import say
from quizzes.reports.showing import (
    Spot,
    first_line,
    heading_and_rest,
    heading_html,
    option_pictures,
    render_html,
    spot_to_point_at,
    variant_words,
)


@dataclass(frozen=True, slots=True)
class SittingLine:
    """One question in the list of a sitting."""

    place: int
    stem: str
    is_answered: bool
    given: str  # what was answered, in words; empty while it is open
    second_to: int | None  # the place of the question to which this is the second try


@dataclass(frozen=True, slots=True)
class Overview:
    """An open sitting: what is answered, and where to go on."""

    pk: int
    title: str
    started_at: datetime
    pass_percent: int
    lines: tuple[SittingLine, ...]
    next_place: int | None
    is_outdated: bool
    minutes: int
    ends_at: datetime | None

    @property
    def next_second(self) -> int | None:
        """To which question the next one is the second try, where it is one."""
        return next((one.second_to for one in self.lines if one.place == self.next_place), None)

    @property
    def waiting(self) -> int:
        return sum(not line.is_answered for line in self.lines)

    @property
    def answered(self) -> int:
        return len(self.lines) - self.waiting


@dataclass(frozen=True, slots=True)
class QuestionAsked:
    """One question as it is shown while the sitting is open."""

    pk: int
    title: str
    place: int
    total: int
    answered: int
    field: Field
    template: str
    heading: SafeString
    stem: SafeString  # what is left of it under the heading
    variant: str
    order: tuple[Any, ...]
    labels: tuple[str, ...]
    given: Any
    partners: tuple[tuple[int, str], ...]
    pictures: tuple[SafeString, ...]
    spot: Spot | None
    ends_at: datetime | None
    second_to: int | None = None  # the place of the question to which this is the second try
    second: int | None = None  # the place of the second try, where there is one: this one stands
    given_words: str = ""
    kept_at: str = ""  # when it was answered, to tell an answer that another window gave meanwhile
    last: int = 0  # the last place, second tries and all

    @property
    def previous(self) -> int | None:
        return self.place - 1 if self.place > 1 else None

    @property
    def next(self) -> int | None:
        return self.place + 1 if self.place < self.last else None


def overview_page(sitting: Sitting, *, today: date) -> Overview:
    """What is left of an open sitting; five queries."""
    answers = list(sitting.answers.select_related("version").order_by("place"))
    lines = tuple(
        SittingLine(
            answer.place,
            first_line(answer.version.stem),
            answer.given is not None,
            given_words(answer),
            answer.second_to,
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
        is_outdated=is_outdated(sitting, today),
        minutes=sitting.minutes or 0,
        ends_at=sitting.ends_at(),
    )


def question_page(sitting: Sitting, place: int) -> QuestionAsked:
    """One question of an open sitting; three queries. Raises Http404 for a place that it does not
    have.
    """
    answers = {answer.place: answer for answer in _ask_answers(sitting.pk)}
    if place not in answers:
        raise Http404
    answer, firsts = answers[place], [one for one in answers.values() if one.second_to is None]
    page = asked_page(
        answer,
        pk=sitting.pk,
        title=sitting.quiz.title,
        total=len(firsts),
        answered=sum(one.given is not None for one in firsts),
        ends_at=sitting.ends_at(),
    )
    return replace(
        page,
        second_to=answer.second_to,
        second=next((one.place for one in answers.values() if one.second_to == place), None),
        given_words=given_words(answer),
        kept_at=answer.kept_at(),
        last=max(answers),
    )


def asked_page(
    answer: AskedOnce,
    *,
    pk: int,
    title: str,
    total: int,
    answered: int,
    ends_at: datetime | None = None,
) -> QuestionAsked:
    """One question as it is shown to whoever is to answer it; one query. `pk` is that of its
    sitting or round.
    """
    place, asked = answer.place, answer.version.content()
    pictures = pictures_of([answer.version])
    mirrored, uid = answer.shown.get("mirrored", False), f"q{place}"
    asks, rest = heading_and_rest(answer.version.stem)
    return QuestionAsked(
        pk=pk,
        title=title,
        place=place,
        total=total,
        answered=answered,
        field=asked.field,
        template=asked.template,
        heading=heading_html(asks, pictures, uid=f"{uid}-asks"),
        stem=render_html(rest, pictures, mirrored=mirrored, uid=uid),
        variant=variant_words(asked.fork()),
        order=tuple(answer.shown["order"]),
        labels=asked.labels(answer.shown),
        given=answer.given,
        partners=asked.partners_shown(answer.shown),
        pictures=option_pictures(asked, answer.shown, pictures, uid),
        spot=spot_to_point_at(asked, pictures, mirrored=mirrored, given=answer.given, uid=uid),
        ends_at=ends_at,
    )


def given_words(answer: Answer) -> str:
    """What was answered, as its sitter would say it; empty while it is open. Nothing here tells
    whether it is right.
    """
    if answer.given is None:
        return ""
    return say(answer.version.content().given_words(answer.given, answer.shown))


def find_next_unanswered(sitting: Sitting, after: int) -> int | None:
    """The next place without an answer: the second try for this one, else from the one after it on
    and round to it (from the question to which it was the second try); None where all are answered.
    """
    rows = _ask_places(sitting.pk)
    waiting: list[tuple[int, int | None]] = [(row[0], row[1]) for row in rows if row[2] is None]
    for place, second_to in waiting:
        if second_to == after:
            return place  # the second try comes at once
    after = next((second_to for place, second_to, _ in rows if place == after and second_to), after)
    places = [place for place, _ in waiting]
    return next((place for place in places if place > after), places[0] if places else None)


# What is asked for each page of a question, and for each answer.
@prepare_objects
def _ask_answers(sitting: int) -> QuerySet[Answer]:
    return Answer.objects.select_related("version").filter(sitting=sitting)


@prepare_once
def _ask_places(sitting: int) -> QuerySet[Any]:
    rows = Answer.objects.filter(sitting=sitting).order_by("place")
    return rows.values_list("place", "second_to", "given")
