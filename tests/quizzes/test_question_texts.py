"""Which questions does a YAML text hold, and what is said where it can't be read?"""

from pathlib import Path

import pytest
from hypothesis import given as tried
from hypothesis import strategies as st

from procedures.writeup.letters import hidden_in
from quizzes.kinds.choose_all import ChooseAll
from quizzes.kinds.choose_one import ChooseOne
from quizzes.kinds.give_amount import GiveAmount
from quizzes.kinds.kind import Option, QuestionText
from quizzes.kinds.put_in_order import PutInOrder
from quizzes.marking.texts import BadQuestions, read_questions
from quizzes.marking.writing import write_questions
from quizzes.records.wording.say import say_fault
from tests.for_each import for_each

QUESTIONS_OF_THE_DEMO = Path(__file__).parents[2] / "fixtures" / "questions"

TEXT = """\
writeup: air-spring-service
questions:
  - name: ring-seated
    kind: choose one
    steps: [check-ring-seated]
    critical: yes
    stem: |
      How do you **know** that the ring is seated?
    options:
      - text: It turns in its groove.
        right: yes
        says: Then it lies in the groove all round.
      - text: "off"
    says: The turn test finds it.
  - name: order
    kind: put in order
    steps: [a, b, c]
    variant: {ring: prong, bumper: off}
    stem: Put these in order.
  - name: torque
    kind: give the amount
    steps: top-cap
    stem: How tight?
    amount: 24 ± 2 N·m
"""


def faults(text):
    with pytest.raises(BadQuestions) as caught:
        read_questions(text)
    return [say_fault(fault) for fault in caught.value.faults]


def test_questions_are_read_with_every_word_as_it_stands():
    seated, order, torque = read_questions(TEXT)
    assert seated.asked == ChooseOne(
        (
            Option(
                "It turns in its groove.", right=True, says="Then it lies in the groove all round."
            ),
            Option("off", right=False),
        )
    )
    assert (seated.writeup, seated.name, seated.steps) == (
        "air-spring-service",
        "ring-seated",
        ("check-ring-seated",),
    )
    assert seated.critical
    assert order.asked == PutInOrder(("a", "b", "c"), (("bumper", "off"), ("ring", "prong")))
    assert torque.asked == GiveAmount("24 ± 2 N·m")
    assert torque.steps == ("top-cap",)
    assert not torque.critical


@for_each(
    [
        ("kind: choose one", "kind: guess", ("line 4", "ring-seated", "put in order")),
        ("name: ring-seated", "name: Ring seated!", ("line 3", "`name`")),
        ("name: order", "name: torque", ("torque", "has this name already")),
        ("        right: yes\n", "", ("ring-seated", "Exactly one")),
        ('      - text: "off"\n', '      - text: "off"\n        right: yes\n', ("here 2 have",)),
        ('      - text: "off"\n', "", ("at least two",)),
        ('      - text: "off"\n', "      - text: It turns in its groove.\n", ("say the same",)),
        ('      - text: "off"\n', "      - off\n", ("Option 2 needs `text`",)),
        ("right: yes", "right: perhaps", ("`right` must be yes or no",)),
        ("critical: yes", "critical: 1", ("line 6", "`critical` must be yes or no")),
        ("steps: [check-ring-seated]", "steps: []", ("ring-seated", "`steps` is missing")),
        ("steps: [a, b, c]", "steps: [a, b, a]", ("order", "twice")),
        ("steps: [a, b, c]", "steps: [a]", ("order", "2 to 7 steps")),
        ("steps: [a, b, c]", "steps: [a, b, c, d, e, f, g, h]", ("order", "2 to 7 steps")),
        ("variant: {ring: prong, bumper: off}", "variant: prong", ("order", "`variant` must name")),
        ("amount: 24 ± 2 N·m", "amount: 24 ± 2", ("torque", "cannot be read")),
        ("    amount: 24 ± 2 N·m\n", "", ("torque", "`amount`")),
        ("stem: How tight?", "stim: How tight?", ("torque", "`stim` has no meaning")),
        ("stem: How tight?", "stem: ''", ("torque", "`stem` is missing")),
        ("writeup: air-spring-service\n", "", ("`writeup` must be",)),
        ("writeup: ", "write-up: ", ("`write-up` has no meaning",)),
        ("stem: How tight?", "stem: How tight?\n    stem: How loose?", ("“stem” is here twice",)),
        ("stem: How tight?", "stem: &tight How?", ("line 23", "put it in quotes")),
        ("stem: How tight?", "stem: How: tight?", ("line 23", "not YAML")),
    ]
)
def test_a_fault_is_told_with_the_question_and_what_was_expected(old, new, words):
    assert old in TEXT
    told = "\n".join(faults(TEXT.replace(old, new)))
    for word in words:
        assert word in told


def test_every_fault_is_told_at_once():
    text = TEXT.replace("kind: choose one", "kind: guess").replace(
        "amount: 24 ± 2 N·m", "amount: tight"
    )
    assert len(faults(text)) == 2


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\n",
        "writeup",
        "- a",
        "writeup: a",
        "writeup: a\nquestions: b",
        "writeup: a\nquestions: [b]",
        "[[[[[[[[[[[[",
    ],
)
def test_a_text_of_another_shape_is_refused(text):
    assert faults(text)


def test_a_text_that_would_grow_is_refused_before_it_grows():
    lines = ["a0: &a0 [x, x]"] + [
        f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 30)
    ]
    assert "put it in quotes" in faults("\n".join(lines))[0]
    assert "longer than 500000 characters" in faults("x" * 600_000)[0]
    assert faults("[" * 5000)


@tried(st.text(max_size=200))
def test_no_text_brings_anything_but_questions_or_faults(text):
    try:
        found = read_questions(text)
    except BadQuestions as bad:
        found = bad.faults
    assert found


WORDS = st.text(
    st.characters(codec="utf-8", exclude_categories=["C"]), min_size=1, max_size=30
).filter(lambda word: word == word.strip() and word.isprintable() and not hidden_in(word))
LINES = st.lists(WORDS, min_size=1, max_size=3).map("\n".join)
STEPS = st.lists(
    st.from_regex(r"[a-z0-9-]{1,8}", fullmatch=True), min_size=2, max_size=7, unique=True
).map(tuple)
OPTIONS = st.lists(WORDS, min_size=2, max_size=5, unique=True).flatmap(
    lambda texts: st.tuples(
        *(st.builds(Option, st.just(text), st.booleans(), LINES | st.just("")) for text in texts)
    )
)
ASKED = (
    OPTIONS.filter(lambda options: sum(option.right for option in options) == 1).map(ChooseOne)
    | OPTIONS.filter(lambda options: any(option.right for option in options)).map(ChooseAll)
    | st.sampled_from(["24 ± 2 N·m", "20..30 %", "3 turns", "7,5 bar"]).map(GiveAmount)
)
QUESTIONS = st.builds(
    QuestionText,
    st.just("service"),
    st.just("one"),
    LINES,
    ASKED,
    STEPS,
    st.booleans(),
    LINES | st.just(""),
)
ORDERS = st.dictionaries(WORDS, WORDS, max_size=3).flatmap(
    lambda variant: st.builds(
        lambda steps, stem: QuestionText(
            "service", "order", stem, PutInOrder(steps, tuple(sorted(variant.items()))), steps
        ),
        STEPS,
        LINES,
    )
)


@tried(QUESTIONS, ORDERS)
def test_what_is_written_is_read_again(question, order):
    read = read_questions(write_questions("service", [question, order]))
    assert [(one.name, one.stem, one.asked, one.steps, one.critical, one.says) for one in read] == [
        (one.name, one.stem, one.asked, one.steps, one.critical, one.says)
        for one in (question, order)
    ]


@pytest.mark.parametrize(
    "path", sorted(QUESTIONS_OF_THE_DEMO.glob("*.yaml")), ids=lambda path: path.stem
)
def test_the_demo_shops_questions_can_be_read(path):
    questions = read_questions(path.read_text(encoding="utf-8"))
    assert {one.writeup for one in questions} == {path.stem}
    assert any(one.critical for one in questions)
    assert {one.asked.kind for one in questions} >= {
        "choose one",
        "choose all",
        "put in order",
        "give the amount",
    }
