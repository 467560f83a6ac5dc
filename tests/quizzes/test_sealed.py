"""Does the database itself refuse to change what has been asked and answered?"""

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, IntegrityError, transaction

from quizzes.actions.sittings import end_sitting
from quizzes.models import Answer, QuestionVersion, Sitting
from tests.procedures.factories import NOW
from tests.quizzes.factories import TODAY, VersionFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book")]


def refused(write, words):
    with pytest.raises(DatabaseError, match=words), transaction.atomic():
        write()


def test_a_version_of_a_question_is_never_changed():
    VersionFactory()
    refused(lambda: QuestionVersion.objects.update(stem="Another?"), "never changed")
    refused(lambda: QuestionVersion.objects.all().delete(), "never changed")


def test_an_open_sitting_can_be_answered_and_dropped(sitting):
    Answer.objects.update(given=0)
    Answer.objects.all().delete()
    Sitting.objects.all().delete()
    assert not Sitting.objects.exists()


def test_an_ended_sitting_is_sealed_with_its_answers(sitting, answers):
    version = answers["one"].version
    end_sitting(sitting=sitting, now=NOW, today=TODAY)
    refused(lambda: Sitting.objects.update(percent=100), "sealed")
    refused(
        lambda: Sitting.objects.update(
            recorded_at=None, percent=None, critical_right=None, happened_on=None
        ),
        "sealed",
    )
    refused(lambda: Answer.objects.update(marks=1), "sealed")
    refused(lambda: Answer.objects.filter(place=1).update(given=0), "sealed")
    refused(lambda: Answer.objects.all().delete(), "sealed")
    refused(
        lambda: Answer.objects.create(sitting=sitting, place=9, version=version, shown={}), "sealed"
    )


def test_no_answer_can_be_moved_into_an_ended_sitting(sitting, quiz, mechanic):
    from quizzes.actions.sittings import start_sitting

    other = start_sitting(quiz=quiz, person=mechanic, pass_percent=75, now=NOW, today=TODAY)
    end_sitting(sitting=sitting, now=NOW, today=TODAY)
    refused(lambda: other.answers.filter(place=1).update(sitting=sitting, place=9), "sealed")


def test_one_person_has_one_open_sitting_of_a_quiz(sitting):
    second = Sitting(
        quiz=sitting.quiz, person=sitting.person, seed=1, pass_percent=80, started_at=NOW
    )
    with pytest.raises(ValidationError, match="open sitting of this quiz already"):
        second.full_clean()
    with pytest.raises(IntegrityError), transaction.atomic():
        second.save()


def test_a_sitting_ends_with_its_whole_result_or_not_at_all(sitting):
    with pytest.raises(IntegrityError), transaction.atomic():
        Sitting.objects.update(recorded_at=NOW)
    with pytest.raises(IntegrityError), transaction.atomic():
        Sitting.objects.update(percent=100)


def test_marks_lie_between_0_and_1(sitting):
    with pytest.raises(IntegrityError), transaction.atomic():
        Answer.objects.update(marks=2)


def test_a_kind_that_is_not_known_is_refused():
    with pytest.raises(IntegrityError), transaction.atomic():
        VersionFactory(kind="guess")
