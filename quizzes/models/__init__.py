"""Which rows does the middle app keep?"""

from quizzes.models.questions import Answer, Kind, Question, QuestionVersion, QuestionVersionQuerySet, Quiz, Sitting

__all__ = ["Answer", "Kind", "Question", "QuestionVersion", "QuestionVersionQuerySet", "Quiz", "Sitting"]
