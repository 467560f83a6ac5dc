"""What do those who write questions see, and how do questions come in?"""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext

from quizzes.models import QuestionVersion, QuestionWithdrawn
from quizzes.reports.bank import questions_text
from tests.procedures.factories import RevisionFactory
from tests.quizzes.factories import ReleasedFactory, VersionFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def writeup(quiz):
    return quiz.writeups.get()


@pytest.fixture
def editor(client, senior, writeup):
    """Posts a text of questions to the page of the write-up."""
    client.force_login(senior)
    return lambda **data: client.post(f"/questions/{writeup.name}/edit/", data)


def test_the_list_names_each_question_with_its_kind_steps_and_version(client, senior, writeup):
    client.force_login(senior)
    text = client.get("/questions/").text
    for word in ("Stem of order?", "put in order", "give the amount", "critical", writeup.title):
        assert word in text
    assert "not asked</span>" not in text


def test_the_list_says_which_question_is_not_asked_and_why(client, senior, writeup):
    client.force_login(senior)
    VersionFactory(question__writeup=writeup, steps=["gone"])
    VersionFactory(question__writeup=RevisionFactory().writeup)
    text = client.get("/questions/").text
    assert "The write-up has no step “gone”." in text
    assert "no released revision yet" in text


def test_a_question_is_shown_with_its_right_answer(client, senior, writeup):
    client.force_login(senior)
    assert "The rag catches the oil." in client.get(f"/questions/{writeup.name}/one/").text
    assert "28 ± 2 N·m" in client.get(f"/questions/{writeup.name}/torque/").text
    # By hand: the air is out before the chamber opens, the guard is on before it comes off:
    # 4!/(2·2) = 6 of 24 orders.
    assert "6 of 24 orders are right" in client.get(f"/questions/{writeup.name}/order/").text
    assert client.get(f"/questions/{writeup.name}/none/").status_code == 404


def test_the_editor_begins_with_what_is_there(client, senior, writeup):
    client.force_login(senior)
    assert "Stem of torque?" in client.get(f"/questions/{writeup.name}/edit/").text
    assert client.get(f"/questions/{ReleasedFactory().name}/edit/").status_code == 200
    assert client.get("/questions/none/edit/").status_code == 404


def test_saving_writes_new_versions_by_the_writer(editor, writeup, senior):
    text = (
        questions_text(writeup)
        .replace("Stem of one?", "How do you let it out?")
        .replace("\n", "\r\n")
    )
    got = editor(text=text, save="yes")
    assert got.url == "/questions/"
    version = QuestionVersion.objects.get(number=2)
    assert (version.stem, version.author, version.question.name) == (
        "How do you let it out?",
        senior,
        "one",
    )
    editor(text=text, save="yes")
    assert QuestionVersion.objects.filter(number__gt=1).count() == 1


def test_a_file_takes_the_place_of_the_text(editor, writeup):
    text = questions_text(writeup).replace("Stem of one?", "From a file?")
    editor(text="rubbish", file=SimpleUploadedFile("q.yaml", text.encode()), save="yes")
    assert QuestionVersion.objects.filter(stem="From a file?").exists()


def test_checking_saves_nothing(editor, writeup):
    got = editor(text=questions_text(writeup).replace("Stem of one?", "Other?"), check="yes")
    assert "All 4 questions can be read and fit the write-up" in got.text
    assert QuestionVersion.objects.count() == 4


@pytest.mark.parametrize(
    ("change", "word"),
    [
        (("kind: choose one", "kind: guess"), "must be one of"),
        (("- let-air-out\n", "- gone\n"), "no step “gone”"),
        (("writeup: ", "writeup: not-"), "belongs to the write-up"),
        (("questions:", "questions"), "not YAML that can be read"),
    ],
)
def test_what_does_not_fit_is_told_and_the_typed_text_stays(editor, writeup, change, word):
    text = questions_text(writeup).replace("Stem of one?", "Typed & kept?").replace(*change)
    got = editor(text=text, save="yes")
    assert got.status_code == 200
    assert word in got.text
    assert "Typed &amp; kept?" in got.text
    assert QuestionVersion.objects.count() == 4


def test_an_empty_text_and_a_file_that_is_no_text_are_told(editor):
    assert "Type the questions, or choose a file" in editor(text="").text
    got = editor(text="kept", file=SimpleUploadedFile("q.yaml", b"\xff\xfe\x00"))
    assert "not text in UTF-8" in got.text
    assert "kept" in got.text


@pytest.mark.parametrize(
    ("person", "status"), [("trainee", 403), ("mechanic", 403), ("senior", 200), ("owner", 200)]
)
def test_only_those_who_write_see_questions(request, client, writeup, person, status):
    client.force_login(request.getfixturevalue(person))
    for url in (
        "/questions/",
        f"/questions/{writeup.name}/edit/",
        f"/questions/{writeup.name}/one/",
    ):
        assert client.get(url).status_code == status
    assert client.post(f"/questions/{writeup.name}/edit/", {"text": "x"}).status_code == status


def test_a_question_is_looked_for_by_its_words_its_steps_and_its_state(client, senior, writeup):
    client.force_login(senior)

    def found(**said):
        shown = client.get("/questions/", said).context["found"]
        return {question.name for _, question in shown}

    everything = found()
    assert {"one", "order", "torque"} <= everything
    assert found(words="stem ORDER") == {"order"}
    assert found(words="guard-shaft") < everything
    assert found(kind="give the amount") == {"torque"}
    assert found(state="not-asked") == set()
    assert found(state="asked") == everything
    assert found(writeup=writeup.name, words="nothing like it") == set()
    # what cannot be read narrows nothing, and is told
    assert found(kind="sing") == everything
    assert "Select a valid choice" in client.get("/questions/?kind=sing").text


def test_the_list_takes_the_same_number_of_queries_for_a_big_shop(client, senior, quiz):
    client.force_login(senior)
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as queries:
            assert client.get("/questions/").status_code == 200
        counts.append(len(queries))
        writeup = ReleasedFactory()
        for _ in range(20):
            VersionFactory(question__writeup=writeup, order=True)
            VersionFactory(question__writeup=ReleasedFactory())
    assert counts[0] == counts[1]


TWO_OPTIONS = """\
writeup: {name}
questions:
  - name: two
    kind: choose one
    steps: [let-air-out]
    stem: What is first?
    options:
      - {{text: air, right: yes}}
      - {{text: oil}}
"""
ADVICE = "With 2 options every second guess is right."


def test_editor_list_and_question_show_the_advice(client, editor, writeup):
    text = TWO_OPTIONS.format(name=writeup.name)
    page = editor(text=text, check="yes").text
    assert ADVICE in page
    assert "Nothing is saved yet." in page
    editor(text=text, save="yes")
    assert ADVICE in client.get(f"/questions/{writeup.name}/two/").text
    assert "1 suggestion" in client.get("/questions/").text


# "Trojan Source" (N. Boucher, R. Anderson, 2021): marks of direction make a text show other words
# than it holds.
TROJAN, PLAIN = "The seal is \u202enot\u202c seated.\u200b", "The seal is not seated."


@pytest.mark.parametrize("as_file", [True, False])
def test_questions_come_in_without_letters_that_nobody_sees(editor, writeup, as_file):
    text = questions_text(writeup).replace("Stem of one?", TROJAN, 1)
    said = {"file": SimpleUploadedFile("bank.yaml", text.encode())} if as_file else {"text": text}
    assert editor(**said, **{"save": "yes"}).status_code == 302
    assert QuestionVersion.objects.order_by("pk").last().stem == PLAIN


def test_a_question_is_withdrawn_for_a_reason_without_them(client, senior, writeup):
    client.force_login(senior)
    client.post(f"/questions/{writeup.name}/one/withdraw/", {"version": "1", "reason": TROJAN})
    assert QuestionWithdrawn.objects.get().reason == PLAIN


def test_a_letter_that_nobody_sees_does_not_come_in_as_an_escape_either(editor, writeup):
    text = questions_text(writeup).replace("Stem of one?", "Stem of one again?", 1)
    assert (
        editor(text=text.replace("right: yes", 'right: "yes"', 1), check="yes").status_code == 200
    )
    spoilt = (
        "writeup: "
        + writeup.name
        + '\nquestions:\n  - name: one\n    stem: "It is \\u202enot\\u202c right."\n'
    )
    assert "There is an invisible letter (U+202E) here." in editor(text=spoilt, save="yes").text
    assert QuestionVersion.objects.filter(number__gt=1).count() == 0
