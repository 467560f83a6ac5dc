"""Does the advice on questions speak where the guidelines do, and only there?

The guidelines: Haladyna, Downing and Rodriguez (2002), Applied Measurement in Education 15,
309-334, Table 1 (the numbers from memory). The examples are made for each of them; a good one
stands beside each bad one.
"""

import json

import pytest
from django.core.management import CommandError, call_command
from hypothesis import given
from hypothesis import strategies as st

from quizzes.kinds.choose_all import ChooseAll
from quizzes.kinds.choose_one import ChooseOne
from quizzes.kinds.give_amount import GiveAmount
from quizzes.kinds.kind import Option, QuestionText
from quizzes.kinds.match import Match, Pair
from quizzes.kinds.put_in_order import PutInOrder
from quizzes.marking.advice import advise
from quizzes.records.wording.advice import GUIDELINES
from quizzes.records.wording.say import say_advice
from tests.for_each import for_each

STEM = "Which part goes back into the fork?"


def one(*texts, stem=STEM, right=0):
    """A question whose first option is right, unless said otherwise."""
    return QuestionText(
        "w",
        "q",
        stem,
        ChooseOne(tuple(Option(text, place == right) for place, text in enumerate(texts))),
        ("s",),
    )


def several(*texts, right):
    return QuestionText(
        "w", "q", STEM, ChooseAll(tuple(Option(text, text in right) for text in texts)), ("s",)
    )


PLAIN = ("the shaft", "the wiper", "the old oil")

FOUND = {
    "one-of-the-above": [
        one("the shaft", "the wiper", "all of the above"),
        one("the shaft", "the wiper", "none of these"),
    ],
    "negative-stem": [
        one(*PLAIN, stem="Which part does not go back into the fork?"),
        one(*PLAIN, stem="All go back except which?"),
    ],
    "opinion": [one(*PLAIN, stem="Which part do you think goes back?")],
    "no-question": [one(*PLAIN, stem="The parts of the fork.")],
    "long-stem": [one(*PLAIN, stem=f"{'A long story of a fork. ' * 13}Which part goes back?")],
    "long-right": [
        one(
            "the shaft, once it is wiped, looked at for scratches, and greased",
            "the wiper",
            "the old oil",
        )
    ],
    "overlap": [
        one("10 to 20 psi", "15 to 30 psi", "40 to 50 psi"),
        one("below 20 psi", "10 to 30 psi", "40 to 50 psi"),
        one("more than 5 mm", "over 8 mm", "less than 2 mm"),
    ],
    "twice": [one("the shaft", "the wiper", "The wiper.")],
    "absolute": [one("the shaft", "the wiper, always", "the old oil")],
    "echo": [
        one("the retaining ring", "the wiper", "the old oil", stem="What retains the seal head?")
    ],
    "article": [one("oily shaft", "wiper", "seal", stem="What goes back is an")],
    "out-of-order": [one("20 psi", "10 psi", "30 psi")],
    "same-start": [one("in the fork the shaft", "in the fork the wiper", "in the fork the seal")],
    "few-options": [one("the shaft", "the wiper")],
    "many-options": [one("the shaft", "the wiper", "the seal", "the ring", "the bolt", "the cap")],
    "one-right-of-all": [several(*PLAIN, right=PLAIN[:1]), several(*PLAIN, right=PLAIN)],
    "easy-match": [
        QuestionText("w", "q", "Match them.", Match((Pair("a", "1"), Pair("b", "2"))), ("s",))
    ],
}

QUIET = [
    one(*PLAIN),
    one("10 psi", "20 psi", "30 psi"),
    one("30 psi", "20 psi", "10 psi"),
    one("10 to 20 psi", "20 to 30 psi", "40 to 50 psi"),
    one("10 to 20 psi", "15 to 30 mm", "a turn"),
    one("the shaft", "the wiper", "the old oil", stem="It does not leak. Which part goes back?"),
    one("10 psi", "2 bar", "a turn"),
    one("28 N·m", "8 N·m, and a turn more", "8 N·m"),
    one("the shaft, always", "the wiper", "the old oil"),
    one("a shaft", "an oil", "a seal", stem="What goes back?"),
    several(*PLAIN, right=PLAIN[:2]),
    QuestionText("w", "q", "Match them.", Match((Pair("a", "1"), Pair("b", "2")), ("3",)), ("s",)),
    QuestionText("w", "q", "How much oil goes in?", GiveAmount("10 mL ± 1"), ("s",)),
    QuestionText("w", "q", "Put the steps in order.", PutInOrder(("a", "b")), ("s",)),
]


def rules(question):
    return {advice.rule for advice in advise(question)}


@for_each([(rule, question) for rule, questions in FOUND.items() for question in questions])
def test_what_a_guideline_speaks_of_is_told(rule, question):
    assert rule in rules(question)
    assert all(
        say_advice(advice).guideline and advice.question == "q" for advice in advise(question)
    )


@for_each(QUIET)
def test_a_good_question_gets_no_advice(question):
    assert rules(question) == set()


def test_every_guideline_has_its_example():
    assert set(FOUND) == set(GUIDELINES)


@given(st.lists(st.text(max_size=40), min_size=1, max_size=6), st.text(max_size=80))
def test_no_text_is_too_strange(texts, stem):
    """Shuffling options changes no advice but that on their order."""
    forward, backward = (
        one(*texts, stem=stem),
        one(*reversed(texts), stem=stem, right=len(texts) - 1),
    )
    assert rules(forward) == rules(backward)


# --- the command

YAML = """\
writeup: air-spring-service
questions:
  - name: two
    kind: choose one
    steps: [let-air-out]
    stem: What is first?
    options:
      - {text: air, right: yes}
      - {text: oil}
"""


def test_the_command_tells_each_piece_with_its_guideline(tmp_path, capsys):
    file = tmp_path / "questions.yaml"
    file.write_text(YAML, encoding="utf-8")
    call_command("advise", str(file))
    told = capsys.readouterr().out
    assert "two: With 2 options every second guess is right." in told
    assert "1 question read. Suggestions: 1." in told
    call_command("advise", str(file), "--format", "json")
    (advice,) = json.loads(capsys.readouterr().out)
    assert (advice["question"], advice["rule"]) == ("two", "few-options")


def test_the_command_says_what_it_cannot_read(tmp_path):
    file = tmp_path / "questions.yaml"
    file.write_text("questions: [", encoding="utf-8")
    with pytest.raises(CommandError, match=r"questions\.yaml"):
        call_command("advise", str(file))
