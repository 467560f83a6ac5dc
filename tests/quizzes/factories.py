"""Which rows do tests on quizzes need?"""

import datetime

import factory
from factory.django import DjangoModelFactory

from procedures.models import ShopRules
from quizzes.models import Question, QuestionVersion, Quiz
from tests.procedures.factories import NOW, RevisionFactory, ShopRulesFactory, WriteUpFactory

TODAY = datetime.date(2026, 11, 25)

ONE = {
    "options": [
        {"text": "In short pulses.", "right": True, "says": "The rag catches the oil."},
        {"text": "In one go.", "right": False, "says": "That sprays oil mist."},
        {"text": "Not at all.", "right": False, "says": "Then a cap can fly off."},
    ]
}
ALL = {
    "options": [
        {"text": "It lies flat.", "right": True, "says": "A tilted ring is out on one side."},
        {"text": "It turns.", "right": True, "says": "A ring beside its groove binds."},
        {"text": "It shines.", "right": False, "says": "Shine tells nothing."},
    ]
}
ORDER = {"steps": ["let-air-out", "guard-shaft", "open-chamber", "guard-off"], "variant": {"ring": "prong"}}
AMOUNT = {"amount": "28 ± 2 N·m"}


class ReleasedFactory(WriteUpFactory):
    """A write-up with a released revision 1, and the rules that it is safe by."""

    class Meta:
        skip_postgeneration_save = True

    @factory.post_generation
    def revision(self, create, extracted, **kwargs):
        if not ShopRules.objects.exists():
            ShopRulesFactory()
        RevisionFactory(writeup=self, released=True, **kwargs)


class QuestionFactory(DjangoModelFactory):
    class Meta:
        model = Question

    writeup = factory.SubFactory(ReleasedFactory)
    name = factory.Sequence(lambda n: f"question-{n}")


class VersionFactory(DjangoModelFactory):
    """Version 1 of a question; `order=True`, `several=True` or `amount=True` for another kind than choose one."""

    class Meta:
        model = QuestionVersion

    class Params:
        several = factory.Trait(kind="choose all", asked=ALL)
        order = factory.Trait(kind="put in order", asked=ORDER, steps=ORDER["steps"])
        amount = factory.Trait(kind="give the amount", asked=AMOUNT)

    question = factory.SubFactory(QuestionFactory)
    number = 1
    kind = "choose one"
    stem = factory.LazyAttribute(lambda row: f"Stem of {row.question.name}?")
    asked = ONE
    steps = ["let-air-out"]
    says = "Because of the oil."
    recorded_at = NOW


class QuizFactory(DjangoModelFactory):
    class Meta:
        model = Quiz
        skip_postgeneration_save = True

    name = factory.Sequence(lambda n: f"quiz-{n}")
    title = "Air-spring service"
    size = 4

    @factory.post_generation
    def writeups(self, create, extracted, **kwargs):
        self.writeups.set(extracted or [])


def quiz_of_four(**kwargs):
    """A quiz on one write-up with one question of each kind; the amount is the critical one."""
    writeup = ReleasedFactory()
    for name, traits in {
        "one": {},
        "all": {"several": True},
        "order": {"order": True},
        "torque": {"amount": True},
    }.items():
        VersionFactory(question__writeup=writeup, question__name=name, critical=name == "torque", **traits)
    return QuizFactory(writeups=[writeup], **kwargs)


def right_answer(answer):
    """What is wholly right at this place."""
    asked = answer.version.asked
    if answer.version.kind == "choose one":
        return next(place for place, option in enumerate(asked["options"]) if option["right"])
    if answer.version.kind == "choose all":
        return [place for place, option in enumerate(asked["options"]) if option["right"]]
    return asked["steps"] if answer.version.kind == "put in order" else "28 N·m"
