"""Is what must not be done refused, in words, with nothing written?"""

import re

import pytest
from django.db import DatabaseError, connection, transaction
from django.test import Client
from playwright.sync_api import expect

from tests.journeys.test_to_alone import answer_rightly, sit_the_quiz
from tests.training.shop import make_ready, sit
from training.models import SignOff


def test_a_wrong_password_signs_nothing(shop, walk):
    make_ready(shop, shop.trainee)
    senior = walk(shop.senior).go("/who-may/air-spring/tilda/sign-off/")
    senior.sign(re.compile("^Sign as"), "guessed").sees(
        "This is not your password. Nothing was signed."
    )
    assert not SignOff.objects.filter(person=shop.trainee).exists()
    senior.sign(re.compile("^Sign as")).sees("Signed:")


def test_five_wrong_passwords_close_the_door_for_a_while(shop, walk):
    visitor = walk()
    visitor.expected.add(429)
    # five are free, and each further one waits longer than a browser takes to type
    for _ in range(5):
        guessed = {"username": shop.senior.login, "password": "guessed"}
        assert Client().post("/sign-in/", guessed).status_code == 200
    for _ in range(3):
        visitor.sign_in(shop.senior, "guessed")
    visitor.sees("Too many wrong passwords")
    visitor.sign_in(shop.senior).sees("Too many wrong passwords")


def test_nobody_finds_a_way_to_sign_for_themselves(shop, walk):
    senior = walk(shop.senior).go("/who-may/air-spring/sol/")
    assert not senior.has("link", re.compile("Sign off|Observe|Stand down"))
    senior.go("/who-may/air-spring/sol/sign-off/").sees(
        "You cannot sign for yourself. Ask somebody else."
    )
    assert not senior.page.locator("[name=password]").count()


def test_a_critical_question_wrong_is_not_passed_whatever_the_percentage(shop, walk):
    trainee = walk(shop.trainee).press(re.compile("Start the quiz"))
    sit_the_quiz(trainee, amount="40 N·m").sees(
        "not passed", "Every critical question must be right, whatever the result.", "75 %"
    )
    trainee.click(re.compile("Let the air out")).sees("Let the air out")
    assert trainee.page.url.endswith("#step-let-air-out")
    assert trainee.page.locator("#step-let-air-out").is_visible()


def test_an_ended_sitting_stays_as_it_is(shop, walk):
    start = f"/sitting/{sit(shop.trainee, shop.quiz).pk}/"
    trainee = walk(shop.trainee).go(f"{start}1/").sees("passed")
    assert trainee.path == f"{start}result/"


def test_a_released_revision_is_not_edited(shop, walk):
    senior = walk(shop.senior).go("/write-ups/air-spring-service/1/")
    assert not senior.has("link", re.compile("Edit"))
    senior.go("/write-ups/air-spring-service/1/edit/").sees("You can change only a draft.")
    with (
        pytest.raises(DatabaseError, match="can be neither changed nor deleted"),
        transaction.atomic(),
    ):
        connection.cursor().execute("UPDATE procedures_revision SET text = 'other'")


def test_a_trainee_is_told_plainly(shop, walk):
    trainee = walk(shop.trainee)
    for path, status in (
        ("/who-may/", 403),
        ("/who-may/air-spring/mika/", 404),
        ("/who-may/air-spring/mika/sign-off/", 403),
        ("/people/", 403),
        ("/book/", 403),
        ("/questions/", 403),
        ("/write-ups/new/", 403),
        ("/nowhere/", 404),
    ):
        trainee.go(path, expect=status)
        assert "Traceback" not in trainee.text, path
        assert trainee.has("link", re.compile("bench", re.IGNORECASE)), path


def test_a_question_page_does_not_give_the_answer_away(shop, walk):
    trainee = walk(shop.trainee).press(re.compile("Start the quiz"))
    start = trainee.path
    for place in range(1, 5):
        source = trainee.go(f"{start}{place}/").page.content()
        for secret in (
            "The rag catches the oil.",
            "That sprays oil mist.",
            "28 ± 2",
            "Because of the oil.",
        ):
            assert secret not in source
        answer_rightly(trainee)
        for secret in ("The rag catches the oil.", "Because of the oil."):
            assert secret not in trainee.page.content()


def test_a_page_that_takes_long_says_so_and_no_other(shop, walk):
    owner = walk(shop.owner)
    page = owner.page
    told = page.locator("#waiting")
    expect(told).to_be_hidden()
    page.evaluate("""() => {
        const told = document.getElementById("waiting");
        const keep = () => { if (!told.hidden) sessionStorage.setItem("told", told.innerText); };
        new MutationObserver(keep).observe(
            told, { attributes: true, childList: true, subtree: true });
    }""")
    held = []
    page.route("**/levels/", lambda route: held.append(route))
    page.get_by_role("link", name="Levels", exact=True).click(no_wait_after=True)
    page.wait_for_timeout(2300)  # the page itself cannot be asked while another one is on its way
    held[0].continue_()
    page.wait_for_url("**/levels/")
    expect(told).to_be_hidden()
    assert (
        page.evaluate("sessionStorage.getItem('told')")
        == "The site is still working on this. Seconds so far: 2"
    )
    owner.sees("Service levels")
