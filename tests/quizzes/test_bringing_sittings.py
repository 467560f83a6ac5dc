"""Does a sitting from elsewhere come in marked as one taken here, and is what cannot have been
refused?

What is right follows from the small bank of `quiz_of_four`; no outside source.
"""

import datetime

import pytest

from procedures.records.refused import Refused
from quizzes.actions.bringing import bring_sitting
from quizzes.actions.sittings import end_sitting, save_answer
from quizzes.models import Answer, Sitting
from tests.procedures.factories import NOW, RELEASED_ON, RevisionFactory
from tests.quizzes.factories import right_answer
from tests.training.factories import UserFactory

pytestmark = pytest.mark.django_db
BEFORE = NOW - datetime.timedelta(minutes=20)


def brought(quiz, answers, person=None, on=None):
    return bring_sitting(
        quiz=quiz,
        person=person or UserFactory(),
        pass_percent=75,
        on=on or NOW.date(),
        started_at=BEFORE,
        recorded_at=NOW,
        answers=answers,
    )


@pytest.mark.parametrize("wrong", [(), (1,), (2, 3)])
def test_it_is_worth_what_the_same_answers_are_worth_here(quiz, sitting, answers, wrong):
    for answer in answers.values():
        if answer.place not in wrong:
            save_answer(sitting=sitting, place=answer.place, given=right_answer(answer), now=NOW)
    here = end_sitting(sitting=sitting, now=NOW, today=NOW.date())
    given = [(answer.version, answer.given) for answer in here.answers.order_by("place")]
    there = brought(quiz, given)
    assert (there.percent, there.critical_right) == (here.percent, here.critical_right)
    assert [answer.marks for answer in there.answers.order_by("place")] == [
        answer.marks for answer in here.answers.order_by("place")
    ]
    assert not there.is_open()


def test_what_cannot_have_been_is_told_for_each_question_and_nothing_is_kept(quiz, answers):
    given = [(answer.version, right_answer(answer)) for answer in answers.values()]
    before = Sitting.objects.count(), Answer.objects.count()
    with pytest.raises(Refused) as early:
        brought(quiz, given, on=RELEASED_ON - datetime.timedelta(days=1))
    assert len(early.value.details) == len(given)
    assert all("no released revision on that day" in text for text in early.value.details)
    with pytest.raises(Refused) as odd:
        brought(quiz, [(version, {"a": 1}) for version, _ in given])
    assert len(odd.value.details) == len(given)
    writeup = answers["one"].version.question.writeup
    RevisionFactory(
        writeup=writeup,
        number=2,
        text="---\ntitle: Another\n---\n### Another step {#another}\nDo it.\n",
        released=True,
        released_on=NOW.date(),
    )
    with pytest.raises(Refused, match="is not possible") as changed:
        brought(quiz, given)
    assert all("does not fit revision 2" in text for text in changed.value.details)
    assert (Sitting.objects.count(), Answer.objects.count()) == before
