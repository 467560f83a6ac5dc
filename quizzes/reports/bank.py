"""Which questions does the shop have, and what does each ask with which right answer?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.http import Http404
from django.utils.safestring import SafeString

from procedures.models import WriteUp
from quizzes.marking.kinds import ChooseAll, ChooseOne, GiveAmount, Option, PutInOrder, QuestionText
from quizzes.marking.rehearsed import in_text_order
from quizzes.marking.writing import write_questions
from quizzes.models import Question, QuestionVersion
from quizzes.reports.sittings import StepLink, html, step_links, variant_words
from quizzes.sources import Source, current_sources, rules_text

NOT_RELEASED = "The write-up has no released revision yet, so this is not asked."


@dataclass(frozen=True, slots=True)
class Listed:
    """One question in the list. `set_aside` says why it is not asked at present; empty when it is."""

    name: str
    stem: str
    kind: str
    critical: bool
    steps: tuple[str, ...]
    version: int
    set_aside: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Bank:
    """The questions of one write-up."""

    name: str
    title: str
    questions: tuple[Listed, ...]


@dataclass(frozen=True, slots=True)
class QuestionPage:
    """One question with its right answer, for those who write questions."""

    writeup: str
    writeup_title: str
    name: str
    version: int
    recorded_at: datetime
    author: str
    kind: str
    critical: bool
    stem: SafeString
    why: SafeString
    options: tuple[Option, ...]
    amount: str
    variant: str
    order: tuple[str, ...]
    right_orders: int
    all_orders: int
    steps: tuple[StepLink, ...]
    set_aside: tuple[str, ...]


def banks(*, today: date) -> tuple[Bank, ...]:
    """Every write-up with the newest version of each of its questions; four queries."""
    writeups = list(WriteUp.objects.order_by("title"))
    sources = current_sources([writeup.pk for writeup in writeups], today)
    rules = rules_text()
    listed: dict[int, list[Listed]] = {}
    for version in QuestionVersion.objects.newest().select_related("question").order_by("question__name"):
        pk = version.question.writeup_id
        listed.setdefault(pk, []).append(_listed(version, sources.get(pk), rules))
    return tuple(Bank(writeup.name, writeup.title, tuple(listed.get(writeup.pk, ()))) for writeup in writeups)


def question_page(question: Question, *, today: date) -> QuestionPage:
    """The newest version of a question, with its right answer and how many orders are right; three queries. Raises Http404 without one."""
    version = question.versions.select_related("author").order_by("number").last()
    if version is None:
        raise Http404
    source = current_sources([question.writeup_id], today).get(question.writeup_id)
    rules = rules_text()
    asked = version.content()
    set_aside = _set_aside(version, source, rules)
    order: tuple[str, ...] = ()
    right_orders = all_orders = 0
    if isinstance(asked, PutInOrder) and source is not None and not set_aside:
        titles = source.titles()
        order = tuple(titles[step] for step in in_text_order(source.writeup, asked.steps))
        right_orders, all_orders = source.orders(asked, rules).count()
    return QuestionPage(
        writeup=question.writeup.name,
        writeup_title=question.writeup.title,
        name=question.name,
        version=version.number,
        recorded_at=version.recorded_at,
        author=str(version.author) if version.author else "",
        kind=version.kind,
        critical=version.critical,
        stem=html(version.stem),
        why=html(version.says),
        options=asked.options if isinstance(asked, ChooseOne | ChooseAll) else (),
        amount=asked.amount if isinstance(asked, GiveAmount) else "",
        variant=variant_words(asked.variant) if isinstance(asked, PutInOrder) else "",
        order=order,
        right_orders=right_orders,
        all_orders=all_orders,
        steps=step_links(source, asked, version.steps)
        if source
        else tuple(StepLink(step, "") for step in version.steps),
        set_aside=set_aside,
    )


def questions_text(writeup: WriteUp) -> str:
    """The newest version of every question of a write-up, as YAML to go on writing."""
    newest = QuestionVersion.objects.newest().filter(question__writeup=writeup).select_related("question")
    texts = [
        QuestionText(
            writeup.name,
            version.question.name,
            version.stem,
            version.content(),
            tuple(version.steps),
            version.critical,
            version.says,
        )
        for version in newest.order_by("pk")
    ]
    return write_questions(writeup.name, texts) if texts else f"writeup: {writeup.name}\nquestions:\n"


def _listed(version: QuestionVersion, source: Source | None, rules: str) -> Listed:
    return Listed(
        name=version.question.name,
        stem=next((line.strip() for line in version.stem.splitlines() if line.strip()), ""),
        kind=version.kind,
        critical=version.critical,
        steps=tuple(version.steps),
        version=version.number,
        set_aside=_set_aside(version, source, rules),
    )


def _set_aside(version: QuestionVersion, source: Source | None, rules: str) -> tuple[str, ...]:
    return (NOT_RELEASED,) if source is None else source.faults(version.content(), version.steps, rules)
