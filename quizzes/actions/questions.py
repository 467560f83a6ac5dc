"""How do questions come in, and which of them does a quiz ask?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext

from procedures.models import WriteUp
from procedures.refused import Refused, refused_by
from quizzes.access import Person
from quizzes.album import album
from quizzes.marking.draws import FromPart
from quizzes.marking.kinds import QuestionText, as_json
from quizzes.marking.spots import drawings_of
from quizzes.models import Question, QuestionVersion, Quiz
from quizzes.sources import newest_source, rules_text


@transaction.atomic
def bring_questions(
    *, writeup: WriteUp, questions: Sequence[QuestionText], now: datetime, author: Person | None = None
) -> tuple[QuestionVersion, ...]:
    """The versions that were written: one for each question that is new or says something else than its newest version.

    A question that is not among these stays as it is. Raises Refused, and writes nothing, where a question belongs to
    another write-up or does not fit the newest revision; its `details` say which and why.
    """
    faults = question_faults(writeup=writeup, questions=questions)
    if faults:
        raise Refused(gettext("These questions do not fit the write-up. Nothing was saved."), faults)
    newest = {
        version.question.name: version
        for version in QuestionVersion.objects.newest().filter(question__writeup=writeup).select_related("question")
    }
    beside = newest_source(writeup)
    number = None if beside is None else beside.number
    written = [_next_version(writeup, text, newest.get(text.name), author, now, number) for text in questions]
    return tuple(version for version in written if version is not None)


def question_faults(*, writeup: WriteUp, questions: Sequence[QuestionText]) -> tuple[str, ...]:
    """Why these can't be questions of this write-up, question by question; empty when they can. Writes nothing."""
    faults = [
        f"{text.name}: it belongs to the write-up “{text.writeup}”, not to “{writeup.name}”."
        for text in questions
        if text.writeup != writeup.name
    ]
    source = newest_source(writeup)
    if source is None:
        return (*faults, f"The write-up “{writeup.name}” has no text yet. Write that first.")
    rules = rules_text()
    pictures = album(name for text in questions for name in drawings_of("", text.asked))
    for text in questions:
        found = source.faults(text.asked, text.steps, rules, pictures, mirror=text.mirror)
        faults += [f"{text.name}: {fault}" for fault in found]
    return tuple(faults)


@transaction.atomic
def set_quiz(*, name: str, title: str, writeups: Iterable[WriteUp], size: int | None = None) -> Quiz:
    """The quiz of this name, made or changed so; without a size, one that is there keeps its own. Its rules stay as
    they are. Raises Refused for a name or size that can't be.
    """
    quiz = Quiz.objects.filter(name=name).first() or Quiz(name=name)
    quiz.title, quiz.size = title, quiz.size if size is None else size
    try:
        quiz.full_clean()
    except ValidationError as error:
        raise refused_by(error) from error
    quiz.save()
    quiz.writeups.set(writeups)
    return quiz


@transaction.atomic
def set_quiz_rules(
    *,
    quiz: Quiz,
    size: int,
    critical_percent: int = 100,
    parts: Sequence[FromPart] = (),
    minutes: int = 0,
    wait_days: int = 1,
    sittings_a_day: int = 2,
    recall_percent: int = 90,
) -> Quiz:
    """The quiz with these rules, which hold for sittings that begin from now on. Raises Refused for numbers that can't be."""
    quiz.size, quiz.critical_percent, quiz.minutes = size, critical_percent, minutes
    quiz.wait_days, quiz.sittings_a_day, quiz.recall_percent = wait_days, sittings_a_day, recall_percent
    quiz.parts = [asdict(part) for part in parts]
    try:
        quiz.full_clean()
    except ValidationError as error:
        raise refused_by(error) from error
    quiz.save()
    return quiz


def _next_version(
    writeup: WriteUp,
    text: QuestionText,
    newest: QuestionVersion | None,
    author: Person | None,
    now: datetime,
    beside: int | None,
) -> QuestionVersion | None:
    says = {
        "kind": text.asked.kind,
        "stem": text.stem,
        "asked": as_json(text.asked),
        "says": text.says,
        "steps": list(text.steps),
        "critical": text.critical,
        "mirror": text.mirror,
    }
    if newest is not None and all(getattr(newest, field) == value for field, value in says.items()):
        return None
    question = newest.question if newest is not None else Question(writeup=writeup, name=text.name)
    number = newest.number + 1 if newest is not None else 1
    try:
        if newest is None:
            question.full_clean()
            question.save()
        version = QuestionVersion(
            question=question,
            number=number,
            revision=beside,
            author_id=None if author is None else author.pk,
            recorded_at=now,
            **says,
        )
        version.full_clean()
    except ValidationError as error:
        raise refused_by(error) from error
    version.save()
    return version
