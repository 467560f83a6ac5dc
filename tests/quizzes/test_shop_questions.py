"""Is the demo shop's bank of questions whole: enough, of every kind, about every critical step, and
without a fault that the guidelines name?

What is asked of the bank is the project's own aim; the guidelines behind the advice are published
(Haladyna, Downing and Rodriguez 2002).
"""

import re
from collections import Counter
from pathlib import Path

from procedures.records.library import library
from procedures.writeup.drawings import place_drawing
from procedures.writeup.parse import parse
from quizzes.kinds.choose_all import ChooseAll
from quizzes.kinds.choose_one import ChooseOne
from quizzes.kinds.spots import drawings_of
from quizzes.marking.advice import advise
from quizzes.marking.coverage import gaps
from quizzes.marking.texts import read_questions
from quizzes.records.wording.say import say
from tests.for_each import for_each

ROOT = Path(__file__).parents[2]
FIXTURES, DRAWINGS = ROOT / "fixtures", ROOT / "procedures" / "drawings"
BANK = {
    path.stem: read_questions(path.read_text(encoding="utf-8"))
    for path in sorted((FIXTURES / "questions").glob("*.yaml"))
}
KINDS = ("choose one", "choose all", "put in order", "match", "give the amount", "point at it")


def newest(name):
    """The path of the newest revision of a write-up in the folder."""
    paths = [FIXTURES / "writeups" / f"{name}.md", *(FIXTURES / "writeups").glob(f"{name}.r*.md")]
    return max(paths, key=lambda path: int((re.findall(r"\.r(\d+)\.md$", path.name) or ["1"])[0]))


def current(name):
    """The newest revision of a write-up in the folder."""
    return parse(newest(name).read_text(encoding="utf-8"))


def test_there_are_enough_of_every_kind_and_enough_with_drawings():
    questions = [question for bank in BANK.values() for question in bank]
    assert len(questions) >= 150
    by_kind = Counter(question.asked.kind for question in questions)
    assert set(by_kind) == set(KINDS)
    assert min(by_kind.values()) >= 4, by_kind
    drawn = [question for question in questions if drawings_of(question.stem, question.asked)]
    assert len(drawn) >= 25


@for_each(BANK)
def test_the_guidelines_find_nothing(name):
    assert [
        (question.name, say(advice.remark))
        for question in BANK[name]
        for advice in advise(question)
    ] == []


@for_each(BANK)
def test_every_critical_step_and_every_caution_has_its_question(name):
    tested = {step for question in BANK[name] for step in question.steps}
    writeup = current(name)
    assert tested <= {step.id for step in writeup.steps}
    assert [say(gap.what) for gap in gaps(writeup, tested) if gap.no_question] == []


@for_each(BANK)
def test_every_option_says_why(name):
    for question in BANK[name]:
        if isinstance(question.asked, ChooseOne | ChooseAll):
            assert all(option.says for option in question.asked.options), question.name


def is_flipped(drawing):
    svg = (DRAWINGS / f"{drawing}.svg").read_text(encoding="utf-8")
    return place_drawing(svg, uid="q", mirror=True) != place_drawing(svg, uid="q")


@for_each(BANK)
def test_drawings_are_those_of_the_library_and_mirrored_where_they_can_be(name):
    for question in BANK[name]:
        shown = drawings_of(question.stem, question.asked)
        assert set(shown) <= library().keys(), question.name
        assert question.mirror is any(is_flipped(one) for one in shown), question.name
