"""Does a refresher ask what is about to be forgotten, critical first, and tell at once what is
right?
"""

import datetime
from decimal import Decimal

import pytest

from procedures.records.refused import Refused
from quizzes.actions.questions import set_quiz_rules
from quizzes.actions.refreshers import answer_refresher, start_round
from quizzes.actions.reviews import withdraw_question
from quizzes.actions.sittings import end_sitting, save_answer, start_sitting
from quizzes.models import Question, RefresherAnswer, RefresherRound
from quizzes.records.recalling import count_due, list_asked_on, list_remembered
from quizzes.reports.recall import recall_page
from tests.procedures.factories import NOW
from tests.quizzes.factories import TODAY, right_answer, typed_answer

pytestmark = pytest.mark.usefixtures("book")

YEAR = TODAY + datetime.timedelta(days=365)
LATER = NOW + datetime.timedelta(days=365)


@pytest.fixture
def sat(quiz, trainee):
    """The trainee has sat the quiz today: the torque wrong, the rest right."""
    sitting = start_sitting(
        quiz=quiz, person=trainee, pass_percent=75, now=NOW, seed=3, today=TODAY
    )
    for answer in sitting.answers.select_related("version__question"):
        given = "8 N·m" if answer.version.question.name == "torque" else right_answer(answer)
        save_answer(sitting=sitting, place=answer.place, given=given, now=NOW)
    return end_sitting(sitting=sitting, now=NOW, today=TODAY)


def names(kept):
    return [
        answer.version.question.name for answer in kept.answers.select_related("version__question")
    ]


def test_what_was_wrong_is_due_first_and_what_was_right_later(sat, trainee):
    """By the published intervals: after one wrong answer 1 day, after one right answer 2
    (fixtures/published, FSRS).
    """
    found = {
        one.version.question.name: one
        for one in list_remembered(trainee.pk, TODAY, list_asked_on(TODAY))
    }
    assert {name: (one.due - TODAY).days for name, one in found.items()} == {
        "torque": 1,
        "one": 2,
        "all": 2,
        "order": 2,
    }
    assert [
        count_due(trainee.pk, TODAY + datetime.timedelta(days=days)) for days in (0, 1, 2, 3)
    ] == [0, 1, 1, 4]


def test_the_critical_question_comes_first(sat, trainee):
    kept = start_round(person=trainee, now=LATER, today=YEAR, seed=1)
    assert names(kept)[0] == "torque"
    assert sorted(names(kept)) == ["all", "one", "order", "torque"]


def test_a_lower_wanted_recall_asks_later(sat, quiz, trainee):
    soon = TODAY + datetime.timedelta(days=3)
    # recall of what was right is 0.87 by then, of what was wrong 0.66 (the formula below)
    assert count_due(trainee.pk, soon) == 4
    set_quiz_rules(quiz=quiz, size=4, recall_percent=70)
    assert count_due(trainee.pk, soon) == 1


def test_as_many_are_due_as_can_still_be_asked(sat, trainee, senior):
    """The number on the first page, which looks at what is nearly forgotten only, and the list of
    all that is remembered.
    """

    def numbers():
        days = [TODAY + datetime.timedelta(days=days) for days in range(6)]
        listed = [list_remembered(trainee.pk, day, list_asked_on(day)) for day in days]
        assert [count_due(trainee.pk, day) for day in days] == [
            sum(one.is_due for one in found) for found in listed
        ]
        return sum(map(len, listed))

    before = numbers()
    torque = Question.objects.get(name="torque")
    withdraw_question(question=torque, number=1, reason="The key is wrong.", by=senior, now=LATER)
    assert numbers() == before - 6


def test_an_answer_is_marked_at_once_and_stays(sat, trainee):
    kept = start_round(person=trainee, now=LATER, today=YEAR, seed=1)
    answer = answer_refresher(kept=kept, place=1, given="28 N·m", now=LATER, today=YEAR)
    assert (answer.marks, answer.on) == (Decimal(1), YEAR)
    with pytest.raises(Refused, match="answered this question already"):
        answer_refresher(kept=kept, place=1, given="8 N·m", now=LATER, today=YEAR)
    assert count_due(trainee.pk, YEAR) == 3


def test_a_round_is_taken_up_again_on_the_same_day(sat, trainee):
    kept = start_round(person=trainee, now=LATER, today=YEAR, seed=1)
    answer_refresher(kept=kept, place=1, given="28 N·m", now=LATER, today=YEAR)
    assert start_round(person=trainee, now=LATER, today=YEAR) == kept
    assert start_round(person=trainee, now=LATER, today=YEAR + datetime.timedelta(days=1)) != kept


def test_without_an_answer_ever_there_is_nothing_to_refresh(quiz, trainee):
    assert count_due(trainee.pk, TODAY) == 0
    with pytest.raises(Refused, match="You have no practice questions yet"):
        start_round(person=trainee, now=NOW, today=TODAY)


def test_in_the_middle_of_a_quiz_there_is_no_refresher(sat, quiz, trainee, client):
    """It tells what is right at once, which the open sitting may ask."""
    kept = start_round(person=trainee, now=LATER, today=YEAR, seed=1)
    start_sitting(quiz=quiz, person=trainee, pass_percent=75, now=LATER, seed=4, today=YEAR)
    with pytest.raises(Refused, match="in the middle of a quiz"):
        start_round(person=trainee, now=LATER, today=YEAR)
    with pytest.raises(Refused, match="in the middle of a quiz"):
        answer_refresher(kept=kept, place=1, given="28 N·m", now=LATER, today=YEAR)
    client.force_login(trainee)
    for closed in (f"/refresher/{kept.pk}/1/", f"/refresher/{kept.pk}/"):
        assert client.get(closed).status_code == 403
    assert "in the middle of a quiz" in client.get("/refresher/").text


@pytest.mark.parametrize(("place", "given", "says"), [(9, "x", "no such question"), (1, [1], None)])
def test_what_cannot_be_an_answer_is_refused(sat, trainee, place, given, says):
    kept = start_round(person=trainee, now=LATER, today=YEAR, seed=1)
    with pytest.raises(Refused, match=says):
        answer_refresher(kept=kept, place=place, given=given, now=LATER, today=YEAR)
    assert not RefresherAnswer.objects.filter(given__isnull=False).exists()


# --- the pages


@pytest.fixture
def round_(sat, trainee, client):
    client.force_login(trainee)
    client.post("/refresher/")
    return RefresherRound.objects.get()


def test_a_whole_round_by_its_pages(round_, client):
    for answer in round_.answers.order_by("place"):
        page = f"/refresher/{round_.pk}/{answer.place}/"
        asked = client.get(page).text
        assert "Because of the oil." not in asked
        assert "28 ± 2" not in asked
        given = "8 N·m" if answer.version.kind == "give the amount" else typed_answer(answer)
        assert client.post(page, {"answer": given}).url == page
        told = client.get(page).text
        assert (": right" if answer.version.kind != "give the amount" else ": wrong") in told
        assert "In the write-up:" in told
    end = client.get(f"/refresher/{round_.pk}/").text
    assert "3 of 4 right" in end
    assert "again from" in end


def test_moving_a_step_saves_nothing(round_, client):
    answer = round_.answers.get(version__kind="put in order")
    page = f"/refresher/{round_.pk}/{answer.place}/"
    moved = client.post(page, {"answer": ["1", "2", "3", "4"], "move": "down-1"})
    assert moved.url.startswith(f"{page}?to=2&to=1")
    assert RefresherAnswer.objects.filter(given__isnull=False).count() == 0


def test_an_answer_out_of_shape_is_told_and_not_kept(round_, client):
    answer = round_.answers.get(version__kind="choose one")
    assert (
        "Choose one of the options."
        in client.post(f"/refresher/{round_.pk}/{answer.place}/", {}).text
    )
    amount = round_.answers.get(version__kind="give the amount")
    got = client.post(f"/refresher/{round_.pk}/{amount.place}/", {"answer": "28 nm"})
    assert "Not saved: “28 nm” cannot be read." in got.text
    assert 'value="28 nm"' in got.text
    assert not round_.answers.filter(given__isnull=False).exists()
    assert client.get(f"/refresher/{round_.pk}/99/").status_code == 404


def test_a_round_is_nobody_elses(round_, client, senior):
    client.force_login(senior)
    assert client.get(f"/refresher/{round_.pk}/").status_code == 404
    assert client.get(f"/refresher/{round_.pk}/1/").status_code == 404


def test_a_senior_sees_which_critical_steps_are_fading_for_whom(
    sat, quiz, client, senior, trainee, time_machine
):
    time_machine.move_to(NOW)
    client.force_login(senior)
    page = client.get(f"/quizzes/{quiz.name}/recall/").text
    assert trainee.name in page
    # on the day itself recall is whole
    assert "Everybody knows every critical step well enough." in page
    (person,) = recall_page(quiz, YEAR).people
    (fading,) = person.steps
    # By hand from FSRS-6: stability 0.212 after one wrong answer (w0), t = 365 days: (1 +
    # F·t/S)^−0.1542, F = 0.980346494413.
    assert fading.recall == f"{(1 + 0.980346494413 * 365 / 0.212) ** -0.1542 * 100:.0f}"
    assert person.below == "1 of 1"
