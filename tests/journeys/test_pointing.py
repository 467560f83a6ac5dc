"""Can a spot be pointed at with a finger, with the keys alone, and without a script; and pairs be
matched by keys?
"""

import pytest

from quizzes.actions.sittings import start_sitting
from quizzes.models import Answer, Question
from tests.quizzes.factories import QuizFactory, VersionFactory
from tests.training.shop import NOW, TODAY

# Read off the drawing leg-top-stack of the library (viewBox 0 0 320 246): the foam ring is hatched
# from 46 to 66 across and from 96 to 132 down, and again on the other side of the cut.
SPOT = {"drawing": "leg-top-stack", "regions": [{"x": 44, "y": 93, "width": 24, "height": 41}]}


@pytest.fixture
def sitting(shop, time_machine):
    """The trainee's sitting with a spot and pairs."""
    time_machine.move_to(NOW, tick=True)
    for name, traits in {"spot": {"point": True, "asked": SPOT}, "pairs": {"match": True}}.items():
        question = Question.objects.create(writeup=shop.writeup, name=name)
        VersionFactory(question=question, **traits)
    quiz = QuizFactory(writeups=[shop.writeup], size=9)
    return start_sitting(
        quiz=quiz, person=shop.trainee, pass_percent=75, now=NOW, seed=1, today=TODAY
    )


def place_of(sitting, kind):
    return sitting.answers.get(version__kind=kind).place


def given(sitting, kind):
    return Answer.objects.get(sitting=sitting, version__kind=kind).given


@pytest.fixture
def at_the_spot(shop, sitting, walk):
    return walk(shop.trainee).go(f"/sitting/{sitting.pk}/{place_of(sitting, 'point at it')}/")


def test_a_tap_on_the_drawing_points_there(sitting, at_the_spot):
    page = at_the_spot.page
    assert page.locator(".spot text").count() == 0  # the names of the parts would tell
    box = page.locator(".spot .over").bounding_box()
    page.mouse.click(box["x"] + box["width"] * 56 / 320, box["y"] + box["height"] * 114 / 246)
    assert page.locator(".cross").is_visible()
    at_the_spot.next()
    x, y = given(sitting, "point at it")
    # A tap lands on a whole pixel; at 360 px of width one is not quite a unit of the drawing.
    assert abs(x - 56) <= 2
    assert abs(y - 114) <= 2


def test_the_keys_alone_choose_a_cell_and_the_cross_follows(sitting, at_the_spot):
    page = at_the_spot.page
    while page.evaluate("document.activeElement.name") != "cell":
        page.keyboard.press("Tab")
    page.keyboard.press("Space")
    for _ in range(10):
        page.keyboard.press("ArrowRight")
    # Ten on from A1 is C2. Six rows lie over 246 units, eight columns over 320: its middle is at
    # 100 and 61.5.
    assert page.locator("[name=across]").input_value() == "100"
    assert page.locator(".cross circle").get_attribute("cx") == "100"
    page.locator("[name=down]").fill("99")
    assert page.locator(".cross circle").get_attribute("cy") == "99"
    with page.expect_navigation():
        page.keyboard.press("Enter")
    at_the_spot.go(f"/sitting/{sitting.pk}/")
    assert given(sitting, "point at it") == [100, 99]


def test_a_cell_and_pairs_need_no_script(shop, sitting, walk):
    walker = walk(shop.trainee, scripts=False).go(
        f"/sitting/{sitting.pk}/{place_of(sitting, 'point at it')}/"
    )
    walker.page.locator(".cells label").nth(17).click()
    walker.next()
    # The eighteenth cell is B3: its middle lies at 60 across and 102.5 down.
    assert given(sitting, "point at it") == [60, 102]
    walker.go(f"/sitting/{sitting.pk}/{place_of(sitting, 'match')}/")
    for left, right in (
        ("Dust wiper", "lip outwards"),
        ("Oil seal", "cup towards the oil"),
        ("Foam ring", "under the crown"),
    ):
        walker.page.get_by_label(left).select_option(right)
    walker.next()
    assert given(sitting, "match") == [0, 1, 3]
