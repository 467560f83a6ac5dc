"""Does a senior clear the way to the next sitting with a signature, and does the page say so?"""

import datetime

import pytest
from django.urls import reverse

from procedures.records.refused import Refused
from quizzes.actions.questions import set_quiz_rules
from quizzes.actions.sittings import end_sitting, save_answer, start_sitting
from quizzes.models import GoneThrough, Talk
from tests.quizzes.factories import right_answer
from tests.training.factories import PASSWORD
from tests.training.shop import NOW, TODAY, proof, sit
from training.actions.clearing import sign_gone_through, sign_talk
from training.records.clearing import clearing_sheet
from training.records.keeping import faults

WHO = "/who-may/air-spring/mika/"


@pytest.fixture
def failed(shop):
    """The mechanic's sitting that was not passed, in a quiz with a wait."""
    set_quiz_rules(quiz=shop.quiz, size=4, wait_days=5)
    return sit(shop.mechanic, shop.quiz, wrong=("torque", "one"))


def test_from_a_refusal_to_the_next_sitting(shop, failed, as_, time_machine):
    time_machine.move_to(NOW, tick=False)
    told = as_(shop.mechanic).post("/levels/air-spring/quiz/", follow=True).text
    assert "The last sitting was not passed, so the next one can begin on 30 Nov 2026" in told
    assert "Go through the missed steps" not in as_(shop.mechanic).get(WHO).text
    assert f"/gone-through/{failed.pk}/" in as_(shop.senior).get(WHO).text
    url = f"/gone-through/{failed.pk}/"
    page = as_(shop.senior).get(url)
    sheet = clearing_sheet("gone through", sitting=failed, signer=shop.senior, on=TODAY)
    assert sheet.meaning in page.text
    steps = [step.key for step in sheet.steps]
    assert steps == ["air-spring-service/let-air-out"]
    given = {"steps": steps, "password": "wrong", "shown": sheet.digest}
    assert "not your password" in as_(shop.senior).post(url, given).text
    assert (
        "Tick each step"
        in as_(shop.senior).post(url, given | {"steps": [], "password": PASSWORD}).text
    )
    assert not GoneThrough.objects.exists()
    assert as_(shop.senior).post(url, given | {"password": PASSWORD}).url == WHO
    row = GoneThrough.objects.get()
    assert (row.by.pk, row.printed_name, row.steps) == (
        shop.senior.pk,
        "Sol Senior",
        [["air-spring-service", "let-air-out"]],
    )
    assert not list(faults())
    assert "/sitting/" in as_(shop.mechanic).post("/levels/air-spring/quiz/").url


def test_a_talk_is_written_down_after_three_in_a_row(shop, as_, time_machine):
    time_machine.move_to(NOW, tick=False)
    set_quiz_rules(quiz=shop.quiz, size=4, wait_days=0, sittings_a_day=0)
    for _ in range(3):
        last = sit(shop.mechanic, shop.quiz, wrong=("torque",))
    assert (
        "Talk with a senior mechanic"
        in as_(shop.mechanic).post("/levels/air-spring/quiz/", follow=True).text
    )
    assert f"/talk/{last.pk}/" in as_(shop.senior).get(WHO).text
    sheet = clearing_sheet("talk", sitting=last, signer=shop.senior, on=TODAY)
    given = {"note": "Torque units were mixed up.", "password": PASSWORD, "shown": sheet.digest}
    assert as_(shop.senior).post(f"/talk/{last.pk}/", given).url == WHO
    assert Talk.objects.get().note == "Torque units were mixed up."
    assert not list(faults())
    assert "/sitting/" in as_(shop.mechanic).post("/levels/air-spring/quiz/").url


def test_a_signature_serves_one_thing_and_one_person(shop, failed):
    sheet = clearing_sheet("gone through", sitting=failed, signer=shop.senior, on=TODAY)
    keys = [step.key for step in sheet.steps]
    common = {"sitting": failed, "on": TODAY, "now": NOW}
    for by, shown, given, words in (
        (shop.senior, sheet.digest, proof(shop.senior, "another thing"), "something else"),
        (shop.senior, sheet.digest, proof(shop.owner, sheet.digest), "something else"),
        (
            shop.mechanic,
            sheet.digest,
            proof(shop.mechanic, sheet.digest),
            "or the owner can do this",
        ),
        (shop.senior, "0" * 64, proof(shop.senior, "0" * 64), "has changed since you opened it"),
    ):
        with pytest.raises(Refused, match=words):
            sign_gone_through(steps=keys, by=by, shown=shown, proof=given, **common)
        with pytest.raises(Refused):
            sign_talk(note="x", by=by, shown=shown, proof=given, **common)
    assert not GoneThrough.objects.exists()
    assert not Talk.objects.exists()


def test_a_sitting_that_was_passed_has_nothing_to_clear(shop, as_):
    passed = sit(shop.mechanic, shop.quiz)
    assert as_(shop.senior).get(f"/gone-through/{passed.pk}/").status_code == 404
    assert as_(shop.senior).get(f"/talk/{passed.pk}/").status_code == 404


def test_the_first_page_tells_of_a_sitting_failed_after_a_pass_with_the_steps_to_go_through(
    shop, as_, clock
):
    sit(shop.mechanic, shop.quiz)
    assert "You did not pass the quiz" not in as_(shop.mechanic).get("/").text
    later = NOW + datetime.timedelta(hours=1)
    sitting = start_sitting(
        quiz=shop.quiz, person=shop.mechanic, pass_percent=75, now=later, seed=1, today=TODAY
    )
    for answer in sitting.answers.select_related("version__question"):
        given = "1 N·m" if answer.version.question.name == "torque" else right_answer(answer)
        save_answer(sitting=sitting, place=answer.place, given=given, now=later)
    clock.move_to(later)
    end_sitting(sitting=sitting, now=later, today=TODAY)
    text = as_(shop.mechanic).get("/").text
    assert "You did not pass the quiz on 25 Nov 2026." in text
    assert "#step-let-air-out" in text
    assert f"/sitting/{sitting.pk}/result/" in text
    assert "You did not pass the quiz" not in as_(shop.trainee).get("/").text
    to_sign = (
        as_(shop.senior)
        .get(reverse("training:sign-off", args=["air-spring", shop.mechanic.login]))
        .text
    )
    assert "This cannot be signed today" in to_sign
    assert "Quiz of Air-spring service" in to_sign
    sit(
        shop.mechanic,
        shop.quiz,
        now=later + datetime.timedelta(days=1),
        today=TODAY + datetime.timedelta(days=1),
    )
    clock.move_to(later + datetime.timedelta(days=1))
    assert "You did not pass the quiz" not in as_(shop.mechanic).get("/").text


def test_of_a_sitting_ended_early_the_first_page_names_no_step(shop, as_):
    sit(shop.mechanic, shop.quiz, wrong=("torque", "one", "all"))
    text = as_(shop.mechanic).get("/").text
    assert "You did not pass the quiz" in text
    assert "#step-" not in text


def test_a_quiz_without_a_wait_is_told_to_the_owner(shop, as_):
    assert "has no wait" not in as_(shop.owner).get("/").text
    set_quiz_rules(quiz=shop.quiz, size=4, wait_days=0, by=shop.owner)
    assert "The quiz of Air-spring service has no wait" in as_(shop.owner).get("/").text
    page = as_(shop.owner).get("/quizzes/air-spring/").text
    assert "can sit it again at once" in page
    assert "Days to wait after a quiz that was not passed: 1 → 0" in page
    assert "Odile Owner" in page
    assert "has no wait" not in as_(shop.senior).get("/").text
