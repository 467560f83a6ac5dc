"""Which rows does the middle app keep?"""

from quizzes.models.again import GoneThrough, MoreTime, Talk
from quizzes.models.drafts import DraftDropped
from quizzes.models.questions import (
    Answer,
    Question,
    QuestionVersion,
    QuestionVersionQuerySet,
    Sitting,
)
from quizzes.models.quizzes import Quiz, QuizRules
from quizzes.models.refreshers import RefresherAnswer, RefresherRound
from quizzes.models.reviews import QuestionConfirmed, QuestionWithdrawn

__all__ = [
    "Answer",
    "DraftDropped",
    "GoneThrough",
    "MoreTime",
    "Question",
    "QuestionConfirmed",
    "QuestionVersion",
    "QuestionVersionQuerySet",
    "QuestionWithdrawn",
    "Quiz",
    "QuizRules",
    "RefresherAnswer",
    "RefresherRound",
    "Sitting",
    "Talk",
]
