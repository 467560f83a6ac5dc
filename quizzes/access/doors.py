"""Which sittings and questions may this person see?"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime

from django.db.models import Q, QuerySet
from django.http import Http404
from django.utils import timezone

from procedures.access.acts import Person
from procedures.models import WriteUp
from procedures.records.statements import prepare_objects
from quizzes.access import acts
from quizzes.access.closing import list_asked_about, must_not_be_sitting
from quizzes.models import Answer, Question, Quiz, RefresherRound, Sitting


def day_for(person: Person, now: datetime) -> date:
    """The day on which an instant falls where this person works; in the site's time zone for
    somebody without a workshop.
    """
    # This app knows a person only by protocol; the workshop belongs to the app above.
    workshop = getattr(person, "workshop", None)
    day: date = timezone.localdate(now) if workshop is None else workshop.day_of(now)
    return day


def sitting_of(person: Person, pk: int) -> Sitting:
    """This sitting for the one who sits it, open or ended. Raises Http404 for everybody else."""
    acts.SIT.must_be_open_to(person)
    return _only(_ask_own(pk, person.pk))


def round_of(person: Person, pk: int) -> RefresherRound:
    """This refresher round for the one whose it is. Raises Http404 for everybody else, InTheMiddle
    in the middle of a quiz: a round mixes levels and tells at once what is right.
    """
    acts.SIT.must_be_open_to(person)
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
    seen = Q(recorded_at__isnull=False) if acts.SEE_RESULTS.is_open_to(person) else Q()
    which = Q(pk=pk) & (own | seen if seen else own)
    sitting = _only(Sitting.objects.select_related("quiz", "person").filter(which))
    if not sitting.is_open():
        must_not_be_sitting(person.pk, list_asked_about(sitting))
    return sitting


def question_to_see(person: Person, writeup: str, name: str) -> Question:
    """This question for somebody who may write questions. Raises PermissionDenied, Http404 when
    there is none, or InTheMiddle.
    """
    acts.WRITE.must_be_open_to(person)
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
    acts.WRITE.must_be_open_to(person)
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
    acts.WRITE.must_be_open_to(person)
    try:
        writeup = WriteUp.objects.get(name=name)
    except WriteUp.DoesNotExist:
        raise Http404 from None
    must_not_be_sitting(person.pk, [writeup.pk])
    return writeup


def _only(found: Iterable[Sitting]) -> Sitting:
    for sitting in found:
        return sitting
    raise Http404


# Asked for each page of a quiz.
@prepare_objects
def _ask_own(sitting: int, person: int) -> QuerySet[Sitting]:
    return Sitting.objects.select_related("quiz", "person").filter(pk=sitting, person=person)
