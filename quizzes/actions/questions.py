"""How do questions come in, and which of them does a quiz ask?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext

from procedures.access.acts import Person
from procedures.models import WriteUp
from procedures.records.above import moment, record
from procedures.records.checked import check_row
from procedures.records.refused import Refused, refuse_if
from procedures.records.texts import rules_text
from quizzes.access import acts
from quizzes.kinds.kind import QuestionText
from quizzes.kinds.spots import drawings_of
from quizzes.marking.draws import FromPart, three_rounds
from quizzes.models import Question, QuestionVersion, Quiz, QuizRules
from quizzes.records.album import album
from quizzes.records.sources import newest_source

RULES = (
    "writeups",
    "size",
    "critical_percent",
    "parts",
    "minutes",
    "wait_days",
    "sittings_a_day",
    "recall_percent",
)


@transaction.atomic
def bring_questions(
    *,
    writeup: WriteUp,
    questions: Sequence[QuestionText],
    now: datetime,
    author: Person | None = None,
) -> tuple[QuestionVersion, ...]:
    """The versions that were written: one for each question that is new or says something else than
    its newest version.

    A question that is not among these stays as it is. Raises Refused, and writes nothing, for an
    author without the right, and where a question belongs to another write-up or does not fit the
    newest revision; its `details` say which and why.
    """
    if author is not None:
        refuse_if(acts.WRITE.why_not(author))
    faults = question_faults(writeup=writeup, questions=questions)
    if faults:
        raise Refused(
            gettext("These questions do not fit the write-up. Nothing was saved."), faults
        )
    newest = {
        version.question.name: version
        for version in QuestionVersion.objects.newest()
        .filter(question__writeup=writeup)
        .select_related("question")
    }
    beside = newest_source(writeup)
    number = None if beside is None else beside.number
    written = [
        _next_version(writeup, text, newest.get(text.name), author, now, number)
        for text in questions
    ]
    return tuple(version for version in written if version is not None)


def question_faults(*, writeup: WriteUp, questions: Sequence[QuestionText]) -> tuple[str, ...]:
    """Why these can't be questions of this write-up, question by question; empty when they can.
    Writes nothing.
    """
    faults = [
        gettext("{name}: it belongs to the write-up “{its}”, not to “{this}”.").format(
            name=text.name, its=text.writeup, this=writeup.name
        )
        for text in questions
        if text.writeup != writeup.name
    ]
    source = newest_source(writeup)
    if source is None:
        return (
            *faults,
            gettext("The write-up “{name}” has no text yet. Write it first.").format(
                name=writeup.name
            ),
        )
    rules = rules_text()
    pictures = album(name for text in questions for name in drawings_of("", text.asked))
    for text in questions:
        found = source.faults(text.asked, text.steps, rules, pictures, mirror=text.mirror)
        faults += [f"{text.name}: {fault}" for fault in found]
    return tuple(faults)


@transaction.atomic
def set_quiz(
    *,
    name: str,
    title: str,
    writeups: Iterable[WriteUp],
    size: int | None = None,
    critical_percent: int | None = None,
    by: Person | None = None,
    now: datetime | None = None,
) -> Quiz:
    """The quiz of this name, made or changed so; what is not named stays as it is. Raises Refused
    for a name or numbers that can't be.
    """
    now = moment(now)
    quiz = Quiz.objects.filter(name=name).first() or Quiz(name=name)
    quiz.title = title
    _save(quiz)
    names = sorted({writeup.name for writeup in writeups})
    said = {"size": size, "critical_percent": critical_percent}
    changed = {name: value for name, value in said.items() if value is not None}
    return _with_rules(quiz, by, now, writeups=names, **changed)


@transaction.atomic
def make_quiz(
    *, name: str, title: str, writeups: Iterable[WriteUp], now: datetime | None = None
) -> Quiz:
    """A quiz that asks a third of the questions that are there on these write-ups, and of the
    critical ones a third, so that three sittings meet them all. Raises as `set_quiz` does.
    """
    asked = list(writeups)
    rows = QuestionVersion.objects.in_use().filter(question__writeup__in=asked)
    many = Counter(rows.values_list("critical", flat=True))
    rules = three_rounds(many[True], many[False])
    return set_quiz(
        name=name,
        title=title,
        writeups=asked,
        size=rules.size,
        critical_percent=rules.critical_percent,
        now=now,
    )


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
    by: Person | None = None,
    now: datetime | None = None,
) -> Quiz:
    """The quiz with these rules, as a new version with its record book entry where they say
    something else than those in force. They hold for sittings that begin from now on. Raises
    Refused without the right (`by` is None where a folder comes in), and for numbers that can't be.
    """
    if by is not None:
        refuse_if(acts.WRITE.why_not(by))
    return _with_rules(
        quiz,
        by,
        moment(now),
        size=size,
        critical_percent=critical_percent,
        parts=[asdict(part) for part in parts],
        minutes=minutes,
        wait_days=wait_days,
        sittings_a_day=sittings_a_day,
        recall_percent=recall_percent,
    )


def _with_rules(quiz: Quiz, by: Person | None, now: datetime, **changed: Any) -> Quiz:
    """The quiz with a new version of its rules, where these say something else; what is not named
    stays as it is.
    """
    # The quiz is the lock: versions of its rules are only added, so none of them can be held.
    Quiz.objects.select_for_update().get(pk=quiz.pk)
    quiz.read_anew()  # another may have written rules since this quiz was read
    was = quiz.rules
    # A quiz without rules answers with defaults that are not saved; its first rules are always new.
    if not was._state.adding and all(
        getattr(was, field) == value for field, value in changed.items()
    ):
        return quiz
    kept = {field: getattr(was, field) for field in RULES}
    rules = QuizRules(
        quiz=quiz, by_id=None if by is None else by.pk, recorded_at=now, **kept | changed
    )
    _save(rules)
    record(QuizRules.KIND, rules)
    quiz.read_anew()
    return quiz


def _save(row: Quiz | QuizRules) -> None:
    check_row(row)
    row.save()


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
        "asked": text.asked.as_json(),
        "says": text.says,
        "steps": list(text.steps),
        "critical": text.critical,
        "mirror": text.mirror,
    }
    # A file brought twice must not set every question back to unaccepted.
    if newest is not None and all(getattr(newest, field) == value for field, value in says.items()):
        return None
    question = newest.question if newest is not None else Question(writeup=writeup, name=text.name)
    number = newest.number + 1 if newest is not None else 1
    if newest is None:
        check_row(question)
        question.save()
    version = QuestionVersion(
        question=question,
        number=number,
        revision=beside,
        author_id=None if author is None else author.pk,
        recorded_at=now,
        **says,
    )
    check_row(version)
    version.save()
    record(QuestionVersion.KIND, version)
    return version
