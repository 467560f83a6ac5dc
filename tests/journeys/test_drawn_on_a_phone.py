"""Can the letters of a drawing be read on a phone: in a write-up, a stem and beside options?"""

import re

import pytest

from procedures.records.library import library
from procedures.writeup.drawings import place_drawing
from quizzes.actions.sittings import start_sitting
from quizzes.kinds.choose_all import ChooseAll
from quizzes.kinds.choose_one import ChooseOne
from quizzes.kinds.spots import SHOWN
from quizzes.models import Question
from tests.procedures.factories import TEXT, RevisionFactory
from tests.quizzes.factories import QuizFactory, VersionFactory
from tests.quizzes.test_shop_questions import BANK
from tests.training.shop import NOW, TODAY

SMALLEST = 12  # CSS pixels on a window 360 wide: a choice of ours, no source
WIDTH = 320  # units across, as every drawing of the library has
# Of each drawing its width in CSS pixels, whatever stands around it.
WIDTHS = "svgs => svgs.map(svg => svg.getBoundingClientRect().width)"
OPTIONS = ("back-up-ring-low-side", "back-up-ring-both-sides", "back-up-ring-pressure-side")
STEM = "What is it?\n\n![a seal head, cut open](drawing:seal-head-stack)"


def smallest_letters(name, *, labels=True):
    """The smallest font size of a drawing, in its own units; infinite where it has no text."""
    svg = place_drawing(library()[name].svg, uid="x", labels=labels)
    root = float(re.search(r'<svg[^>]*font-size="([\d.]+)"', svg)[1])
    own = [re.search(r'font-size="([\d.]+)"', text) for text in re.findall(r"<text[^>]*>", svg)]
    return min((float(size[1]) if size else root for size in own), default=float("inf"))


@pytest.fixture
def question(shop, time_machine):
    """The path of a question with drawings in its stem and beside its options."""
    time_machine.move_to(NOW, tick=True)
    options = [
        {"text": f"Option {place}.", "right": not place, "says": "It is.", "drawing": name}
        for place, name in enumerate(OPTIONS)
    ]
    asked = Question.objects.create(writeup=shop.writeup, name="drawn")
    VersionFactory(question=asked, stem=STEM, asked={"options": options})
    quiz = QuizFactory(writeups=[shop.writeup], size=9)
    sitting = start_sitting(
        quiz=quiz, person=shop.trainee, pass_percent=75, now=NOW, seed=1, today=TODAY
    )
    return f"/sitting/{sitting.pk}/{sitting.answers.get(version__question=asked).place}/"


def test_the_letters_of_a_question_can_be_read_on_a_phone(shop, question, walk):
    page = walk(shop.trainee).go(question).page
    beside = page.locator(".choices .drawing > svg").evaluate_all(WIDTHS)
    (stem,) = page.locator(".drawing[role=img] > svg").evaluate_all(WIDTHS)
    assert len(beside) == len(OPTIONS)
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    for bank in BANK.values():
        for one in bank:
            for _, name in SHOWN.findall(one.stem):
                assert smallest_letters(name) * stem / WIDTH >= SMALLEST, name
            if isinstance(one.asked, ChooseOne | ChooseAll):
                for option in one.asked.options:
                    if option.drawing:
                        size = smallest_letters(option.drawing, labels=False) * min(beside) / WIDTH
                        assert size >= SMALLEST, option.drawing


def test_the_letters_of_a_write_up_can_be_read_on_a_phone(shop, walk):
    """Each drawing of the library, as a page shows it."""
    every = "\n\n".join(f"![{name}](drawing:{name})" for name in library())
    words = "WARNING means death or serious injury."
    text = TEXT.format(title="Drawn").replace(words, f"{words}\n\n{every}", 1)
    assert every in text
    RevisionFactory(writeup__name="drawn", number=1, text=text, released=True, released_on=TODAY)
    page = walk(shop.trainee).go("/write-ups/drawn/1/").page
    widths = page.locator(".drawing > svg").evaluate_all(WIDTHS)
    assert len(widths) == len(library())
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    for name in library():
        assert smallest_letters(name) * min(widths) / WIDTH >= SMALLEST, name
