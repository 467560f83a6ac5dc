"""How do questions and quizzes come in?"""

import datetime
from dataclasses import replace

import pytest

from procedures.records.refused import Refused
from quizzes.actions.questions import bring_questions, set_quiz
from quizzes.kinds.put_in_order import PutInOrder
from quizzes.marking.texts import read_questions
from quizzes.models import QuestionVersion, Quiz
from quizzes.reports.bank import questions_text
from tests.procedures.factories import NOW, WriteUpFactory
from tests.quizzes.factories import ReleasedFactory

pytestmark = pytest.mark.django_db
LATER = NOW + datetime.timedelta(hours=1)


def test_set_quiz_makes_one_and_changes_it(db):
    first, second = ReleasedFactory(), ReleasedFactory()
    quiz = set_quiz(name="air-spring", title="Air spring", writeups=[first], size=12)
    assert set_quiz(name="air-spring", title="Air springs", writeups=[second], size=6) == quiz
    quiz = Quiz.objects.get()
    assert (quiz.title, quiz.rules.size, list(quiz.writeups.all())) == ("Air springs", 6, [second])
    with pytest.raises(Refused):
        set_quiz(name="no name", title="", writeups=[], size=1)


def texts_of(quiz):
    writeup = quiz.writeups.get()
    return writeup, read_questions(questions_text(writeup))


def test_bring_questions_writes_a_version_only_where_something_changed(quiz):
    writeup, texts = texts_of(quiz)
    assert bring_questions(writeup=writeup, questions=texts, now=LATER) == ()
    changed = [
        replace(text, stem="How tight, **exactly**?") if text.name == "torque" else text
        for text in texts
    ]
    (version,) = bring_questions(writeup=writeup, questions=changed, now=LATER)
    assert (version.question.name, version.number, version.critical, version.recorded_at) == (
        "torque",
        2,
        True,
        LATER,
    )
    assert QuestionVersion.objects.newest().count() == 4


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"steps": ("gone",)}, "one: The write-up has no step “gone”"),
        ({"writeup": "other"}, "one: it belongs to the write-up “other”"),
        (
            {"asked": PutInOrder(("let-air-out", "open-chamber"), (("ring", "wire"),))},
            "one: No fork is like this: ring = wire",
        ),
        (
            {"asked": PutInOrder(("let-air-out", "open-chamber"))},
            "one: This question names no fork.",
        ),
        (
            {"asked": PutInOrder(("guard-shaft", "walk-ring"), (("ring", "prong"),))},
            "one: Every order of these steps is right",
        ),
        (
            {"asked": PutInOrder(("guard-shaft", "squeeze-ring"), (("ring", "prong"),))},
            "“squeeze-ring” is not done with ring = prong",
        ),
    ],
)
def test_bring_questions_refuses_what_does_not_fit_and_writes_nothing(quiz, senior, change, words):
    writeup, texts = texts_of(quiz)
    bad = [
        replace(text, **change) if text.name == "one" else replace(text, stem="Changed?")
        for text in texts
    ]
    with pytest.raises(Refused) as refused:
        bring_questions(writeup=writeup, questions=bad, now=LATER, author=senior)
    assert words in " ".join(refused.value.details)
    assert QuestionVersion.objects.count() == 4


def test_questions_need_a_text_to_stand_on():
    with pytest.raises(Refused) as refused:
        bring_questions(writeup=WriteUpFactory(), questions=(), now=LATER)
    assert "has no text yet" in refused.value.details[0]
