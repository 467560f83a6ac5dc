"""Which sittings and questions may this person see, and what may be done with one?"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any, Protocol

from django.core.exceptions import PermissionDenied
from django.db.models import Q
from django.http import Http404
from django.utils import timezone

from procedures.models import WriteUp
from quizzes.models import Question, Quiz, RefresherRound, Sitting

SIT, WRITE, SEE_RESULTS = "quizzes.sit", "quizzes.write", "quizzes.see_results"


class Person(Protocol):
    """Somebody signed in, as far as this app asks."""

    @property
    def pk(self) -> Any: ...

    def has_perm(self, perm: str) -> bool: ...


def day_for(person: Person, now: datetime) -> date:
    """The day on which an instant falls where this person works; in the site's time zone for somebody without a workshop."""
    workshop = getattr(person, "workshop", None)
    day: date = timezone.localdate(now) if workshop is None else workshop.day_of(now)
    return day


def sitting_of(person: Person, pk: int) -> Sitting:
    """This sitting for the one who sits it, open or ended. Raises Http404 for everybody else."""
    if not person.has_perm(SIT):
        raise PermissionDenied
    return _one(Q(pk=pk, person=person.pk))


def round_of(person: Person, pk: int) -> RefresherRound:
    """This refresher round for the one whose it is. Raises Http404 for everybody else."""
    if not person.has_perm(SIT):
        raise PermissionDenied
    try:
        return RefresherRound.objects.get(pk=pk, person=person.pk)
    except RefresherRound.DoesNotExist:
        raise Http404 from None


def result_for(person: Person, pk: int) -> Sitting:
    """This ended sitting for its sitter and for those who see results; also an open one for its sitter. Else Http404."""
    own = Q(person=person.pk)
    seen = Q(recorded_at__isnull=False) if person.has_perm(SEE_RESULTS) else Q()
    return _one(Q(pk=pk) & (own | seen if seen else own))


def must_write(person: Person) -> None:
    """Raises PermissionDenied for somebody who may not write questions."""
    if not person.has_perm(WRITE):
        raise PermissionDenied


def question_to_see(person: Person, writeup: str, name: str) -> Question:
    """This question for somebody who may write questions. Raises PermissionDenied, or Http404 when there is none."""
    must_write(person)
    try:
        return Question.objects.select_related("writeup").get(writeup__name=writeup, name=name)
    except Question.DoesNotExist:
        raise Http404 from None


def quiz_to_see(person: Person, name: str) -> Quiz:
    """This quiz for somebody who may write questions. Raises PermissionDenied, or Http404 when there is none."""
    must_write(person)
    try:
        return Quiz.objects.get(name=name)
    except Quiz.DoesNotExist:
        raise Http404 from None


def writeup_to_ask_about(person: Person, name: str) -> WriteUp:
    """This write-up for somebody who may write questions. Raises PermissionDenied, or Http404 when there is none."""
    must_write(person)
    try:
        return WriteUp.objects.get(name=name)
    except WriteUp.DoesNotExist:
        raise Http404 from None


def _one(which: Q) -> Sitting:
    try:
        return Sitting.objects.select_related("quiz", "person").get(which)
    except Sitting.DoesNotExist:
        raise Http404 from None
