"""What does somebody see of a sitting: what is left, one question, and the result?

Before the end nothing here hands out which answer is right or what is said of one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.http import Http404
from django.urls import reverse
from django.utils.safestring import SafeString

from procedures.writeup.render import body_html
from quizzes.marking import kinds
from quizzes.marking.kinds import ChooseAll, ChooseOne, GiveAmount, PutInOrder
from quizzes.marking.marks import marks
from quizzes.marking.rehearsed import fork_with, in_text_order
from quizzes.models import Answer, Sitting
from quizzes.sources import Source, outdated, pinned_sources, rules_text


@dataclass(frozen=True, slots=True)
class Line:
    """One question in the list of a sitting."""

    place: int
    stem: str
    is_answered: bool


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

    @property
    def previous(self) -> int | None:
        return self.place - 1 if self.place > 1 else None

    @property
    def next(self) -> int | None:
        return self.place + 1 if self.place < self.total else None


@dataclass(frozen=True, slots=True)
class OptionResult:
    text: str
    is_picked: bool
    is_right: bool
    says: str


@dataclass(frozen=True, slots=True)
class StepLink:
    title: str
    url: str


@dataclass(frozen=True, slots=True)
class AnswerResult:
    """One question after the end: what was given, what was right, and why."""

    place: int
    stem: SafeString
    critical: bool
    word: str
    percent: Decimal
    options: tuple[OptionResult, ...]
    given: tuple[str, ...]
    right: tuple[str, ...]
    says: tuple[str, ...]
    why: SafeString
    writeup: str
    steps: tuple[StepLink, ...]
    is_order: bool


@dataclass(frozen=True, slots=True)
class Result:
    """An ended sitting."""

    title: str
    person: str
    happened_on: date
    percent: Decimal
    pass_percent: int
    critical_wrong: int
    is_passed: bool
    answers: tuple[AnswerResult, ...]


def overview_page(sitting: Sitting, *, today: date) -> Overview:
    """What is left of an open sitting; four queries."""
    answers = list(sitting.answers.select_related("version").order_by("place"))
    lines = tuple(Line(answer.place, _first_line(answer.version.stem), answer.given is not None) for answer in answers)
    return Overview(
        pk=sitting.pk,
        title=sitting.quiz.title,
        started_at=sitting.started_at,
        pass_percent=sitting.pass_percent,
        lines=lines,
        next_place=next((line.place for line in lines if not line.is_answered), None),
        is_outdated=outdated(sitting, today),
    )


def question_page(sitting: Sitting, place: int) -> Asked:
    """One question of an open sitting; one query. Raises Http404 for a place that it does not have."""
    answers = {answer.place: answer for answer in sitting.answers.select_related("version")}
    if place not in answers:
        raise Http404
    answer = answers[place]
    asked = answer.version.content()
    order = tuple(answer.shown["order"])
    match asked:
        case ChooseOne() | ChooseAll():
            labels = tuple(asked.options[at].text for at in order)
        case PutInOrder():
            labels = tuple(answer.shown["titles"])
        case GiveAmount():
            labels = ()
    return Asked(
        pk=sitting.pk,
        title=sitting.quiz.title,
        place=place,
        total=len(answers),
        answered=sum(one.given is not None for one in answers.values()),
        kind=answer.version.kind,
        stem=html(answer.version.stem),
        variant=variant_words(asked.variant) if isinstance(asked, PutInOrder) else "",
        order=order,
        labels=labels,
        given=answer.given,
    )


def next_unanswered(sitting: Sitting, after: int) -> int | None:
    """The next place without an answer, from the one after this on and round to it; None where all are answered."""
    waiting = sorted(sitting.answers.filter(given__isnull=True).values_list("place", flat=True))
    return next((place for place in waiting if place > after), waiting[0] if waiting else None)


def result_page(sitting: Sitting) -> Result:
    """An ended sitting with every answer; three queries. Raises Http404 while it is open."""
    answers = list(sitting.answers.select_related("version__question__writeup").order_by("place"))
    sources = pinned_sources({answer.pin() for answer in answers})
    rules = rules_text()
    if sitting.percent is None or sitting.happened_on is None:
        raise Http404
    return Result(
        title=sitting.quiz.title,
        person=str(sitting.person),
        happened_on=sitting.happened_on,
        percent=sitting.percent,
        pass_percent=sitting.pass_percent,
        critical_wrong=sum(answer.version.critical and not answer.is_right() for answer in answers),
        is_passed=sitting.is_passed(),
        answers=tuple(_answer_result(answer, sources[answer.pin()], rules) for answer in answers),
    )


def html(markdown: str) -> SafeString:
    """Markdown as HTML; `body_html` lets only harmless elements through, so that a page may take it as it is."""
    return SafeString(body_html(markdown)) if markdown else SafeString("")


def variant_words(variant: Iterable[tuple[str, str]]) -> str:
    """The options of a fork, in words."""
    return ", ".join(f"{name}: {option}" for name, option in variant)


def step_links(source: Source, asked: kinds.Asked, steps: Iterable[str]) -> tuple[StepLink, ...]:
    """Where each of these steps stands in the revision, shown for a fork that has it."""
    titles, variant = source.titles(), dict(asked.variant) if isinstance(asked, PutInOrder) else {}

    def link(step: str) -> str:
        fork = variant or fork_with(source.writeup, step)
        page = reverse("procedures:revision", args=[source.name, source.number], query=fork or None)
        return f"{page}#step-{step}"

    return tuple(StepLink(titles.get(step, step), link(step)) for step in steps)


def _answer_result(answer: Answer, source: Source, rules: str) -> AnswerResult:
    version, asked = answer.version, answer.version.content()
    options: tuple[OptionResult, ...] = ()
    given: tuple[str, ...] = ()
    right: tuple[str, ...] = ()
    says: tuple[str, ...] = ()
    titles = source.titles()
    match asked:
        case ChooseOne() | ChooseAll():
            options = _options(asked, answer)
        case PutInOrder():
            given = tuple(titles.get(step, step) for step in answer.given or ())
            right = tuple(titles.get(step, step) for step in in_text_order(source.writeup, asked.steps))
            says = source.orders(asked, rules).says(answer.given) if answer.given and not answer.is_right() else ()
        case GiveAmount():
            given = (answer.given,) if answer.given else ()
            right = (asked.amount,)
            says = marks(asked, answer.given).says if answer.given and not answer.is_right() else ()
    return AnswerResult(
        place=answer.place,
        stem=html(version.stem),
        critical=version.critical,
        word=_word(answer),
        percent=(answer.marks or Decimal(0)) * 100,
        options=options,
        given=given,
        right=right,
        says=says,
        why=html(version.says),
        writeup=version.question.writeup.title,
        steps=step_links(source, asked, version.steps),
        is_order=isinstance(asked, PutInOrder),
    )


def _options(asked: ChooseOne | ChooseAll, answer: Answer) -> tuple[OptionResult, ...]:
    picked = answer.given if isinstance(answer.given, list) else [answer.given]
    return tuple(
        OptionResult(asked.options[at].text, at in picked, asked.options[at].right, asked.options[at].says)
        for at in answer.shown["order"]
    )


def _word(answer: Answer) -> str:
    if answer.is_right():
        return "right"
    if answer.given is None:
        return "not answered"
    return "partly right" if answer.marks else "wrong"


def _first_line(stem: str) -> str:
    return next((line.strip(" #*>") for line in stem.splitlines() if line.strip()), "")
