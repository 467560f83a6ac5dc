"""Which Django app answers what people know?"""

from django.apps import AppConfig


class QuizzesConfig(AppConfig):
    name = "quizzes"
    verbose_name = "Quizzes"
