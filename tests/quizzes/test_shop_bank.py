"""Is the demo's bank fit to be asked: few critical questions, no twins, no answer in a hint?"""

import re
from collections import Counter
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import combinations

from fixtures.years import answers_of
from procedures.writeup.amounts import convert, read_amount
from quizzes.kinds.choose_all import ChooseAll
from quizzes.kinds.choose_one import ChooseOne
from quizzes.kinds.give_amount import GiveAmount
from quizzes.kinds.spots import SHOWN
from quizzes.marking.marks import marks
from quizzes.marking.second_tries import find_steps
from quizzes.records.wording.say import say
from tests.for_each import for_each
from tests.quizzes.test_shop_drawings import SMALL_WORDS
from tests.quizzes.test_shop_questions import BANK, newest

ALL = [(name, question) for name, bank in BANK.items() for question in bank]
AMOUNTS = [question for _, question in ALL if isinstance(question.asked, GiveAmount)]
UNITS = r"(N·m|mm|psi|bar|mL|min|times|h|s)\b"
AN_AMOUNT = re.compile(rf"(\d+(?:[.,]\d+)?) ?{UNITS}")
A_RANGE = re.compile(rf"(\d+(?:\.\d+)?) (?:\.\.|±) (?:\d+(?:\.\d+)?) {UNITS}")


@for_each(BANK)
def test_at_most_a_third_of_a_bank_is_critical(name):
    """Critical is kept for what can hurt somebody or ruin the part. That a third of a bank is
    enough for this is the shop's own aim.
    """
    critical = [question for question in BANK[name] if question.critical]
    assert critical
    assert 3 * len(critical) <= len(BANK[name])


@for_each(BANK)
def test_a_critical_step_that_is_asked_about_can_be_asked_about_again(name):
    """Whoever gets a critical question wrong can be asked another one about the same step."""
    assert [
        one.name
        for one in BANK[name]
        if one.critical
        and not any(set(one.steps) & set(other.steps) for other in BANK[name] if other != one)
    ] == []


@dataclass(frozen=True)
class OnSteps:
    """A question of a bank as the second tries see it."""

    key: int
    critical: bool
    steps: frozenset[str]
    writeup: str = ""


@for_each(BANK)
def test_a_critical_question_has_a_second_try_that_is_not_critical_itself(name):
    """A second try that is drawn for its own sake may have been asked before it is needed."""
    bank = [OnSteps(key, one.critical, frozenset(one.steps)) for key, one in enumerate(BANK[name])]
    counts_for = find_steps(bank)
    spare = {counts_for[one.key] for one in bank if not one.critical}
    assert [
        BANK[name][one.key].name
        for one in bank
        if one.critical and counts_for[one.key] not in spare
    ] == []


def test_the_hint_beside_an_amount_is_right_for_no_question():
    told = say(GiveAmount.field.help)
    hints = [" ".join(hint) for hint in AN_AMOUNT.findall(told)]
    assert len(hints) >= 3
    for hint in hints:
        assert [one.name for one in AMOUNTS if marks(one.asked, hint).right] == [], hint


def test_a_hint_that_is_right_would_be_found():
    assert [one.name for one in AMOUNTS if marks(one.asked, "7 N·m").right]


def words(question):
    """The words that carry what a question asks: stem and right options, without small words."""
    said = [SHOWN.sub(r"\1", question.stem)]
    if isinstance(question.asked, ChooseOne | ChooseAll):
        said += [option.text for option in question.asked.options if option.right]
    return set(re.findall(r"[a-z]+", " ".join(said).lower())) - SMALL_WORDS


def alike(one, other):
    """How many of the words of two questions they share (Jaccard 1901)."""
    return len(words(one) & words(other)) / len(words(one) | words(other))


@for_each(BANK)
def test_no_question_of_a_bank_is_nearly_another_one(name):
    """Two questions on the same step in much the same words: half of the words is where we draw the
    line. An order and pairs name little but the steps.
    """
    told = [one for one in BANK[name] if one.asked.kind not in ("put in order", "match")]
    assert [
        (one.name, other.name)
        for one, other in combinations(told, 2)
        if set(one.steps) & set(other.steps) and alike(one, other) >= 1 / 2
    ] == []


def test_no_stem_stands_in_two_banks():
    plain = [one for _, one in ALL if one.asked.kind in ("choose one", "choose all")]
    stems = Counter((one.stem.strip(), str(one.asked)) for one in plain)
    assert [stem for stem, many in stems.items() if many > 1] == []


MOST, LEAST = (
    re.compile(r"\b(the most|at the latest|maximum)\b"),
    re.compile(r"\b(least|shortest)\b"),
)


def beyond(name, question):
    """Whether the answers that count go past the limit that the steps say, or stop far from it."""
    low, high = ends(read_amount(question.asked.amount))
    unit = read_amount(question.asked.amount).unit
    text = read_by_somebody(name, question)
    limits = []
    for found in AN_AMOUNT.findall(text) + A_RANGE.findall(text):
        said = read_amount(" ".join(found))
        if said.kind == read_amount(question.asked.amount).kind:
            limits.append(convert(said, unit).value)
    if MOST.search(question.stem):
        return not any(limit * Decimal("0.99") <= high <= limit for limit in limits)
    return not any(limit <= low <= limit * Decimal("1.01") for limit in limits)


def ends(amount):
    low = amount.value if amount.low is None else amount.low
    return low, amount.value if amount.high is None else amount.high


LIMITS = [
    (name, one)
    for name, one in ALL
    if one in AMOUNTS and (MOST.search(one.stem) or LEAST.search(one.stem))
]


@for_each(LIMITS)
def test_an_answer_past_a_limit_is_never_right(name, question):
    """A maximum has its tolerance below it, a minimum above: what is past it can hurt somebody."""
    assert not beyond(name, question), question.asked.amount


def test_an_answer_past_a_limit_would_be_found():
    name, question = next(each for each in LIMITS if each[1].name == "maximum-in-bar")
    assert beyond(name, replace(question, asked=GiveAmount("20.7 ± 0.2 bar")))
    assert {one.name for _, one in LIMITS} >= {"clearance", "label-maximum", "the-most"}


@for_each(AMOUNTS)
def test_the_years_of_the_demo_know_the_right_amount(question):
    """Whoever knows it in the made-up years answers as the site marks right."""
    entry = {"kind": "give the amount", "amount": question.asked.amount}
    right, (wrong,) = answers_of(entry, [])
    assert marks(question.asked, right).right
    assert not marks(question.asked, wrong).right


def read_by_somebody(name, question):
    """The steps that a question names, with what stands before all steps, as they are written."""
    text = newest(name).read_text(encoding="utf-8")
    intro, *steps = re.split(r"^### ", text, flags=re.MULTILINE)
    named = [one for one in steps if re.search(r"\{#([\w-]+)\}", one)[1] in question.steps]
    return "\n".join([intro.partition("\n---\n")[2], *named])


def is_worked_out(question):
    """Whether the stem gives at least three numbers, from which the answer is to be worked out."""
    return len(re.findall(r"\d+(?:\.\d+)?", question.stem)) >= 3


@for_each((name, one) for name, one in ALL if one in AMOUNTS and not is_worked_out(one))
def test_an_amount_that_is_asked_stands_in_the_steps_that_the_question_names(name, question):
    """Somebody who has read those steps, and nothing else of the work, can give the answer."""
    text = read_by_somebody(name, question)
    said = [" ".join(found) for found in AN_AMOUNT.findall(text) + A_RANGE.findall(text)]
    assert any(marks(question.asked, amount).right for amount in said), said
