"""Which rows do tests on quizzes need?"""

import datetime

import factory
from factory.django import DjangoModelFactory

from procedures.models import ShopRules
from quizzes.actions.questions import RULES
from quizzes.models import Question, QuestionVersion, Quiz, QuizRules
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
ORDER = {
    "steps": ["let-air-out", "guard-shaft", "open-chamber", "guard-off"],
    "variant": {"ring": "prong"},
}
AMOUNT = {"amount": "28 ± 2 N·m"}

MATCH = {
    "pairs": [
        {"left": "Dust wiper", "right": "lip outwards", "says": "It keeps the dirt out."},
        {"left": "Oil seal", "right": "cup towards the oil", "says": "The pressure opens the cup."},
        {"left": "Foam ring", "right": "between the two", "says": "It holds the oil."},
    ],
    "spare": ["under the crown"],
}
POINT = {
    "drawing": "stand-in",
    "regions": [{"x": 11, "y": 13, "width": 57, "height": 49}, {"x": 133, "y": 91, "radius": 17}],
}
# Stands in for a drawing of the shop: 160 wide, 120 high, not beginning at 0.
DRAWING = (
    '<svg viewBox="8 4 160 120" data-mirrored="{mirror}"><title>A leg</title><path id="leg-{uid}" '
    'd="M0 0h9"/><text>{labels}</text></svg>'
)


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
    """Version 1 of a question; `order=True`, `several=True` or `amount=True` for another kind than
    choose one.
    """

    class Meta:
        model = QuestionVersion

    class Params:
        several = factory.Trait(kind="choose all", asked=ALL)
        order = factory.Trait(kind="put in order", asked=ORDER, steps=ORDER["steps"])
        amount = factory.Trait(kind="give the amount", asked=AMOUNT)
        match = factory.Trait(kind="match", asked=MATCH)
        point = factory.Trait(kind="point at it", asked=POINT)

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

    @factory.post_generation
    def writeups(self, create, extracted, **kwargs):
        asks_about(self, *extracted or [])

    @factory.post_generation
    def size(self, create, extracted, **kwargs):
        given_rules(self, size=extracted or 4)


def given_rules(quiz, **changed):
    """The quiz with a further version of its rules. At first one may sit again at once, so that a
    test need not wait; what a new quiz of the shop asks is tested by itself."""
    was = quiz.rules
    kept = (
        {field: getattr(was, field) for field in RULES}
        if was.pk
        else {"wait_days": 0, "sittings_a_day": 0}
    )
    QuizRules.objects.create(quiz=quiz, recorded_at=NOW, **kept | changed)
    quiz.read_anew()
    return quiz


def asks_about(quiz, *writeups):
    """The quiz, asking about these write-ups."""
    return given_rules(quiz, writeups=sorted(writeup.name for writeup in writeups))


def quiz_of_four(writeup=None, **kwargs):
    """A quiz on one write-up with one question of each kind; the amount is the critical one."""
    writeup = writeup or ReleasedFactory()
    for name, traits in {
        "one": {},
        "all": {"several": True},
        "order": {"order": True},
        "torque": {"amount": True},
    }.items():
        VersionFactory(
            question__writeup=writeup, question__name=name, critical=name == "torque", **traits
        )
    return QuizFactory(writeups=[writeup], **kwargs)


def shared_quiz():
    """A quiz of four whose rows can be put in beside those of any process: no other row is called
    by names without a number.
    """
    return quiz_of_four(writeup=ReleasedFactory(name="service-of-all"), name="quiz-of-all")


def quiz_of_six(**kwargs):
    """A quiz with one question of every kind; the drawing must stand in (fixture `drawing`)."""
    quiz = quiz_of_four(size=6, **kwargs)
    for name, traits in {"pairs": {"match": True}, "spot": {"point": True}}.items():
        VersionFactory(question__writeup=quiz.writeups.get(), question__name=name, **traits)
    return quiz


def right_answer(answer):
    """What is wholly right at this place."""
    asked = answer.version.asked
    if answer.version.kind == "choose one":
        return next(place for place, option in enumerate(asked["options"]) if option["right"])
    if answer.version.kind == "choose all":
        return [place for place, option in enumerate(asked["options"]) if option["right"]]
    if answer.version.kind == "match":
        return list(range(len(asked["pairs"])))
    if answer.version.kind == "point at it":
        return [20, 20]
    return asked["steps"] if answer.version.kind == "put in order" else "28 N·m"


def wrong_answer(answer):
    """An answer at this place that earns no mark at all."""
    asked = answer.version.asked
    match answer.version.kind:
        case "choose one" | "choose all":
            wrong = next(
                place for place, option in enumerate(asked["options"]) if not option["right"]
            )
            return wrong if answer.version.kind == "choose one" else [wrong]
        case "match":
            return [1, 2, 3]  # the first three partners, each one place on
        case "point at it":
            return [100, 100]
        case _:
            return asked["steps"][::-1] if answer.version.kind == "put in order" else "1 N·m"


def typed_answer(answer):
    """What a browser sends as the wholly right answer to a question of words, by the places that
    were shown.
    """
    right, order = right_answer(answer), answer.shown["order"]
    match answer.version.kind:
        case "choose one":
            return [str(order.index(right) + 1)]
        case "choose all" | "put in order":
            return [str(order.index(one) + 1) for one in right]
        case _:
            return [right]
