"""Which sittings and questions may this person see, and what may be done with one?"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any, Protocol

from django.core.exceptions import PermissionDenied
from django.db.models import Q
from django.http import Http404
from django.utils import timezone

from procedures.models import WriteUp
from quizzes.models import Answer, Question, Quiz, RefresherRound, Sitting

SIT, WRITE, SEE_RESULTS = "quizzes.sit", "quizzes.write", "quizzes.see_results"


class Person(Protocol):
    """Somebody signed in, as far as this app asks."""

    @property
    def pk(self) -> Any: ...

    def has_perm(self, perm: str) -> bool: ...


def day_for(person: Person, now: datetime) -> date:
    """The day on which an instant falls where this person works; in the site's time zone for
    somebody without a workshop.
    """
    workshop = getattr(person, "workshop", None)
    day: date = timezone.localdate(now) if workshop is None else workshop.day_of(now)
    return day


class InTheMiddle(PermissionDenied):
    """A page that could give the answers of a sitting away, while that `sitting` is open."""

    def __init__(self, sitting: Sitting) -> None:
        super().__init__(str(sitting))
        self.sitting = sitting


def sitting_in_the_way(person: Any, writeups: Iterable[int] | None = None) -> Sitting | None:
    """The open sitting that closes all that tells questions on these write-ups (keys; None: on any)
    to somebody (key), or None.

    This is the one policy for every page: a sitting closes what its quiz asks about, and what it
    has drawn from. Seniors and owners are closed out like everybody else. Three queries at most.
    """
    mine = (
        Sitting.objects.filter(person=person, recorded_at=None)
        .select_related("quiz")
        .order_by("pk")
    )
    if writeups is None:
        return mine.first()
    wanted = set(writeups)
    return next((sitting for sitting in mine if wanted & _asked_about(sitting)), None)


def closed_writeups(person: Any) -> dict[int, Sitting]:
    """The write-ups (keys) whose questions are closed to somebody (key), each with the open sitting
    that closes it.
    """
    mine = (
        Sitting.objects.filter(person=person, recorded_at=None)
        .select_related("quiz")
        .order_by("-pk")
    )
    return {writeup: sitting for sitting in mine for writeup in _asked_about(sitting)}


def must_not_be_sitting(person: Any, writeups: Iterable[int] | None = None) -> None:
    """Raises InTheMiddle for somebody (key) whose open sitting asks about one of these write-ups
    (keys; None: about any).
    """
    sitting = sitting_in_the_way(person, writeups)
    if sitting is not None:
        raise InTheMiddle(sitting)


def _asked_about(sitting: Sitting) -> set[int]:
    """The write-ups (keys) of the quiz, and those that the sitting has drawn from; two queries."""
    drawn = sitting.answers.values_list("version__question__writeup", flat=True)
    return {*sitting.quiz.writeups.values_list("pk", flat=True), *drawn}


def sitting_of(person: Person, pk: int) -> Sitting:
    """This sitting for the one who sits it, open or ended. Raises Http404 for everybody else."""
    if not person.has_perm(SIT):
        raise PermissionDenied
    return _one(Q(pk=pk, person=person.pk))


def round_of(person: Person, pk: int) -> RefresherRound:
    """This refresher round for the one whose it is. Raises Http404 for everybody else, InTheMiddle
    in the middle of a quiz: a round mixes levels and tells at once what is right.
    """
    if not person.has_perm(SIT):
        raise PermissionDenied
    try:
        kept = RefresherRound.objects.get(pk=pk, person=person.pk)
    except RefresherRound.DoesNotExist:
        raise Http404 from None
    must_not_be_sitting(person.pk)
    return kept


def result_for(person: Person, pk: int) -> Sitting:
    """This ended sitting for its sitter and for those who see results; also an open one for its
    sitter. Else Http404.

    Raises InTheMiddle while an open sitting of this person asks about what that one asked about.
    """
    own = Q(person=person.pk)
    seen = Q(recorded_at__isnull=False) if person.has_perm(SEE_RESULTS) else Q()
    sitting = _one(Q(pk=pk) & (own | seen if seen else own))
    if not sitting.is_open():
        must_not_be_sitting(person.pk, _asked_about(sitting))
    return sitting


def must_write(person: Person) -> None:
    """Raises PermissionDenied for somebody who may not write questions."""
    if not person.has_perm(WRITE):
        raise PermissionDenied


def question_to_see(person: Person, writeup: str, name: str) -> Question:
    """This question for somebody who may write questions. Raises PermissionDenied, Http404 when
    there is none, or InTheMiddle.
    """
    must_write(person)
    try:
        question = Question.objects.select_related("writeup").get(writeup__name=writeup, name=name)
    except Question.DoesNotExist:
        raise Http404 from None
    must_not_be_sitting(person.pk, [question.writeup_id])
    return question


def quiz_to_see(person: Person, name: str) -> Quiz:
    """This quiz for somebody who may write questions. Raises PermissionDenied, or Http404 when
    there is none.
    """
    must_write(person)
    try:
        return Quiz.objects.get(name=name)
    except Quiz.DoesNotExist:
        raise Http404 from None


def figures_to_see(person: Person, name: str) -> Quiz:
    """This quiz for somebody who looks at what its sittings say of each question. Raises as
    `quiz_to_see` does, or InTheMiddle.
    """
    quiz = quiz_to_see(person, name)
    asked = (
        Answer.objects.filter(sitting__quiz=quiz)
        .values_list("version__question__writeup", flat=True)
        .distinct()
    )
    must_not_be_sitting(person.pk, {*quiz.writeups.values_list("pk", flat=True), *asked})
    return quiz


def writeup_to_ask_about(person: Person, name: str) -> WriteUp:
    """This write-up for somebody who may write questions. Raises PermissionDenied, Http404 when
    there is none, or InTheMiddle.
    """
    must_write(person)
    try:
        writeup = WriteUp.objects.get(name=name)
    except WriteUp.DoesNotExist:
        raise Http404 from None
    must_not_be_sitting(person.pk, [writeup.pk])
    return writeup


def _one(which: Q) -> Sitting:
    try:
        return Sitting.objects.select_related("quiz", "person").get(which)
    except Sitting.DoesNotExist:
        raise Http404 from None
