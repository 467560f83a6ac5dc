"""Is a further kind of question one module and one template, as its worked example says?"""

from random import Random

import pytest
from django.template import Context, Template
from django.utils.translation import gettext_lazy

from procedures.models import WriteUp
from quizzes.kinds.registry import KINDS, read_kept
from quizzes.marking.marks import marks
from quizzes.marking.texts import BadQuestions, read_questions
from quizzes.marking.writing import write_questions
from quizzes.models import Answer, Question, QuestionVersion
from quizzes.records.album import NO_PICTURES
from quizzes.records.asking import show_question
from quizzes.records.sources import BesideRevision, Source
from quizzes.records.wording.say import CATALOGUE, say_fault
from quizzes.reports.results import answer_result
from quizzes.reports.sittings import asked_page, given_words
from quizzes.views.forms.questions import answer_form
from tests.architecture.documents import ROOT, example

PLACE = "quizzes/kinds/README.md"
TEXT = """writeup: air-spring-service
questions:
  - name: how-many
    kind: count them
    steps: [let-air-out]
    stem: How many rings are there?
    count: 3
"""
SOURCE = Source(
    "air-spring-service",
    1,
    (ROOT / "fixtures" / "writeups" / "air-spring-service.md").read_text(encoding="utf-8"),
)


@pytest.fixture
def seventh(monkeypatch):
    """The kind of the worked example, registered, with its template at hand."""
    told = {"__name__": "a seventh kind"}
    exec(example(PLACE, "python"), told)  # noqa: S102
    kind = told["CountThem"]
    monkeypatch.setitem(KINDS, kind.kind, kind)
    for code, words in eval(example(PLACE, "py"), {"_": gettext_lazy}).items():  # noqa: S307
        monkeypatch.setitem(CATALOGUE, code, words)
    # `include` takes a template as well as its name.
    monkeypatch.setattr(kind, "template", Template(example(PLACE, "html")))
    return kind


@pytest.fixture
def answer(seventh):
    (text,) = read_questions(TEXT)
    question = Question(name=text.name, writeup=WriteUp(name=text.writeup, title="Air spring"))
    version = QuestionVersion(
        question=question,
        kind=text.asked.kind,
        asked=text.asked.as_json(),
        stem=text.stem,
        steps=[],
    )
    return Answer(
        place=1,
        version=version,
        shown=show_question(version, SOURCE, "", NO_PICTURES, chance=Random(1)),
    )


def rendered(part, **context):
    page = "{% include told.template with part=part %}"
    return Template(page).render(Context({**context, "part": part, "is_own": True}))


def test_the_worked_seventh_kind_is_read_written_kept_marked_and_guessed(seventh):
    (text,) = read_questions(TEXT)
    assert text.asked == seventh(3)
    (again,) = read_questions(write_questions(text.writeup, [text]))
    assert again.asked == text.asked
    assert read_kept("count them", text.asked.as_json()) == text.asked
    assert [marks(text.asked, given).share for given in ("3", "4", None)] == [1, 0, 0]
    assert sum(chance for _, chance in text.asked.guessed(BesideRevision(SOURCE, ""))) == 1
    with pytest.raises(ValueError, match="count-them-missing"):
        marks(text.asked, "three")


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("count: 3", "count: some", "whole number"),
        ("count: 3", "count: 3\n    amount: 3 mm", "`amount` has no meaning"),
        ("count them", "count it", "count them"),
    ],
)
def test_its_faults_are_told_with_their_lines(seventh, old, new, told):
    with pytest.raises(BadQuestions) as caught:
        read_questions(TEXT.replace(old, new))
    assert told in " ".join(map(say_fault, caught.value.faults))


def test_its_question_is_asked_and_its_answer_taken_by_the_form(answer):
    page = asked_page(answer, pk=1, title="Air", total=1, answered=0)
    form = answer_form(page, page.labels, given=None)
    asked = rendered("form", told=page, page=page, form=form)
    assert "How many" in asked
    assert "A whole number." in asked
    filled = answer_form(page, page.labels, given=None, data={"answer": "4"})
    assert filled.is_valid()
    assert filled.given == "4"
    empty = answer_form(page, page.labels, given=None, data={"answer": ""})
    assert "Write a whole number." in str(empty.errors)


def test_its_answer_is_told_after_the_end(answer):
    answer.given, answer.marks = "4", 0
    assert given_words(answer) == "4"
    result = answer_result(answer, SOURCE, "", NO_PICTURES)
    assert "Given: 4. Right: 3." in rendered("told", told=result, answer=result)


def test_its_author_sees_what_is_right(answer):
    asked = answer.version.content()
    page = {"template": asked.template, "key": asked.key_shown(None)}
    assert "Right: 3." in rendered("key", told=page, page=page)
