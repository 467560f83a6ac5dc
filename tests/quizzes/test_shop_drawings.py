"""Do the demo's drawings each have a place, and does none tell the answer of its question?"""

import re

from procedures.records.library import library
from procedures.writeup.drawings import Picture, names_in
from quizzes.kinds.choose_all import ChooseAll
from quizzes.kinds.choose_one import ChooseOne
from quizzes.kinds.spots import SHOWN, drawings_of
from quizzes.records.album import Album
from quizzes.reports.showing import render_html
from tests.for_each import for_each
from tests.quizzes.test_shop_questions import BANK, FIXTURES, newest

SMALL_WORDS = frozenset(
    re.findall(
        r"\w+",
        """a an and are as at be by do does for from go goes has have how in into is it its not of
        off on one or out so than that the then there they this to under up with""",
    )
)
STEMS = [
    (question, alt, name)
    for bank in BANK.values()
    for question in bank
    for alt, name in SHOWN.findall(question.stem)
    if isinstance(question.asked, ChooseOne | ChooseAll)
]


def words(text):
    return set(re.findall(r"[a-z]+", text.lower())) - SMALL_WORDS


def telling(question):
    """Of each right option the words that neither the stem nor a wrong option has."""
    options = question.asked.options
    known = words(SHOWN.sub("", question.stem)).union(
        *(words(one.text) for one in options if not one.right)
    )
    return [words(one.text) - known for one in options if one.right]


def test_every_drawing_of_the_library_has_its_place_in_a_write_up_or_a_question():
    writeups = {path.name.partition(".")[0] for path in (FIXTURES / "writeups").glob("*.md")}
    used = frozenset().union(
        *(names_in(newest(name).read_text(encoding="utf-8")) for name in writeups)
    )
    asked = {
        name for bank in BANK.values() for one in bank for name in drawings_of(one.stem, one.asked)
    }
    assert library().keys() - used - asked == set()


@for_each(STEMS)
def test_neither_the_title_nor_the_words_for_a_drawing_in_a_stem_say_the_answer(
    question, alt, name
):
    for told in (library()[name].title, alt):
        for right in telling(question):
            assert not right or len(right & words(told)) <= len(right) / 2, (told, right)


@for_each([one for one, _, _ in STEMS])
def test_the_drawing_of_a_stem_stands_in_its_place_named_by_the_stem_alone(question):
    drawn = Album({name: Picture("", svg=entry.svg) for name, entry in library().items()})
    shown = render_html(question.stem, drawn, uid="q")
    assert shown.count("<svg") == len(SHOWN.findall(question.stem))
    for alt, _ in SHOWN.findall(question.stem):
        assert f'aria-label="{alt}"' in shown
    assert "<title" not in shown
    assert "drawing:" not in shown


def test_a_title_that_says_the_answer_would_be_found():
    wiper = next(one for one, _, _ in STEMS if one.name == "wiper-drawn")
    (right,) = telling(wiper)
    assert len(right & words("Dust wiper that takes dirt in and lets oil out")) > len(right) / 2
