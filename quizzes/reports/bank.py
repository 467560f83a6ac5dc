"""Which questions does the shop have, and what does each ask with which right answer?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.http import Http404
from django.utils.safestring import SafeString
from django.utils.translation import ngettext

from procedures.access.acts import Person
from procedures.models import WriteUp
from procedures.records.texts import rules_text
from quizzes.access import acts
from quizzes.access.others import has_other_writers
from quizzes.kinds.kind import Option
from quizzes.marking.advice import advise
from quizzes.marking.writing import write_questions
from quizzes.models import Question, QuestionVersion
from quizzes.records.asking import list_askable, text_of
from quizzes.records.confirming import say_amount_gone
from quizzes.records.sources import BesideRevision, current_sources, newest_source, pictures_of
from quizzes.records.wording.say import AdviceTold, say_advice
from quizzes.reports.changed_steps import StepSides, draw_changed_steps
from quizzes.reports.coverage import GapTold, gaps_of
from quizzes.reports.results import StepLink, step_links
from quizzes.reports.reviews import Review, reviews
from quizzes.reports.showing import (
    Spot,
    first_line,
    option_pictures,
    render_html,
    spot_after_the_end,
    variant_words,
)


@dataclass(frozen=True, slots=True)
class Listed:
    """One question in the list. `set_aside` says why it is not asked at present; empty when it is.
    `advice` says how much the writing guidelines have to say of it, in words."""

    name: str
    stem: str
    kind: str
    critical: bool
    steps: tuple[str, ...]
    version: int
    set_aside: tuple[str, ...]
    advice: str


@dataclass(frozen=True, slots=True)
class Bank:
    """The questions of one write-up, and what of it no question or no line of the check sheet is
    about.
    """

    name: str
    title: str
    questions: tuple[Listed, ...]
    gaps: tuple[GapTold, ...]

    @property
    def alike(self) -> frozenset[str]:
        """The stems that several questions have; their names tell them apart."""
        counted = Counter(one.stem for one in self.questions)
        return frozenset(stem for stem, count in counted.items() if count > 1)

    @property
    def asked(self) -> str:
        """How many of its questions are asked today, as text."""
        return str(sum(1 for one in self.questions if not one.set_aside))

    @property
    def not_asked(self) -> str:
        """How many are not, as text; empty for none."""
        return str(sum(1 for one in self.questions if one.set_aside) or "")


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
    template: str
    key: dict[str, Any]  # what the template of its kind shows
    options: tuple[tuple[Option, SafeString], ...]  # each with its drawing, if it has one
    spot: Spot | None
    variant: str
    steps: tuple[StepLink, ...]
    advice: tuple[AdviceTold, ...]
    review: Review
    changed: tuple[StepSides, ...]  # the steps for which it is set aside, before and now
    amount_gone: str  # why it cannot be confirmed as it is; empty where it can
    why_not_confirmed: str
    may_withdraw: bool

    @property
    def may_confirm(self) -> bool:
        """Whether nothing is against it that this reader confirms or approves it."""
        return not self.why_not_confirmed


def banks(*, today: date, without: Collection[int] = ()) -> tuple[Bank, ...]:
    """Every write-up but those left out (keys), with the newest version of each of its questions,
    and what nothing asks about; ten queries.
    """
    writeups = list(WriteUp.objects.exclude(pk__in=without).order_by("title"))
    sources = current_sources([writeup.pk for writeup in writeups], today)
    rules = rules_text()
    newest = (
        QuestionVersion.objects.newest()
        .filter(question__writeup__in=writeups)
        .select_related("question")
    )
    versions = list(newest.order_by("question__name"))
    told = reviews(versions, sources, rules, pictures_of(versions))
    listed: dict[int, list[Listed]] = {}
    for version in versions:
        listed.setdefault(version.question.writeup_id, []).append(
            _listed(version, told[version.pk])
        )
    asked = list_askable(sources, rules)
    gaps = {
        pk: gaps_of(source, [one for one in asked if one.question.writeup_id == pk])
        for pk, source in sources.items()
    }
    return tuple(
        Bank(
            writeup.name, writeup.title, tuple(listed.get(writeup.pk, ())), gaps.get(writeup.pk, ())
        )
        for writeup in writeups
    )


def question_page(question: Question, *, today: date, reader: Person) -> QuestionPage:
    """The newest version of a question, with its right answer and how many orders are right, for
    one who may write questions; nine queries. Raises Http404 without one.
    """
    version = question.versions.select_related("author", "question").order_by("number").last()
    if version is None:
        raise Http404
    sources = current_sources([question.writeup_id], today)
    source = sources.get(question.writeup_id)
    rules = rules_text()
    asked, pictures = version.content(), pictures_of([version])
    fits = source is not None and not source.faults(
        asked, version.steps, rules, pictures, mirror=version.mirror
    )
    key = asked.key_shown(BesideRevision(source, rules, pictures) if source and fits else None)
    options = key.get("options", ())
    review = reviews([version], sources, rules, pictures)[version.pk]
    drawn = option_pictures(asked, {"order": range(len(options))}, pictures, "option")
    return QuestionPage(
        writeup=question.writeup.name,
        writeup_title=question.writeup.title,
        name=question.name,
        version=version.number,
        recorded_at=version.recorded_at,
        author=str(version.author) if version.author else "",
        kind=version.kind,
        critical=version.critical,
        stem=render_html(version.stem, pictures, uid="stem"),
        why=render_html(version.says, pictures, uid="why"),
        template=asked.template,
        key=key,
        options=tuple(zip(options, drawn, strict=True)),
        spot=spot_after_the_end(asked, pictures, mirrored=False, given=None, uid="spot"),
        variant=variant_words(asked.fork()),
        steps=step_links(source, asked, version.steps)
        if source
        else tuple(StepLink(step, "") for step in version.steps),
        advice=tuple(map(say_advice, advise(text_of(version, question.writeup.name)))),
        review=review,
        changed=draw_changed_steps(version, source) if review.changed else (),
        amount_gone=_amount_gone(version) if review.changed else "",
        why_not_confirmed=_why_not_confirmed(reader, version, review, today),
        may_withdraw=not acts.WITHDRAW.why_not(reader, is_withdrawn=review.is_withdrawn),
    )


def _amount_gone(version: QuestionVersion) -> str:
    # Beside the newest text, a draft too: it is the one that a confirmation names.
    newest = newest_source(version.question.writeup)
    return "" if newest is None else say_amount_gone(version, newest)


def _why_not_confirmed(
    reader: Person, version: QuestionVersion, review: Review, today: date
) -> str:
    return acts.CONFIRM.why_not(
        reader,
        author=version.author_id,
        is_accepted=review.is_accepted,
        is_withdrawn=review.is_withdrawn,
        others=has_other_writers(version.author_id, today),
    )


def questions_text(writeup: WriteUp) -> str:
    """The newest version of every question of a write-up, as YAML to go on writing."""
    newest = (
        QuestionVersion.objects.newest()
        .filter(question__writeup=writeup)
        .select_related("question")
    )
    texts = [text_of(version, writeup.name) for version in newest.order_by("pk")]
    return (
        write_questions(writeup.name, texts) if texts else f"writeup: {writeup.name}\nquestions:\n"
    )


def _listed(version: QuestionVersion, review: Review) -> Listed:
    return Listed(
        name=version.question.name,
        stem=first_line(version.stem),
        kind=version.kind,
        critical=version.critical,
        steps=tuple(version.steps),
        version=version.number,
        set_aside=review.why_not,
        advice=_pieces(len(advise(text_of(version, "")))),
    )


def _pieces(number: int) -> str:
    text = ngettext("{number} suggestion", "{number} suggestions", number)
    return text.format(number=number) if number else ""
