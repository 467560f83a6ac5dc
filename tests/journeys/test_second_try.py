"""Is a choice kept when it is made, and does a second try come at once, with a script and without,
by hand and by keyboard?
"""

import re

import pytest
from playwright.sync_api import expect

from quizzes.models import Answer, Question
from tests.quizzes.factories import VersionFactory
from tests.training.shop import NOW


@pytest.fixture
def short_quiz(shop):
    """A quiz of one critical question, with another about the same step in the bank."""
    rules = shop.quiz.rules
    for name in ("again", "third"):
        question = Question.objects.create(writeup=shop.writeup, name=name)
        VersionFactory(question=question, critical=True, stem=f"Stem of {name}?")
    rules.pk, rules.size, rules.critical_percent, rules.recorded_at = None, 1, 30, NOW
    rules.save(force_insert=True)
    return shop


def first_question(walker):
    walker.press(re.compile("Start the quiz"))
    return walker.go(f"{walker.path}1/")


def test_a_choice_is_kept_when_it_is_made(short_quiz, walk):
    walker = first_question(walk(short_quiz.trainee))
    box = walker.page.get_by_label("Amount with its unit")
    if box.count():
        box.fill("27 N·m")
        box.press("Tab")
    else:
        walker.page.get_by_label("In one go.").check()
    expect(walker.page.locator("#kept-said")).to_have_text("Your choice is saved.")
    assert Answer.objects.get().given in (1, "27 N·m")
    walker.page.reload()
    assert Answer.objects.count() == 1  # nothing was handed in


@pytest.mark.parametrize("scripts", [True, False])
def test_a_second_try_comes_at_once_and_is_answered_by_keyboard(short_quiz, walk, scripts):
    walker = first_question(walk(short_quiz.trainee, scripts=scripts))
    give_wrong(walker)
    expect(walker.page.get_by_role("heading", level=1)).to_have_text(re.compile(r"^Stem of \w+\?$"))
    walker.sees("Second try for question 1")
    give_wrong(walker)
    walker.page.wait_for_url(re.compile(r"/sitting/\d+/$"))
    walker.sees("second try for question 1", "2 of 2")
    walker.press("End the quiz").sees("not passed", "1, second try: wrong")


def give_wrong(walker):
    page = walker.page
    if page.get_by_label("Amount with its unit").count():
        page.get_by_label("Amount with its unit").fill("1 N·m")
    else:
        page.get_by_label("In one go.").focus()
        page.keyboard.press("Space")
    page.get_by_role("button", name="Next").focus()
    page.keyboard.press("Enter")
